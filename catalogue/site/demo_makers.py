"""The testers of the demo's raglan: who makes which size, how they count and measure, and how far they are.

All are invented. Their swatches, tapes and fabrics differ from each other, as those of testers do.
"""

from dataclasses import dataclass
from random import Random
from typing import Literal

Course = Literal["done", "on the way", "nothing sent", "given back", "declined"]


@dataclass(frozen=True)
class Maker:
    """Somebody with a place in the call; gauge as counted over 10 cm, body and tape in mm."""

    name: str
    email: str
    size: str
    course: Course
    bust_off_mm: float = 0.0
    gauge: tuple[tuple[str, str, str], ...] = ()
    tape_off_mm: float = 0.0
    fabric_factor: float = 1.0
    colour: str = ""
    """What their garment is photographed in; "" where no photo is sent."""


_BRAM = Maker(
    "Bram Sallow", "bram@larkmoss.example", "M", "done",
    bust_off_mm=50, gauge=(("main", "21", "30"), ("rib", "23", "31")), tape_off_mm=4,
    colour="#5f7698",
)  # fmt: skip
_YSOLDE = Maker(
    "Ysolde Marl", "ysolde@larkmoss.example", "L", "on the way",
    bust_off_mm=60, gauge=(("main", "22", "31"), ("rib", "24", "32")), tape_off_mm=-3,
)  # fmt: skip
_OTHERS: tuple[tuple[str, str, Course], ...] = (
    ("Alder Finch", "2XS", "done"),
    ("Bryony Marsh", "XS", "done"),
    ("Corin Hale", "XS", "nothing sent"),
    ("Dilys Rowan", "S", "done"),
    ("Edda Thorne", "S", "done"),
    ("Fenn Waller", "M", "done"),
    ("Greta Sedge", "L", "done"),
    ("Hollis Brook", "XL", "done"),
    ("Imre Calder", "XL", "on the way"),
    ("Jory Penn", "2X", "done"),
    ("Kes Dunmore", "2X", "done"),
    ("Linnet Hart", "3X", "done"),
    ("Marlo Quill", "3X", "given back"),
    ("Nell Sorrel", "4X", "done"),
    ("Orrin Vale", "4X", "done"),
    ("Posy Garth", "5X", "done"),
    ("Rhona Birch", "5X", "on the way"),
    ("Sorrel Lind", "6X", "done"),
    ("Tamsin Heath", "6X", "declined"),
    ("Ulla Wren", "7X", "done"),
)
# Who sends a photo, and in which colour they made theirs.
_COLOURS = {
    "Bryony Marsh": "#a65a4a",
    "Dilys Rowan": "#7f8f5c",
    "Hollis Brook": "#c79a4b",
    "Jory Penn": "#6f5a7e",
    "Orrin Vale": "#4f7f86",
    "Sorrel Lind": "#b5a48c",
}
_SEED = 20_261
_STITCHES, _ROWS = {"main": 22.0, "rib": 24.0}, {"main": 31.0, "rib": 32.0}


def makers() -> list[Maker]:
    """All testers of the call, the same at every time."""
    lots = Random(_SEED)  # noqa: S311  invented people, no secret
    return [_BRAM, _YSOLDE, *(_drawn(lots, name, size, course) for name, size, course in _OTHERS)]


def _drawn(lots: Random, name: str, size: str, course: Course) -> Maker:
    """One of the others: gauge within 4 % of the pattern's, the tape within a centimetre."""
    by = lots.gauss(1.0, 0.02), lots.gauss(1.0, 0.02)
    gauge = tuple(
        (fabric, f"{round(_STITCHES[fabric] * by[0] * 2) / 2:g}", f"{round(_ROWS[fabric] * by[1] * 2) / 2:g}")
        for fabric in ("main", "rib")
    )
    return Maker(
        name=name,
        email=f"{name.split()[0].lower()}@larkmoss.example",
        size=size,
        course=course,
        bust_off_mm=lots.uniform(-20, 40),
        gauge=gauge,
        tape_off_mm=lots.gauss(0, 4),
        fabric_factor=lots.gauss(1.0, 0.008),
        colour=_COLOURS.get(name, ""),
    )
