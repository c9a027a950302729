"""Pictures for the demo, where no camera was: pieces laid out flat, drawn stitch by stitch."""

import io
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from catalogue.models import Pattern
from catalogue.photos.photos import add_photos
from catalogue.photos.pictures import clean_picture
from grading.core.grade.grade import grade
from grading.core.grade.pieces import PieceDrawing, draw_graded
from grading.core.pattern.file import read_pattern

WIDE, HIGH = 1800, 1200
MAT, GRID, PIN = (226, 221, 211), (211, 205, 193), (250, 250, 248)
BESIDE_MM, ROUND_MM = 70.0, 110.0

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class PictureStyle:
    """Which pieces of a sample are shown, what is said of them, and their colours from the first row up."""

    pieces: tuple[str, ...]
    says: str
    colours: tuple[tuple[str, int], ...]


LOOKS = {
    "brackenmere_pullover": PictureStyle(
        ("front", "sleeve"), "Front and a sleeve, pinned out.", (("#7d8f6a", 1),)
    ),
    "cinderfell_raglan": PictureStyle(
        ("body", "sleeve"), "Body and a sleeve, pinned out.", (("#6c80a0", 1),)
    ),
    "puffinbay_child": PictureStyle(
        ("back", "front", "sleeve"), "Back, front and a sleeve, pinned out.", (("#587682", 1),)
    ),
    "thistledrift_waistcoat": PictureStyle(
        ("back", "front"),
        "Back and a front in stripes, pinned out.",
        (("#4a3728", 6), ("#8d6a9f", 2), ("#4a3728", 2), ("#d9c7a3", 4), ("#8d6a9f", 2)),
    ),
}


