"""Dimension lines round a piece: which way each runs, on which side it stands, and where its number goes."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grading.core.grade.pieces import DimensionLine, PieceDrawing

Point = tuple[float, float]
# Least x and y, greatest x and y, in mm of paper, y downwards.
Box = tuple[float, float, float, float]

# A line within this share of its number is taken to show it; stitches are whole, so halves differ a little.
CLOSE = 0.03
ACROSS, UP, ALONG = "across", "up", "along"

# In heights of the type.
LANE = 2.5
FIRST_LANE = 0.75  # of the width of a lane, off the piece
DISC = 0.82
# Where the number of a line may stand: in its middle, else nearer to one end. Shares of its length.
SPOTS = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9, 0.0, 1.0)
OVERSHOOT = 0.5
CLEAR = 0.35


@dataclass(frozen=True)
class NumberSetting:
    """How a dimension line shows its number: across, up or along; whole, half, or neither (0)."""

    way: str
    parts: int


@dataclass(frozen=True)
class SetLabel:
    """Where a label stands: its disc's middle, where its text begins (or ends, before it), and their boxes.

    That of the text begins behind the disc, so that no bit of a line between them looks like a minus.
    """

    disc: Point
    text_at: Point
    box: Box
    text_box: Box | None
    text_first: bool = False

    @property
    def is_upright(self) -> bool:
        """Whether it is read upwards."""
        return self.text_at[0] == self.disc[0]

    @property
    def length_box(self) -> Box | None:
        """The text without what lies behind the disc; None without a text."""
        if self.text_box is None:
            return None
        half = (self.box[3] - self.box[1]) / 2
        left, top, right, bottom = self.text_box
        return (left, top, right - half, bottom) if self.text_first else (left + half, top, right, bottom)

    @property
    def back(self) -> Box | None:
        """What lies behind the text: x, y, width and height; None without a text."""
        if self.text_box is None:
            return None
        x0, y0, x1, y1 = self.text_box
        return round(x0, 2), round(y0, 2), round(x1 - x0, 2), round(y1 - y0, 2)


@dataclass(frozen=True)
class Measure:
    """A dimension line on paper: its number in the key, its strokes, and where the number stands.

    `label` is where the number stands with its length, where lengths stand in the drawing.
    """

    number: int
    strokes: str
    guides: str
    at: Point
    turned: bool
    length: float
    label: SetLabel | None = None


@dataclass(frozen=True)
class Span:
    """A line from corner to corner on paper, y downwards, and how it reads."""

    number: int
    start: Point
    end: Point
    way: str

    @property
    def reach(self) -> tuple[float, float]:
        """The stretch it covers, along its own way."""
        axis = 0 if self.way == ACROSS else 1
        return min(self.start[axis], self.end[axis]), max(self.start[axis], self.end[axis])


def set_number(
    lines: Sequence[DimensionLine | None], numbers: Sequence[float], *, around: bool
) -> NumberSetting:
    """Say how the lines of one dimension, one per size, show the numbers of its value.

    Round the body half of a measurement lies in one piece: then the line is half as long as its number.
    """
    pairs = [
        (line, number)
        for line, number in zip(lines, numbers, strict=True)
        if line and number > 0 and line.length_mm > 0
    ]
    best = NumberSetting(ALONG, 0)
    least = CLOSE
    for parts in (1, 2) if around else (1,):
        for way in (ACROSS, UP, ALONG):
            errors = [abs(extent_mm(line, way) * parts - number) / number for line, number in pairs]
            error = float(np.mean(errors)) if errors else math.inf
            if error < least - 1e-9:
                best, least = NumberSetting(way, parts), error
    return best


def place_measures(
    drawing: PieceDrawing, readings: Sequence[NumberSetting], *, scale: float, type_mm: float
) -> tuple[list[Measure], Box]:
    """Lay the dimension lines of a piece round it, in mm of paper with y downwards.

    Returns:
        The measures in the order of the key, and the box that holds piece and measures.
    """
    left, bottom, right, top = drawing.box
    width, height = (right - left) / scale, (top - bottom) / scale

    def on_paper(point: Point) -> Point:
        return (point[0] - left) / scale, (top - point[1]) / scale

    spans = [
        Span(number, on_paper(line.start), on_paper(line.end), reading.way)
        for number, (line, reading) in enumerate(zip(drawing.lines, readings, strict=True), start=1)
    ]
    measures = [slanting(span, (width / 2, height / 2), type_mm)[0] for span in spans if span.way == ALONG]
    for side in ("top", "bottom", "left", "right"):
        measures += _lanes([span for span in spans if side_of(span, width, height) == side],
                           side, (width, height), type_mm)  # fmt: skip
    measures.sort(key=lambda one: one.number)
    return measures, _box(measures, width, height, type_mm)


def extent_mm(line: DimensionLine, way: str) -> float:
    """How long a line is, one way."""
    across, up = abs(line.end[0] - line.start[0]), abs(line.end[1] - line.start[1])
    return {ACROSS: across, UP: up, ALONG: math.hypot(across, up)}[way]


def side_of(span: Span, width: float, height: float) -> str:
    """The side that a level or upright line stands on: the nearer one."""
    if span.way == ACROSS:
        return "top" if (span.start[1] + span.end[1]) / 2 <= height / 2 else "bottom"
    if span.way == UP:
        return "right" if (span.start[0] + span.end[0]) / 2 >= width / 2 - 1e-6 else "left"
    return ""


def _lanes(spans: Iterable[Span], side: str, size: Point, type_mm: float) -> list[Measure]:
    """Put the lines of one side into lanes, short ones nearest to the piece, none on top of another."""
    lanes: list[list[tuple[float, float]]] = []
    measures = []
    for span in sorted(spans, key=lambda one: (one.reach[1] - one.reach[0], one.number)):
        low, high = span.reach
        taken = (low, max(high, high + 2 * DISC * type_mm if _is_short(high - low, type_mm) else high))
        lane = next((i for i, lane in enumerate(lanes) if not any(_meet(taken, one) for one in lane)), None)
        if lane is None:
            lanes.append([])
            lane = len(lanes) - 1
        lanes[lane].append(taken)
        away = LANE * type_mm * (lane + 1) - LANE * type_mm * 0.25
        at = {"top": -away, "left": -away, "bottom": size[1] + away, "right": size[0] + away}[side]
        measures.append(straight(span, at, type_mm))
    return measures


def _meet(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two stretches overlap by more than a touch."""
    return one[0] < other[1] - 1e-6 and other[0] < one[1] - 1e-6


