"""Close-ups of cloth for the demo's helps: a few stitches, some of them in another colour, and a needle."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from catalogue.site.demo_cloth import Cloth, coloured

WIDE, HIGH = 960, 720
STITCH_MM, ROW_MM = 5.0, 3.6
YARN = "#5f7698"
WOOD = (176, 138, 94)
# How far up a stitch of knitting its outer legs begin, as `demo_cloth` draws them.
SLANT = 0.55
ROUND_MM = 5.5

Places = NDArray[np.floating[Any]]
Marked = Callable[[Places, Places], NDArray[np.bool_]]


@dataclass(frozen=True)
class CloseUp:
    """What a close-up shows: so many stitches across, colours of marked stitches, and where a needle lies.

    Marks say of each stitch and row, counted from the left and from so many rows below the needle, whether
    they are theirs; without a needle from the lower left corner.
    """

    across: float
    colour: str = YARN
    craft: str = "knitting"
    marks: tuple[tuple[str, Marked], ...] = ()
    needle_row: float | None = None
    is_rib: bool = False


def close_up(shown: CloseUp) -> Image.Image:
    """Paint a close-up, 960 × 720 pixels."""
    mm = shown.across * STITCH_MM / WIDE
    x, y = np.meshgrid(
        (np.arange(WIDE, dtype=np.float32) + 0.5) * np.float32(mm),
        (HIGH - np.arange(HIGH, dtype=np.float32) - 0.5) * np.float32(mm) + np.float32(_lowest(shown, mm)),
    )
    cloth = Cloth(
        shown.craft, 1 / STITCH_MM, 1 / ROW_MM, ((shown.colour, 1),), rib_mm=1e4 if shown.is_rib else 0.0
    )
    painted = coloured(cloth, x, y)
    stitch, row = x / STITCH_MM, y / ROW_MM
    if shown.craft == "knitting" and not shown.is_rib:
        row = row - SLANT * np.abs(stitch % 1 - 0.5) * 2
    places = np.floor(stitch), np.floor(row)
    for colour, marked in shown.marks:
        theirs = coloured(replace(cloth, colours=((colour, 1),)), x, y)
        painted = np.where(marked(*places)[..., None], theirs, painted)
    if shown.needle_row is not None:
        painted = _with_needle(painted, stitch, y, shown.needle_row * ROW_MM)
    return Image.fromarray(np.clip(painted, 0, 255).astype(np.uint8))


def _lowest(shown: CloseUp, mm: float) -> float:
    """Where a picture begins, in mm of cloth: with a needle so low that this is its upper edge."""
    if shown.needle_row is None:
        return 0.0
    return shown.needle_row * ROW_MM + ROUND_MM / 2 - HIGH * mm


def _with_needle(painted: Places, stitch: Places, y: Places, at_mm: float) -> Places:
    """Lay a needle of wood across the cloth under the front leg of each stitch; the picture ends above it."""
    around = (y - at_mm) / (ROUND_MM / 2)
    light = np.sqrt(np.clip(1 - around**2, 0, 1)) * (0.85 + 0.15 * around)
    wood = np.array(WOOD, np.float32) * (0.35 + 0.75 * light[..., None])
    is_loop = np.abs(stitch % 1 - 0.5) < 0.27
    loop = painted * (0.75 + 0.35 * light[..., None])
    on_needle = np.abs(around) <= 1
    return np.asarray(np.where(on_needle[..., None], np.where(is_loop[..., None], loop, wood), painted))