def add_picture(*, pattern: Pattern, name: str, document: dict[str, Any]) -> None:
    """Draw the pieces of a sample and store them as its photo."""
    look = LOOKS[name]
    target = io.BytesIO()
    draw_pieces_flat(document, look).save(target, "JPEG", quality=90)
    target.seek(0)
    alt = (
        f"{document['title']}, drawn: {look.says[0].lower()}{look.says[1:-1]} on a mat with lines 10 cm apart"
    )
    size = document["sizes"][len(document["sizes"]) // 2]
    caption = f"{look.says} Size {size}, a drawing."
    add_photos(pattern=pattern, photos=[(clean_picture(target), alt)], caption=caption)


def draw_pieces_flat(document: dict[str, Any], look: PictureStyle) -> Image.Image:
    """The pieces in the middle size, to scale, on a mat with a grid of 10 cm."""
    pattern = read_pattern(document)
    graded = grade(pattern)
    middle = len(pattern.sizes) // 2
    drawn = {
        one.name: draw_graded(one, graded.pieces[one.name], pattern.curves)[middle] for one in pattern.pieces
    }
    shown = [drawing for name in look.pieces if (drawing := drawn[name]) is not None]
    widths = [one.width_mm for one in shown]
    across = sum(widths) + BESIDE_MM * (len(shown) - 1) + 2 * ROUND_MM
    tallest = max(one.box[3] - one.box[1] for one in shown)
    scale = min(WIDE / across, HIGH / (tallest + 2 * ROUND_MM))
    picture = _mat(scale)
    fabric = pattern.fabrics[0]
    left = (WIDE - (across - 2 * ROUND_MM) * scale) / 2
    foot = (HIGH + tallest * scale) / 2
    for one in shown:
        worked = _worked(one, (fabric.stitches / 100, fabric.rows / 100), pattern.craft, look, scale)
        _lay(picture, one, worked, (left, foot), scale)
        left += (one.width_mm + BESIDE_MM) * scale
    return picture


def _mat(scale: float) -> Image.Image:
    """The mat with its grid."""
    picture = Image.new("RGB", (WIDE, HIGH), MAT)
    draw = ImageDraw.Draw(picture)
    step = 100 * scale
    for at in np.arange(step / 2, max(WIDE, HIGH), step):
        draw.line([(at, 0), (at, HIGH)], GRID, 2)
        draw.line([(0, at), (WIDE, at)], GRID, 2)
    return picture


def _worked(
    one: PieceDrawing, per_mm: tuple[float, float], craft: str, look: PictureStyle, scale: float
) -> Image.Image:
    """The cloth of a piece: each stitch lit by its craft, each row in its colour."""
    wide, high = (round((one.box[at + 2] - one.box[at]) * scale) for at in (0, 1))
    stitches: Numbers = np.arange(wide)[None, :] / scale * per_mm[0]
    rows: Numbers = (high - 0.5 - np.arange(high, dtype=float)[:, None]) / scale * per_mm[1]
    light = _light(stitches % 1, rows, craft)
    grain = 1 + np.random.default_rng(7).normal(0, 0.035, (high, wide))
    colours = _colours(look)[np.floor(rows[:, 0]).astype(int) % sum(count for _, count in look.colours)]
    cloth = np.clip(colours[:, None, :] * (1.15 * light * grain)[:, :, None], 0, 255)
    return Image.fromarray(cloth.astype(np.uint8))


def _light(stitch: Numbers, rows: Numbers, craft: str) -> Numbers:
    """How light the cloth is, 0.5 to 1.1, by the place within a stitch and a row."""
    aside = np.abs(stitch - 0.5) * 2
    if craft == "knitting":  # two legs of a V
        return 0.55 + 0.5 * np.sin(np.pi * aside) ** 0.6 * np.sin(np.pi * ((rows - 0.55 * aside) % 1)) ** 0.5
    if craft == "tunisian":  # upright bars before the strands behind them
        bars = np.clip(1.25 - 1.6 * aside, 0, 1)
        return 0.6 + 0.45 * np.maximum(bars, 0.55 * np.sin(np.pi * (rows % 1)))
    ridge = np.clip((rows % 1 - 0.66) * 6, 0, 1)  # posts, and the chains on top of a row
    posts = np.sin(np.pi * stitch + 0 * rows) ** 0.5 * np.sin(np.pi * np.clip(rows % 1 * 1.4, 0, 1)) ** 0.5
    return 0.58 + 0.42 * np.maximum(posts * (1 - ridge), ridge * (0.75 + 0.25 * np.cos(4 * np.pi * stitch)))


def _colours(look: PictureStyle) -> Numbers:
    """The colour of each row of the repeat, shape (rows, 3), 0 to 255."""
    triples = [[int(colour[at : at + 2], 16) for at in (1, 3, 5)] for colour, _ in look.colours]
    return np.repeat(np.array(triples, dtype=float), [count for _, count in look.colours], axis=0)


def _lay(
    picture: Image.Image, one: PieceDrawing, worked: Image.Image, at: tuple[float, float], scale: float
) -> None:
    """Lay a piece on the mat: its shadow, its cloth within the edge, pins along the edge."""
    x0, y0 = one.box[:2]
    edge = [(at[0] + (x - x0) * scale, at[1] - (y - y0) * scale) for x, y in one.edge.tolist()]
    shadow = Image.new("L", picture.size, 0)
    ImageDraw.Draw(shadow).polygon([(x + 7, y + 9) for x, y in edge], fill=130)
    picture.paste((96, 88, 78), mask=shadow.filter(ImageFilter.GaussianBlur(9)))
    mask = Image.new("L", (WIDE * 2, HIGH * 2), 0)
    ImageDraw.Draw(mask).polygon([(x * 2, y * 2) for x, y in edge], fill=255)
    cloth = Image.new("RGB", picture.size, MAT)
    cloth.paste(worked, (round(at[0]), round(at[1] - worked.height)))
    picture.paste(cloth, mask=mask.resize(picture.size, Image.Resampling.LANCZOS))
    draw = ImageDraw.Draw(picture)
    for (x, y), (next_x, next_y) in pairwise([*edge, edge[0]]):
        if np.hypot(next_x - x, next_y - y) > 40:  # corners, not the points of a curve
            draw.ellipse([x - 6, y - 6, x + 6, y + 6], fill=PIN, outline=(120, 112, 100))
