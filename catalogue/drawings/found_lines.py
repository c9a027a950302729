"""Measurements that a piece shows though no line of the sheet names them: width, length, the neck."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from catalogue.drawings.dimension_lines import ACROSS, UP, NumberSetting
from grading.core.grade.pieces import PieceDrawing, first_corner
from grading.core.pattern.pattern import PieceEntry

# A line that covers so much of a piece shows its width or length already.
NEARLY_ALL = 0.85
LEVEL_MM = 2.0
LEAST_MM = 5.0
# A side named so is the neck and an edge besides.
AND = "_and_"
# A piece of four corners that is so many times as long as wide is a strip, told in words and not drawn.
STRIP = 8.0


@dataclass(frozen=True)
class FoundLine:
    """A line between two corners (from 0), how it reads, and what it is called."""

    label: str
    start: int
    end: int
    setting: NumberSetting

    def length_mm(self, drawing: PieceDrawing) -> float:
        """How long it is in one size."""
        across, up = np.abs(drawing.corners[self.end] - drawing.corners[self.start])
        return float(across if self.setting.way == ACROSS else up)


def is_strip(sizes: Sequence[PieceDrawing | None]) -> bool:
    """Whether a piece is a plain strip in every size, such as a tie, a belt or a band."""
    known = [drawing for drawing in sizes if drawing is not None]
    return bool(known) and all(
        len(drawing.corners) == 4
        and _longer(drawing) >= STRIP * min(drawing.width_mm, drawing.box[3] - drawing.box[1])
        for drawing in known
    )


def found_lines(piece: PieceEntry, drawing: PieceDrawing, *, is_wide: bool = False) -> list[FoundLine]:
    """The width, length and neck of a piece as far as its own lines don't show them.

    Up to the second wording (`is_wide`) a side that is the neck and more was measured as the neck.
    """
    found = [line for line in _whole(drawing) if not _is_shown(line, drawing)]
    neck = [
        line for line in _neck(neck_corners(piece, is_wide=is_wide), drawing) if not _is_shown(line, drawing)
    ]
    return [*found, *neck]


def _longer(drawing: PieceDrawing) -> float:
    """The longer side of the box round a piece."""
    return max(drawing.width_mm, drawing.box[3] - drawing.box[1])


def _is_shown(line: FoundLine, drawing: PieceDrawing) -> bool:
    """Whether a line of the pattern has the same extent."""
    axis = 0 if line.setting.way == ACROSS else 1
    wanted = line.length_mm(drawing)
    extents = [abs(one.end[axis] - one.start[axis]) for one in drawing.lines]
    if line.label in ("Width", "Length"):
        return any(extent >= NEARLY_ALL * wanted for extent in extents)
    return any(abs(extent - wanted) <= LEVEL_MM for extent in extents)


def _whole(drawing: PieceDrawing) -> Iterator[FoundLine]:
    """Width along the lower edge, or where the piece is widest, and length from top to bottom."""
    corners = drawing.corners
    left, right = int(corners[:, 0].argmin()), int(corners[:, 0].argmax())
    yield FoundLine("Width", left, right, NumberSetting(ACROSS, 1))
    top = _extreme(corners, corners[:, 1].max(), 0)
    bottom = _extreme(corners, corners[:, 1].min(), 0)
    yield FoundLine("Length", top, bottom, NumberSetting(UP, 1))


def _extreme(corners: NDArray[np.float64], y: float, axis: int) -> int:
    """The first corner from the left at a height."""
    level = np.flatnonzero(np.abs(corners[:, 1] - y) <= LEVEL_MM)
    return int(level[corners[level, axis].argmin()])


def _neck(places: Sequence[int], drawing: PieceDrawing) -> Iterator[FoundLine]:
    """Width and depth of a neck between its corners."""
    if len(places) < 2:
        return
    corners = drawing.corners
    start, end = (
        min(places, key=lambda place: corners[place, 0]),
        max(places, key=lambda place: corners[place, 0]),
    )
    top = max((start, end), key=lambda place: corners[place, 1])
    deepest = min(places, key=lambda place: corners[place, 1])
    is_half = abs(corners[start, 1] - corners[end, 1]) > LEAST_MM
    width = FoundLine("Neck, one side" if is_half else "Neck width", start, end, NumberSetting(ACROSS, 1))
    depth = FoundLine("Neck depth", top, deepest, NumberSetting(UP, 1))
    yield from (line for line in (width, depth) if line.length_mm(drawing) > LEAST_MM)


def neck_corners(piece: PieceEntry, *, is_wide: bool = False) -> list[int]:
    """The corners (from 0) of the sides or curves of a piece that are named after the neck alone."""
    first, count = first_corner(piece), len(piece.outline)
    sides = [side for side in piece.sides if "neck" in side.name and (is_wide or AND not in side.name)]
    places: set[int] = set()
    for side in sides:
        at, end = side.start - first, side.end - first
        if not (0 <= at < count and 0 <= end < count):
            return []
        places.add(at)
        while at != end:
            at = (at + 1) % count
            places.add(at)
    if not sides:
        curves = [one for one in piece.curves if one.start != one.end and "neck" in (one.curve or "")]
        places = {number - first for one in curves for number in (one.start, one.end)}
    return sorted(places)
