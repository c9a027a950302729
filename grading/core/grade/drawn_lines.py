"""Lines with measurements as they are drawn in pieces: as long as what they tell."""

import math

from grading.core.formula.dimensions import LENGTH
from grading.core.formula.errors import FormulaError
from grading.core.grade.drawn_lengths import (
    Numbers,
    Sides,
    drawn_beside,
    has_corners,
    in_home_units,
    is_off,
)
from grading.core.pattern.pattern import PieceEntry, ValueEntry
from grading.core.sheet.findings import warn
from grading.core.sheet.workings import Workings

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
    for line in piece.dimensions:
        ends = (line.start, line.end)
        if line.value not in values or not has_corners(piece, outline, *ends):
            continue
        try:
            wanted = of.counts(line.value, (LENGTH,), "value")
        except FormulaError:
            continue  # told where the lines of the piece are checked
        value = values[line.value]
        for size, sides, told_mm in drawn_beside(of, piece, outline, ends, wanted):
            drawn_mm = _nearest(value, told_mm, sides)
            if is_off(drawn_mm, told_mm):
                told, drawn = in_home_units(of, told_mm, drawn_mm)
                says = (
                    f"“{value.label}” is {told}, and its line is drawn {drawn} long, from corner "
                    f"{line.start} to {line.end}. Choose the corners that it runs between, or leave the line "
                    "out."
                )
                of.add(warn(f"pieces.{piece.name}", says, size))


def _nearest(value: ValueEntry, told_mm: float, sides: Sides) -> float:
    """The length between two corners, across, up or straight, that is nearest to what is told."""
    is_round = value.measured is not None and value.measured.around
    lengths = [times * side for side in sides for times in (PARTS_OF_ROUND if is_round else (1,))]
    return min([*lengths, math.hypot(*sides)], key=lambda mm: abs(mm - told_mm))
