"""Labels of lines: a number in a disc with its length beside it, where it meets nothing that is drawn."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import count, pairwise
from operator import itemgetter

import numpy as np

from catalogue.drawings.dimension_lines import (
    ACROSS,
    ALONG,
    DISC,
    FIRST_LANE,
    LANE,
    OVERSHOOT,
    UP,
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
from catalogue.drawings.nests import Paper
from catalogue.drawings.touching_labels import (
    SHOWING,
    Points,
    label_at,
    label_room,
    touching_labels,
    upright_at,
)
from grading.core.grade.pieces import PieceDrawing

# Round a label, in heights of the type.
APART = 0.15
EDGE_STEP_MM = 0.5
# So short a length stands level on an upright line: an 8 that is read upwards looks like infinity.
LEVEL_LETTERS = 1


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
    left, top, right, bottom = others.T
    return bool(((left < box[2]) & (top < box[3]) & (right > box[0]) & (bottom > box[1])).any())


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
            away = LANE * self.type_mm * (lane + FIRST_LANE)
            at = {"top": -away, "left": -away, "bottom": self.height + away, "right": self.width + away}[side]
            is_level = span.way == ACROSS
            line = (low, at - tick, high, at + tick) if is_level else (at - tick, low, at + tick, high)
            if self._is_free(line, -1e-6):
                for label in self._on_line(span, at, text):
                    if self._is_free(label.box, APART * self.type_mm):
                        self._take(
                            straight(span, at, self.type_mm), label, [line], not is_level and label.is_upright
                        )
                        return

    def add_slanting(self, span: Span) -> None:
        """A slanting line in the nearest lane where it and a level label that touches it are free."""
        text, middle = self.texts[span.number - 1], (self.width / 2, self.height / 2)
        if span.start == span.end:  # it has no direction in which it could be moved
            measure, (end, _) = slanting(span, middle, self.type_mm)
            self._take(measure, label_at(np.array(end), text, self.type_mm), [], turned=False)
            return
        for lane in count():
            measure, ends = slanting(span, middle, self.type_mm, lane + FIRST_LANE)
            start, end = np.array(ends)
            line = boxes_along(start, end, 0.3 * OVERSHOOT * self.type_mm)
            if not all(self._is_free(part, 0.0) for part in line):
                continue
            for _, label in sorted(touching_labels(start, end, text, self.type_mm), key=itemgetter(0)):
                if self._is_clear(label, line):
                    self._take(measure, label, line, turned=False)
                    return

    def box(self) -> Box:
        """The box of the piece with its lines and labels and a hair of air."""
        air = 0.4 * self.type_mm
        boxes = [(0.0, 0.0, self.width, self.height), *self.taken]
        lows, highs = np.array(boxes)[:, :2].min(axis=0), np.array(boxes)[:, 2:].max(axis=0)
        return float(lows[0] - air), float(lows[1] - air), float(highs[0] + air), float(highs[1] + air)

    def _on_line(self, span: Span, at: float, text: str) -> Iterator[SetLabel]:
        """A label in the middle of its line, or with its disc at either end of a short one.

        Where it would make the picture higher, it stands level, its disc on the line.
        """
        low, high = span.reach
        room, half = label_room(text, self.type_mm), DISC * self.type_mm
        if high - low >= room + 2 * SHOWING * self.type_mm:
            middle = (low + high) / 2
            yield self._at(span, middle + (room / 2 - half) * (-1 if span.way == ACROSS else 1), at, text)
            return
        most = self.width if span.way == ACROSS else self.height
        starts = {high: high + half, low - room: low - half}
        beyond = {start: max(-start, start + room - most, 0.0) for start in starts}
        for start in sorted(starts, key=lambda start: beyond[start]):
            if span.way == UP and beyond[start] > 0 and high - low >= 2 * (half + SHOWING * self.type_mm):
                disc = np.array([at, (low + high) / 2])
                yield label_at(disc, text, self.type_mm, text_first=at < 0)
            is_turned = (starts[start] < low) == (span.way == ACROSS)
            yield self._at(span, starts[start], at, text, text_first=is_turned)

    def _at(self, span: Span, along: float, at: float, text: str, *, text_first: bool = False) -> SetLabel:
        """A label whose disc has its middle on a line or on what would prolong it."""
        if span.way == ACROSS:
            return label_at(np.array([along, at]), text, self.type_mm, text_first=text_first)
        if 0 < len(text) <= LEVEL_LETTERS:
            return label_at(np.array([at, along]), text, self.type_mm, text_first=at < 0)
        return upright_at(np.array([at, along]), text, self.type_mm, text_first=text_first)

    def _is_free(self, box: Box, apart: float) -> bool:
        """Whether nothing lies there."""
        return not any(meet(box, other, apart) for other in self.taken)

    def _is_clear(self, label: SetLabel, line: Iterable[Box]) -> bool:
        """Whether a label hides nothing, and its line does not pass behind its length."""
        behind = label.length_box
        return (
            self._is_free(label.box, APART * self.type_mm)
            and not holds_any(label.box, self.edge)
            and not (behind and any(meet(behind, part) for part in line))
        )

    def _take(self, measure: Measure, label: SetLabel, line: Sequence[Box], turned: bool) -> None:
        """Keep a line with its label."""
        self.taken += [*line, label.box]
        self.measures.append(replace(measure, at=label.disc, turned=turned, label=label))


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
    x, y = points.T
    return bool(((x >= box[0]) & (y >= box[1]) & (x <= box[2]) & (y <= box[3])).any())


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
