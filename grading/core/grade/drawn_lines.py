"""Lines with measurements as they are drawn in pieces: as long as what they tell."""

import math

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimensions import LENGTH
from grading.core.formula.errors import FormulaError
from grading.core.grade.pieces import first_corner
from grading.core.pattern.pattern import PieceDimension, PieceEntry, ValueEntry
from grading.core.sheet.findings import warn
from grading.core.sheet.workings import Workings

Numbers = NDArray[np.float64]

# As with curves: a drawing may round its corners; by more than this it shows something else (derived).
MOST_OFF, LEAST_OFF_MM = 0.15, 15.0
# A measurement all round is drawn whole, or half of it, or a quarter on one of two fronts.
PARTS_OF_ROUND = (1, 2, 4)


def notice_drawn_lines(of: Workings, piece: PieceEntry, outline: Numbers) -> None:
    """Report finished measurements that are drawn along another length of a piece.

    Args:
        of: The pattern as it is worked out.
        piece: The piece.
        outline: Its corners in mm, shape (sizes, corners, 2).
    """
    values = {value.name: value for value in of.pattern.values if value.measured is not None}
    first, count = first_corner(piece), outline.shape[1]
    for line in piece.dimensions:
        start, end = line.start - first, line.end - first
        if line.value not in values or not (0 <= start < count and 0 <= end < count):
            continue
        try:
            told = of.counts(line.value, (LENGTH,), "value")
        except FormulaError:
            continue  # told where the lines of the piece are checked
        sides = np.abs(outline[:, end] - outline[:, start])
        for size, told_mm, (across, up) in zip(of.pattern.sizes, told.tolist(), sides.tolist(), strict=True):
            drawn_mm = _nearest(values[line.value], told_mm, (across, up))
            if abs(drawn_mm - told_mm) > max(LEAST_OFF_MM, MOST_OFF * told_mm):
                says = _says(values[line.value], line, (told_mm, drawn_mm), of.pattern.home_units)
                of.add(warn(f"pieces.{piece.name}", says, size))


def _nearest(value: ValueEntry, told_mm: float, sides: tuple[float, float]) -> float:
    """The length between two corners, across, up or straight, that is nearest to what is told."""
    is_round = value.measured is not None and value.measured.around
    lengths = [times * side for side in sides for times in (PARTS_OF_ROUND if is_round else (1,))]
    return min([*lengths, math.hypot(*sides)], key=lambda mm: abs(mm - told_mm))


def _says(value: ValueEntry, line: PieceDimension, lengths_mm: tuple[float, float], units: str) -> str:
    told, drawn = (f"{mm / (25.4 if units == 'in' else 10.0):.1f} {units}" for mm in lengths_mm)
    return (
        f"“{value.label}” is {told}, and its line is drawn {drawn} long, from corner {line.start} to "
        f"{line.end}. Choose the corners that it runs between, or leave the line out."
    )
