"""Pictures for the demo, where no camera was: each garment drawn as worn, stitch by stitch."""

import io
from dataclasses import dataclass, replace
from typing import Any

from PIL import Image

from catalogue.models import Pattern
from catalogue.photos.photos import add_photos
from catalogue.photos.pictures import CleanPhoto, clean_picture
from catalogue.site.demo_cloth import Cloth
from catalogue.site.demo_garments import scene_of
from catalogue.site.demo_scenes import photographed
from grading.core.pattern.file import read_pattern


@dataclass(frozen=True)
class PictureStyle:
    """What a picture shows in words, how the thing lies, and its cloth.

    `slope` is how steeply arms hang, `shape` how the pieces make the thing. `colours` go from the first row
    up, each for so many rows; `runs` says how rows lie in the pieces, `otherwise` what is made and not drawn.
    """

    shows: str
    colours: tuple[tuple[str, int], ...]
    shape: str = "worn"
    slope: float = 0.0
    rib_mm: float = 0.0
    runs: str = "up"
    is_garter: bool = False
    edge_colour: str = ""
    is_ribbed: bool = True
    seeds_mm: float = 0.0
    band_mm: float = 24.0
    has_plain_bands: bool = False
    otherwise: str = ""


LOOKS = {
    "brackenmere_pullover": PictureStyle(
        "a boxy moss-green pullover with ribs at hem and cuffs and a narrow edge round the neck",
        (("#7d8f6a", 1),),
        slope=0.75,
        rib_mm=60,
        band_mm=8,
        has_plain_bands=True,
    ),
    "cinderfell_raglan": PictureStyle(
        "a slate-blue raglan jumper with long sleeves and a band of purl stitches above its ribbed hem",
        (("#5f7698", 1),),
        slope=0.5,
        rib_mm=60,
        seeds_mm=40,
    ),
    "puffinbay_child": PictureStyle(
        "a child’s sea-blue jacket with a hood, orange borders and wooden buttons",
        (("#3f6f80", 1),),
        slope=0.75,
        rib_mm=26,
        edge_colour="#c9743c",
        is_ribbed=False,
        band_mm=32,
        otherwise="The band of the hood is not drawn. Size 2y closes with tape, without buttons.",
    ),
    "thistledrift_waistcoat": PictureStyle(
        "a buttoned V-neck waistcoat with stripes of peat, thistle and oat",
        (("#4a3728", 6), ("#8d6a9f", 2), ("#4a3728", 2), ("#d9c7a3", 4), ("#8d6a9f", 2)),
        rib_mm=50,
        edge_colour="#4a3728",
        has_plain_bands=True,
        otherwise="The edging of the armholes is not drawn.",
    ),
    "alderfleet_cardigan": PictureStyle(
        "a rust-red cardigan worked from cuff to cuff, its rows running up and down",
        (("#b4573f", 1),),
        slope=0.4,
        runs="sideways",
        otherwise="The bands at hem and cuffs are not drawn.",
    ),
    "plovermire_hat": PictureStyle(
        "a golden-yellow hat with a ribbed brim",
        (("#c9a24a", 1),),
        shape="hat",
        rib_mm=60,
        otherwise="The stranded band is not drawn.",
    ),
    "otterhowe_mittens": PictureStyle(
        "a pair of plum mittens with thumb gussets", (("#7a3b47", 1),), shape="mittens", rib_mm=45
    ),
    "ternstrand_shawl": PictureStyle(
        "a grey-green triangle shawl in garter stitch",
        (("#86a59b", 1),),
        shape="shawl",
        runs="v",
        is_garter=True,
    ),
}


def add_picture(*, pattern: Pattern, name: str, document: dict[str, Any]) -> None:
    """Draw a pattern of the demo and store the picture as its photo."""
    middle = len(document["sizes"]) // 2
    picture = _cleaned(draw_as_worn(document, LOOKS[name], middle))
    alt = f"{document['title']}, drawn: {LOOKS[name].shows}"
    size = document["sizes"][middle]
    caption = f"A drawing of {document['title']}, shown in size {size}. {LOOKS[name].otherwise}".strip()
    add_photos(pattern=pattern, photos=[(picture, alt)], caption=caption)


def picture_in_colour(document: dict[str, Any], look: PictureStyle, place: int, colour: str) -> CleanPhoto:
    """A garment as somebody made it: in one size, by its place, and a colour of their own."""
    return _cleaned(draw_as_worn(document, replace(look, colours=((colour, 1),)), place))


def _cleaned(drawing: Image.Image) -> CleanPhoto:
    """A drawing, cleaned like a photo that somebody sends."""
    target = io.BytesIO()
    drawing.save(target, "JPEG", quality=90)
    target.seek(0)
    return clean_picture(target)


def draw_as_worn(document: dict[str, Any], look: PictureStyle, place: int) -> Image.Image:
    """A pattern in one size, by its place, to scale, on a quiet ground."""
    pattern = read_pattern(document)
    fabric = pattern.fabrics[0]
    cloth = Cloth(
        craft=pattern.craft,
        stitches_per_mm=fabric.stitches / 100,
        rows_per_mm=fabric.rows / 100,
        colours=look.colours,
        runs=look.runs,
        is_garter=look.is_garter,
        edge_colour=look.edge_colour,
        is_ribbed=look.is_ribbed,
        seeds_mm=look.seeds_mm,
        band_mm=look.band_mm,
        has_plain_bands=look.has_plain_bands,
        rib_mm=look.rib_mm,
    )
    return photographed(scene_of(pattern, cloth, look.slope, look.shape, place))
