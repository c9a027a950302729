"""Lengths between two corners of a piece, as they are drawn, beside what they ought to be."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from grading.core.grade.pieces import first_corner
from grading.core.pattern.pattern import PieceEntry
from grading.core.sheet.workings import Workings

Numbers = NDArray[np.float64]
Sides = tuple[float, float]

# A drawing may round its corners; by more than this it shows another edge (derived: seams may differ by 5 %).
MOST_OFF, LEAST_OFF_MM = 0.15, 15.0


def has_corners(piece: PieceEntry, outline: Numbers, start: int, end: int) -> bool:
    """Whether a piece has both corners, counted as people count them."""
    places = range(first_corner(piece), first_corner(piece) + outline.shape[1])
    return start in places and end in places


def drawn_beside(
    of: Workings, piece: PieceEntry, outline: Numbers, ends: tuple[int, int], wanted: Numbers
) -> Iterator[tuple[str, Sides, float]]:
    """Each size with how far two corners of a piece lie apart, across and up, and what is wanted; in mm."""
    start, end = (corner - first_corner(piece) for corner in ends)
    sides = np.abs(outline[:, end] - outline[:, start])
    for size, wanted_mm, (across, up) in zip(of.pattern.sizes, wanted.tolist(), sides.tolist(), strict=True):
        yield size, (across, up), wanted_mm


def is_off(drawn_mm: float, wanted_mm: float) -> bool:
    """Whether a length is drawn as another one than it is."""
    return abs(drawn_mm - wanted_mm) > max(LEAST_OFF_MM, MOST_OFF * wanted_mm)


def in_home_units(of: Workings, *lengths_mm: float) -> list[str]:
    """Lengths as a finding tells them."""
    units = of.pattern.home_units
    return [f"{mm / (25.4 if units == 'in' else 10.0):.1f} {units}" for mm in lengths_mm]
