"""Pieces drawn to scale: corners, curved edges, dimension lines, all sizes in one nest."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grading.core.pattern.pattern import CurveEntry, PieceEntry
from grading.core.shaping.curves import QUARTER_ELLIPSE

Points = NDArray[np.float64]

STEPS_PER_CURVE = 24


@dataclass(frozen=True)
class Bend:
    """An edge that is a curve: it leaves corner `start` along the row and reaches `end` along the rows."""

    start: int
    end: int
    shape: str = QUARTER_ELLIPSE


@dataclass(frozen=True)
class DrawnDimension:
    """A dimension line from corner to corner, bearing the numbers of a value."""

    value: str
    start: int
    end: int


@dataclass(frozen=True)
class DimensionLine:
    """A dimension line of one size, in mm."""

    value: str
    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def length_mm(self) -> float:
        """Its length as drawn."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True)
class PieceDrawing:
    """One piece in one size: its edge as a closed polygon in mm, and its dimension lines."""

    corners: Points
    edge: Points
    lines: tuple[DimensionLine, ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y of the edge, in mm."""
        low, high = self.edge.min(axis=0), self.edge.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])

    @property
    def width_mm(self) -> float:
        """Widest extent along the rows."""
        return self.box[2] - self.box[0]

    @property
    def area_mm2(self) -> float:
        """Area inside the edge."""
        x, y = self.edge[:, 0], self.edge[:, 1]
        return float(abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2)


def corner_problem(
    corners: int, bends: Sequence[Bend] = (), dimensions: Sequence[DrawnDimension] = ()
) -> str | None:
    """Say which corner number of a piece names no corner.

    Args:
        corners: Number of corners of the outline.
        bends: Curved edges.
        dimensions: Dimension lines.

    Returns:
        A sentence, or None. Corners are numbered from 1, from 0 in a piece that names a corner 0.

    Source: derived.

    >>> corner_problem(4, dimensions=[DrawnDimension("chest", 1, 5)])
    'There is no corner 5: the outline has the corners 1 to 4.'
    """
    named = _named_corners(bends, dimensions)
    first = _first_number(bends, dimensions)
    for number in named:
        if not first <= number < first + corners:
            last = first + corners - 1
            return f"There is no corner {number}: the outline has the corners {first} to {last}."
    return None


def draw_pieces(
    outline: Points, bends: Sequence[Bend] = (), dimensions: Sequence[DrawnDimension] = ()
) -> list[PieceDrawing | None]:
    """Draw a piece in every size.

    Args:
        outline: Corners in mm, shape (sizes, corners, 2), x along the rows; NaN where unknown.
        bends: Curved edges between neighbouring corners; `corner_problem` must be None.
        dimensions: Dimension lines.

    Returns:
        One drawing per size, in size order; None where a corner is unknown.

    Source: derived.

    >>> square = np.array([[[0.0, 0], [100, 0], [100, 50], [0, 50]]])
    >>> draw_pieces(square, dimensions=[DrawnDimension("width", 1, 2)])[0].lines[0].length_mm
    100.0
    """
    first = _first_number(bends, dimensions)
    return [_draw(corners, bends, dimensions, first) for corners in outline]


def dimension_lines_of(
    piece: PieceEntry, curves: Sequence[CurveEntry] = ()
) -> tuple[list[Bend], list[DrawnDimension]]:
    """Return the curved edges and dimension lines of a piece as read.

    Args:
        piece: The piece.
        curves: The curves of the pattern, for the shapes of those that edges name.

    Returns:
        Curved edges (a quarter of an ellipse where no shape is known) and dimension lines. A curve
        that is named without corners has no place on the outline.

    Source: derived.

    >>> dimension_lines_of(PieceEntry("back", "Back", (("0 cm", "0 cm"),)))
    ([], [])
    """
    shapes = {curve.name: curve.shape for curve in curves}
    bends = [
        Bend(one.start, one.end, shapes.get(one.curve or "", QUARTER_ELLIPSE))
        for one in piece.curves
        if one.start != one.end
    ]
    return bends, [DrawnDimension(one.value, one.start, one.end) for one in piece.dimensions]


def first_corner(piece: PieceEntry) -> int:
    """Return the number of a piece's first corner.

    Args:
        piece: The piece.

    Returns:
        1, or 0 in a piece that names a corner 0.

    Source: derived.

    >>> first_corner(PieceEntry("back", "Back", (("0 cm", "0 cm"),)))
    1
    """
    return _first_number(*dimension_lines_of(piece))


def draw_graded(
    piece: PieceEntry, corners: Points, curves: Sequence[CurveEntry] = ()
) -> list[PieceDrawing | None]:
    """Draw a graded piece in every size.

    Args:
        piece: The piece as read; its corner numbers are good (`corner_problem`).
        corners: Its corners in mm, shape (sizes, corners, 2), as the grading gives them.
        curves: The curves of the pattern.

    Returns:
        One drawing per size, None where a corner is unknown or names none.

    Source: derived.

    >>> piece = PieceEntry("back", "Back", (("0 cm", "0 cm"),) * 3)
    >>> draw_graded(piece, np.array([[[0.0, 0], [2, 0], [0, 2]]]))[0].area_mm2
    2.0
    """
    bends, dimensions = dimension_lines_of(piece, curves)
    if corner_problem(corners.shape[1], bends, dimensions):
        return [None] * len(corners)
    return draw_pieces(corners, bends, dimensions)


def nest_box(drawings: Sequence[PieceDrawing | None]) -> tuple[float, float, float, float] | None:
    """Return the box that holds a piece in all its sizes, drawn from one origin.

    Args:
        drawings: One per size, None where unknown.

    Returns:
        Least x, least y, greatest x, greatest y in mm; None where no size is known.

    Source: derived.

    >>> nest_box(draw_pieces(np.array([[[0.0, 0], [1, 0], [0, 1]], [[0, 0], [2, 0], [0, 2]]])))
    (0.0, 0.0, 2.0, 2.0)
    """
    boxes = np.array([drawing.box for drawing in drawings if drawing is not None])
    if not len(boxes):
        return None
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def mirror_drawing(drawing: PieceDrawing) -> PieceDrawing:
    """Mirror a piece left to right, within its own box.

    Args:
        drawing: A piece in one size.

    Returns:
        The piece as worked by the other hand, or as the opposite front.

    Source: derived.

    >>> mirror_drawing(draw_pieces(np.array([[[0.0, 0], [3, 0], [0, 1]]]))[0]).corners[0].tolist()
    [3.0, 0.0]
    """
    turn = drawing.box[0] + drawing.box[2]
    lines = tuple(
        DimensionLine(line.value, (turn - line.start[0], line.start[1]), (turn - line.end[0], line.end[1]))
        for line in drawing.lines
    )
    return PieceDrawing(_mirrored(drawing.corners, turn), _mirrored(drawing.edge, turn), lines)


def _first_number(bends: Sequence[Bend], dimensions: Sequence[DrawnDimension]) -> int:
    """Return the number of the first corner: 1, or 0 in a piece that names a corner 0."""
    return 0 if 0 in _named_corners(bends, dimensions) else 1


def _named_corners(bends: Sequence[Bend], dimensions: Sequence[DrawnDimension]) -> list[int]:
    """List the corner numbers that a piece names."""
    lines: list[Bend | DrawnDimension] = [*bends, *dimensions]
    return [number for line in lines for number in (line.start, line.end)]


def _draw(
    corners: Points, bends: Sequence[Bend], dimensions: Sequence[DrawnDimension], first: int
) -> PieceDrawing | None:
    """Draw one size."""
    if not np.isfinite(corners).all():
        return None
    places = [(float(x), float(y)) for x, y in corners]
    lines = tuple(
        DimensionLine(line.value, places[line.start - first], places[line.end - first]) for line in dimensions
    )
    return PieceDrawing(corners, _edge(corners, bends, first), lines)


def _edge(corners: Points, bends: Sequence[Bend], first: int) -> Points:
    """Follow the outline corner by corner, with its curved edges as many short ones."""
    by_pair = {(bend.start - first, bend.end - first): bend for bend in bends}
    points: list[Points] = []
    for i in range(len(corners)):
        after = (i + 1) % len(corners)
        points.append(corners[i : i + 1])
        if (i, after) in by_pair:
            points.append(_curve(corners[i], corners[after], by_pair[i, after].shape))
        elif (after, i) in by_pair:
            points.append(_curve(corners[after], corners[i], by_pair[after, i].shape)[::-1])
    return np.concatenate(points)


def _curve(start: Points, end: Points, shape: str) -> Points:
    """Return the points between two corners of a curve, without the corners."""
    angle = np.linspace(0, np.pi / 2, STEPS_PER_CURVE + 1)[1:-1]
    across, down = np.sin(angle), 1 - np.cos(angle)
    if shape != QUARTER_ELLIPSE:
        across = down
    return np.asarray(start + (end - start) * np.column_stack([across, down]))


def _mirrored(points: Points, turn: float) -> Points:
    """Mirror points at the line x = turn / 2."""
    return np.column_stack([turn - points[:, 0], points[:, 1]])
