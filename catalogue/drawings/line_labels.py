"""Labels of lines: a number in a disc with its length beside it, where it meets nothing that is drawn."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import count, pairwise

import numpy as np
from numpy.typing import NDArray

from catalogue.drawings.dimension_lines import (
    ACROSS,
    ALONG,
    DISC,
    LANE,
    OVERSHOOT,
    SPOTS,
    Box,
    Measure,
    NumberSetting,
    Point,
    SetLabel,
    Span,
    side_of,
    slanting,
    straight,
)
from catalogue.drawings.nests import LETTER_WIDTH, Paper
from grading.core.grade.pieces import PieceDrawing

Points = NDArray[np.float64]

# In heights of the type: between disc and text, round a label, and what shows of a line on either side of it.
TEXT_GAP, APART, SHOWING = 0.35, 0.15, 0.6
# How far labels go from a line at the most, in steps of half a height of the type.
STEPS = 30
# A label so far from its line is led to by a line of its own.
LED_FROM = 0.8
EDGE_STEP_MM = 0.5


def text_mm(text: str, type_mm: float) -> float:
    """How wide a text is at the most, in mm."""
    return len(text) * LETTER_WIDTH * type_mm


def label_room(text: str, type_mm: float) -> float:
    """How long a label is, in mm."""
    return 2 * DISC * type_mm + (TEXT_GAP * type_mm + text_mm(text, type_mm) if text else 0.0)


def level_label(left: float, middle: float, text: str, type_mm: float) -> SetLabel:
    """A label that begins at `left`, its middle at a height."""
    half, start = DISC * type_mm, left + (2 * DISC + TEXT_GAP) * type_mm
    right = left + label_room(text, type_mm)
    text_box = (left + half, middle - half, right, middle + half) if text else None
    return SetLabel(
        (left + half, middle), (start, middle), (left, middle - half, right, middle + half), text_box
    )


def upright_label(low: float, middle: float, text: str, type_mm: float) -> SetLabel:
    """A label that is read upwards and begins at the height `low`, its middle at a distance from the left."""
    half, start = DISC * type_mm, low - (2 * DISC + TEXT_GAP) * type_mm
    top = low - label_room(text, type_mm)
    text_box = (middle - half, top, middle + half, low - half) if text else None
    return SetLabel((middle, low - half), (middle, start), (middle - half, top, middle + half, low), text_box)


def meet(one: Box, other: Box, apart: float = 0.0) -> bool:
    """Whether two boxes overlap, or are nearer than that."""
    return (
        one[0] < other[2] + apart
        and other[0] < one[2] + apart
        and one[1] < other[3] + apart
        and other[1] < one[3] + apart
    )


def meets_any(box: Box, others: Points) -> bool:
    """Whether a box overlaps one of others, an array of shape (boxes, 4)."""
    return bool(((others[:, :2] < box[2:]) & (box[:2] < others[:, 2:])).all(axis=1).any())


def boxes_along(start: Points, end: Points, half: float) -> list[Box]:
    """Small boxes that cover a slanting line."""
    steps = max(2, int(np.hypot(*(end - start)) / max(half, EDGE_STEP_MM)) + 1)
    at = start + (end - start) * np.linspace(0.0, 1.0, steps)[:, None]
    return [(x - half, y - half, x + half, y + half) for x, y in at.tolist()]


def place_told(
    drawing: PieceDrawing,
    readings: Sequence[NumberSetting],
    texts: Sequence[str],
    *,
    scale: float,
    type_mm: float,
) -> tuple[list[Measure], Box]:
    """Lay the lines of a piece round it with their lengths, so that no label meets a label or another line.

    Args:
        drawing: The piece in its own mm, y upwards.
        readings: How each of its lines reads.
        texts: What stands beside the number of each line; "" for nothing.
        scale: How many mm of the piece are one on paper.
        type_mm: Height of the type, mm of paper.

    Returns:
        The measures in the order of the lines, and the box that holds piece and measures.
    """
    left, _, _, top = drawing.box
    on_paper = Paper(left, top, scale)
    layout = _Layout(on_paper(drawing.edge), texts, type_mm)
    ends = [on_paper(np.array([line.start, line.end])) for line in drawing.lines]
    spans = [
        Span(number, _point(pair[0]), _point(pair[1]), reading.way)
        for number, (pair, reading) in enumerate(zip(ends, readings, strict=True), 1)
    ]
    for span in spans:
        if span.way == ALONG:
            layout.add_slanting(span)
    for span in sorted(spans, key=lambda one: (one.reach[1] - one.reach[0], one.number)):
        if span.way != ALONG:
            layout.add_straight(span)
    return sorted(layout.measures, key=lambda one: one.number), layout.box()


class _Layout:
    """Puts one line after another round a piece."""

    def __init__(self, edge: Points, texts: Sequence[str], type_mm: float) -> None:
        self.texts, self.type_mm = texts, type_mm
        self.width, self.height = edge.max(axis=0).tolist()
        self.edge = edge_points(edge)
        self.taken: list[Box] = []
        self.measures: list[Measure] = []

    def add_straight(self, span: Span) -> None:
        """A level or upright line in the nearest lane where it and its label are free."""
        side = side_of(span, self.width, self.height)
        text, tick = self.texts[span.number - 1], OVERSHOOT * self.type_mm
        low, high = span.reach
        for lane in count():
            away = LANE * self.type_mm * (lane + 0.75)
            at = {"top": -away, "left": -away, "bottom": self.height + away, "right": self.width + away}[side]
            is_level = span.way == ACROSS
            line = (low, at - tick, high, at + tick) if is_level else (at - tick, low, at + tick, high)
            if self._is_free(line, -1e-6):
                for label in self._on_line(span, at, text):
                    if self._is_free(label.box, APART * self.type_mm):
                        self._take(straight(span, at, self.type_mm), label, [line], not is_level)
                        return

    def add_slanting(self, span: Span) -> None:
        """A slanting line beside its edge, its label level and as near to it as it is free."""
        text = self.texts[span.number - 1]
        measure, ends = slanting(span, (self.width / 2, self.height / 2), self.type_mm)
        start, end = np.array(ends)
        line = boxes_along(start, end, 0.3 * OVERSHOOT * self.type_mm)
        along = (end - start) / (np.hypot(*(end - start)) or 1.0)
        normal = np.array([along[1], -along[0]])
        if normal @ ((start + end) / 2 - [self.width / 2, self.height / 2]) < 0:
            normal = -normal
        spots = [start + (end - start) * share for share in SPOTS[:5]]
        labels = [label for _, label in beside(spots, normal, text, self.type_mm)]
        label = next(
            (one for one in labels if self._is_clear(one.box, line) and not holds_any(one.box, self.edge)),
            labels[-1],
        )
        measure = replace(measure, guides=measure.guides + leader(start, end, label, self.type_mm))
        self._take(measure, label, line, turned=False)

    def box(self) -> Box:
        """The box of the piece with its lines and labels and a hair of air."""
        air = 0.4 * self.type_mm
        boxes = [(0.0, 0.0, self.width, self.height), *self.taken]
        lows, highs = np.array(boxes)[:, :2].min(axis=0), np.array(boxes)[:, 2:].max(axis=0)
        return float(lows[0] - air), float(lows[1] - air), float(highs[0] + air), float(highs[1] + air)

    def _on_line(self, span: Span, at: float, text: str) -> Iterator[SetLabel]:
        """A label in the middle of its line, or beyond either end of a short one."""
        low, high = span.reach
        room, gap = label_room(text, self.type_mm), TEXT_GAP * self.type_mm
        is_level = span.way == ACROSS
        if high - low >= room + 2 * SHOWING * self.type_mm:
            starts = [(low + high - room) / 2]
        else:
            most = self.width if is_level else self.height
            starts = [high + gap, low - gap - room]
            starts.sort(key=lambda start: max(-start, start + room - most, 0.0))
        for start in starts:
            yield (
                level_label(start, at, text, self.type_mm)
                if is_level
                else upright_label(start + room, at, text, self.type_mm)
            )

    def _is_free(self, box: Box, apart: float) -> bool:
        """Whether nothing lies there."""
        return not any(meet(box, other, apart) for other in self.taken)

    def _is_clear(self, box: Box, line: Iterable[Box]) -> bool:
        """Whether neither another thing nor its own line lies there."""
        return self._is_free(box, APART * self.type_mm) and not any(meet(box, part) for part in line)

    def _take(self, measure: Measure, label: SetLabel, line: Sequence[Box], turned: bool) -> None:
        """Keep a line with its label."""
        self.taken += [*line, label.box]
        self.measures.append(replace(measure, at=label.disc, turned=turned, label=label))


def beside(
    spots: Sequence[Points], normal: Points, text: str, type_mm: float
) -> Iterator[tuple[float, SetLabel]]:
    """Level labels beside spots of a line with how far each is off it, nearest first, both sides in turn."""
    room = label_room(text, type_mm)
    reach = abs(normal[0]) * room / 2 + abs(normal[1]) * DISC * type_mm
    for step in range(STEPS):
        apart = (APART + 0.2 + step * 0.5) * type_mm
        for way in (normal, -normal):
            for spot in spots:
                x, y = spot + way * (reach + apart)
                yield apart, level_label(float(x) - room / 2, float(y), text, type_mm)


def leader(start: Points, end: Points, label: SetLabel, type_mm: float) -> str:
    """A line from the nearest point of a line to its label that stands away from it; else nothing."""
    points = start + (end - start) * np.linspace(0.0, 1.0, 21)[:, None]
    nearest = np.clip(points, label.box[:2], label.box[2:])
    apart = np.hypot(*(nearest - points).T)
    at = int(apart.argmin())
    if apart[at] <= LED_FROM * type_mm:
        return ""
    (x0, y0), (x1, y1) = points[at].tolist(), nearest[at].tolist()
    return f"M{x0:.2f} {y0:.2f}L{x1:.2f} {y1:.2f}"


def edge_points(edge: Points) -> Points:
    """Points close together on a closed edge."""
    around = np.vstack([edge, edge[:1]])
    parts = []
    for before, after in pairwise(around):
        steps = int(np.hypot(*(after - before)) / EDGE_STEP_MM) + 1
        parts.append(before + (after - before) * np.linspace(0.0, 1.0, steps, endpoint=False)[:, None])
    return np.vstack(parts)


def holds_any(box: Box, points: Points) -> bool:
    """Whether a point lies in a box."""
    inside = (points >= box[:2]) & (points <= box[2:])
    return bool(inside.all(axis=1).any())


def is_inside(point: Point, edge: Points) -> bool:
    """Whether a point lies within a closed edge."""
    (x0, y0), (x1, y1) = edge.T, np.roll(edge, -1, axis=0).T
    crossing = (y0 > point[1]) != (y1 > point[1])
    with np.errstate(divide="ignore", invalid="ignore"):
        right = x0 + (point[1] - y0) * (x1 - x0) / (y1 - y0) > point[0]
    return bool(np.count_nonzero(crossing & right) % 2)


def _point(of: Points) -> Point:
    """A point as a pair."""
    return float(of[0]), float(of[1])
