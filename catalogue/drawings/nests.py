"""Nests: a piece in all its sizes, one inside the other, each dashed in its own way."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from grading.core.grade.pieces import PieceDrawing, Points

LETTER_WIDTH = 0.56  # of the height of the type, on the average

# Told apart without colour: how the edge of each size is dashed, over and over.
DASHES = ("", "2.2 0.9", "0.7 0.8", "3.2 0.8 0.7 0.8", "4.5 1.2", "1.6 0.7 0.5 0.7 0.5 0.7")

# So wide a legend leaves room for a piece of the usual width beside it.
LEGEND_MM = 70.0

# Halves of a piece that differ by less look alike on paper.
LIKE_MM = 2.0


@dataclass(frozen=True)
class Frame:
    """The box of an SVG in mm of paper, and the words that stand for it."""

    view_box: str
    width_mm: float
    height_mm: float
    title: str


@dataclass(frozen=True)
class NestLine:
    """A size in the nest: its edge, how it is dashed, and its place in the legend."""

    size: str
    edge: str
    dash: str
    stroke_mm: float
    x: float
    y: float
    line_end: float


@dataclass(frozen=True)
class Nest:
    """A piece in all its sizes."""

    frame: Frame
    lines: tuple[NestLine, ...]
    type_mm: float
    caption: str = ""


def draw_nest(
    label: str,
    named: Sequence[tuple[str, PieceDrawing]],
    *,
    scale: float,
    type_mm: float,
    cells: int = 4,
) -> Nest:
    """Lay all sizes on one hem, with a legend below that is so many names wide at least."""
    names = [name for name, _ in named]
    drawings = [drawing for _, drawing in named]
    left, top, width = _common(drawings)
    height = (top - min(drawing.box[1] for drawing in drawings)) / scale
    cell = type_mm * (3.4 + LETTER_WIDTH * max(len(name) for name in names))
    across = max(1, int(max(width / scale, min(cells * cell, LEGEND_MM)) // cell))
    lines = []
    for i, (name, drawing) in enumerate(named):
        shift = (width - drawing.width_mm) / 2 if left is None else drawing.box[0] - left
        edge = edge_path(Paper(drawing.box[0] - shift, top, scale)(drawing.edge))
        at = (i % across) * cell, height + type_mm * (2 + 1.5 * (i // across))
        lines.append(_nest_line(name, edge, i, at, type_mm))
    low = height + type_mm * (1.5 * ceil(len(names) / across) + 1.2)
    right = max(width / scale, min(len(names), across) * cell)
    words = f"{label} in the sizes {', '.join(names)}, one inside the other, drawn to scale."
    caption = f"Sizes {names[0]} to {names[-1]}" if len(names) > 1 else f"Size {names[0]}"
    caption = f"{caption}, 1 : {scale:g}"
    return Nest(frame_of((-0.5, -0.5, right + 0.5, low), words), tuple(lines), type_mm, caption)


def frame_of(box: tuple[float, float, float, float], title: str) -> Frame:
    """The frame of least x and y, greatest x and y."""
    x0, y0, x1, y1 = box
    view_box = f"{x0:.2f} {y0:.2f} {x1 - x0:.2f} {y1 - y0:.2f}"
    return Frame(view_box, round(x1 - x0, 2), round(y1 - y0, 2), title)


@dataclass(frozen=True)
class Paper:
    """Puts points of a piece, in its own mm with y upwards, on paper: mm from left and top, y downwards."""

    left: float
    top: float
    scale: float

    def __call__(self, points: Points) -> Points:
        """The same points on paper, shape (points, 2)."""
        return np.column_stack([points[:, 0] - self.left, self.top - points[:, 1]]) / self.scale


def edge_path(points: Points, *, closed: bool = True) -> str:
    """A broken line through points on paper, in mm, as the path of an SVG."""
    return "M" + "L".join(f"{x + 0.0:.2f} {y + 0.0:.2f}" for x, y in points.tolist()) + "Z" * closed


def _common(drawings: Sequence[PieceDrawing]) -> tuple[float | None, float, float]:
    """Left edge (None where sizes share their middle), top edge and width of a nest, in mm of the piece.

    A piece with two like halves is laid middle on middle, as a maker would fold it.
    """
    top = max(drawing.box[3] for drawing in drawings)
    if all(_has_like_halves(drawing) for drawing in drawings):
        return None, top, max(drawing.width_mm for drawing in drawings)
    left = min(drawing.box[0] for drawing in drawings)
    return left, top, max(drawing.box[2] for drawing in drawings) - left


def _has_like_halves(drawing: PieceDrawing) -> bool:
    """Whether the piece looks the same when mirrored; corners within a straight edge don't count."""
    turn = drawing.box[0] + drawing.box[2]
    before, after = (
        np.roll(drawing.edge, 1, axis=0) - drawing.edge,
        np.roll(drawing.edge, -1, axis=0) - drawing.edge,
    )
    bent = drawing.edge[np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]) > 1e-6]
    mirrored = np.column_stack([turn - bent[:, 0], bent[:, 1]])
    apart = np.abs(bent[:, None, :] - mirrored[None, :, :]).max(axis=2).min(axis=1)
    return bool(apart.max(initial=0.0) < LIKE_MM)


def _nest_line(size: str, edge: str, number: int, at: tuple[float, float], type_mm: float) -> NestLine:
    """One size of the nest; each round of dashes is drawn stronger than the last."""
    dash = DASHES[number % len(DASHES)]
    stroke = 0.2 * (1 + number // len(DASHES))
    return NestLine(
        size, edge, dash, round(stroke, 2), round(at[0], 2), round(at[1], 2), round(at[0] + 2.6 * type_mm, 2)
    )