def _is_short(length: float, type_mm: float) -> bool:
    """Whether the number would hide the line."""
    return length < 3.2 * DISC * type_mm


def straight(span: Span, at: float, type_mm: float) -> Measure:
    """A level line at a height, or an upright line at a distance, with guides from its corners."""
    low, high = span.reach
    tick = OVERSHOOT * type_mm
    middle = high + DISC * type_mm if _is_short(high - low, type_mm) else (low + high) / 2
    ends = (span.start, span.end)
    if span.way == ACROSS:
        strokes = f"M{low:.2f} {at:.2f}H{high:.2f}" + "".join(
            f"M{x:.2f} {at - tick:.2f}V{at + tick:.2f}" for x in (low, high)
        )
        guides = "".join(f"M{x:.2f} {_off(y, at, type_mm):.2f}V{at:.2f}" for x, y in ends)
        return Measure(span.number, strokes, guides, (middle, at), turned=False, length=high - low)
    strokes = f"M{at:.2f} {low:.2f}V{high:.2f}" + "".join(
        f"M{at - tick:.2f} {y:.2f}H{at + tick:.2f}" for y in (low, high)
    )
    guides = "".join(f"M{_off(x, at, type_mm):.2f} {y:.2f}H{at:.2f}" for x, y in ends)
    return Measure(span.number, strokes, guides, (at, middle), turned=True, length=high - low)


def _off(corner: float, at: float, type_mm: float) -> float:
    """Where a guide begins: a little off its corner, towards the line."""
    return corner + math.copysign(CLEAR * type_mm, at - corner)


def slanting(
    span: Span, centre: Point, type_mm: float, lanes: float = FIRST_LANE
) -> tuple[Measure, tuple[Point, Point]]:
    """A slanting line, moved so far off its edge, away from the middle of the piece, and its ends."""
    (x1, y1), (x2, y2) = span.start, span.end
    length = math.hypot(x2 - x1, y2 - y1) or 1.0
    nx, ny = (y2 - y1) / length, (x1 - x2) / length
    mx, my = (x1 + x2) / 2, (y1 + y2) / 2
    if nx * (mx - centre[0]) + ny * (my - centre[1]) < 0:
        nx, ny = -nx, -ny
    off, tick = LANE * type_mm * lanes, OVERSHOOT * type_mm
    a, b = (x1 + nx * off, y1 + ny * off), (x2 + nx * off, y2 + ny * off)
    strokes = f"M{a[0]:.2f} {a[1]:.2f}L{b[0]:.2f} {b[1]:.2f}" + "".join(
        f"M{x - nx * tick:.2f} {y - ny * tick:.2f}L{x + nx * tick:.2f} {y + ny * tick:.2f}" for x, y in (a, b)
    )
    guides = "".join(
        f"M{x:.2f} {y:.2f}L{x + nx * off:.2f} {y + ny * off:.2f}" for x, y in (span.start, span.end)
    )
    middle = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    return Measure(span.number, strokes, guides, middle, turned=False, length=0), (a, b)


def _box(measures: Sequence[Measure], width: float, height: float, type_mm: float) -> Box:
    """Least x and y, greatest x and y of the piece with its numbers and a hair of air."""
    room = (DISC + 0.2) * type_mm
    xs = [x for one in measures for x in (one.at[0] - room, one.at[0] + room)]
    ys = [y for one in measures for y in (one.at[1] - room, one.at[1] + room)]
    air = 0.4 * type_mm
    return min([-air, *xs]), min([-air, *ys]), max([width + air, *xs]), max([height + air, *ys])


def free_spot(
    spots: Sequence[NDArray[np.float64]], taken: Sequence[tuple[float, float]], apart: float
) -> tuple[float, float]:
    """Choose where a number stands: the first spot clear of all others, else the one farthest from them.

    Args:
        spots: Places in the order in which they are wanted, mm of paper.
        taken: Where other numbers stand already.
        apart: How far the middles of two numbers must be from each other, mm.

    Returns:
        The place, x and y.
    """
    rooms = [min((float(np.hypot(*(spot - other))) for other in taken), default=apart) for spot in spots]
    best = next((place for place, room in enumerate(rooms) if room >= apart), int(np.argmax(rooms)))
    return float(spots[best][0]), float(spots[best][1])
