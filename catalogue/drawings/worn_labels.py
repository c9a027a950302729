"""Numbers and lengths on the lines of the garment as worn: each touches its own, none lies on another."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf, nan

import numpy as np

from catalogue.drawings.dimension_lines import ALONG, DISC, LANE, OVERSHOOT, Box, NumberSetting, SetLabel
from catalogue.drawings.line_labels import (
    APART,
    boxes_along,
    edge_points,
    holds_any,
    is_inside,
    meet,
    meets_any,
)
from catalogue.drawings.pieces_in_size import Ground, MeasuredLine
from catalogue.drawings.touching_labels import touching_labels
from catalogue.drawings.worn_pieces import Points

# A line this much shorter than its number shows half of it: sleeves and girths are folded.
FOLDED_FROM = 1.6
# A line may be moved out so often, and back into the garment, each time by so many lanes.
MOST_MOVES, MOST_BACK, MOVE = 12, 5, 0.4
# What costs how much, in mm that a line is moved aside; a mm by which the picture gets wider.
ON_LABEL, ON_LINE, HIDES_LINE = 1000.0, 500.0, 200.0
TEXT_ON_EDGE, ON_EDGE, HIDES_ITSELF, HIDES_GUIDE, OVER_EDGE = 25.0, 15.0, 30.0, 10.0, 8.0
GUIDE_IN_TEXT, HIDES_CORNER, CROSSES, DISC_ON_EDGE, HIDES_LATER = 25.0, 15.0, 6.0, 4.0, 3.0
# A line beside one piece that is moved past another looks like a measurement of that one.
PAST_A_PIECE = 40.0
ON_ITS_WAY = (0.25, 0.5, 0.75)
MOVED, WIDER = 1.0, 0.3
# A number on a band hides its buttons.
ON_BAND = 30.0
# Height of figures with air, in heights of the type.
FIGURES = 1.0
# What turns more is a corner, and no bend of a curve.
SHARP_DEGREES = 30.0
# Lines side by side so close look like one; so does a line with an edge, where so much of it runs along that.
SIDE_BY_SIDE_MM, ALONG_EDGE_MM, ALONG_EDGE = 1.5, 1.3, 0.3


@dataclass(frozen=True)
class Stretch:
    """A measurement on paper, in mm: a line from end to end."""

    value: str
    start: Points
    end: Points

    def moved(self, by: Points) -> "Stretch":
        """The same line elsewhere."""
        return replace(self, start=self.start + by, end=self.end + by)

    @property
    def middle(self) -> Points:
        """Half-way from end to end."""
        return np.asarray((self.start + self.end) / 2)

    @property
    def is_level(self) -> bool:
        """Whether it runs across rather than up."""
        across, up = np.abs(self.end - self.start)
        return bool(across > up)

    @property
    def normal(self) -> Points:
        """A direction across it, of length 1."""
        along = (self.end - self.start) / (float(np.hypot(*(self.end - self.start))) or 1.0)
        return np.array([along[1], -along[0]])


@dataclass(frozen=True)
class Mark:
    """A number in a disc, with the length beside it.

    `back` is x, y, width and height of what lies behind the length, where its line passes; `is_inside`
    tells whether that is a piece; `text_first` whether the length ends before the disc.
    """

    number: int
    x: float
    y: float
    text: str = ""
    text_x: float = 0.0
    back: Box | None = None
    is_inside: bool = False
    text_first: bool = False


@dataclass(frozen=True)
class ToldMarks:
    """All marks of a picture, their lines, what leads to lines that were moved aside, and their boxes.

    `crossed` are places of lines whose length something else is drawn across.
    """

    marks: tuple[Mark, ...]
    stretches: tuple[Stretch, ...]
    guides: str
    boxes: tuple[Box, ...]
    crossed: tuple[int, ...] = ()


def told_marks(
    stretches: Sequence[Stretch], ground: Ground, pieces: Sequence[Points], bands: Sequence[Points] = ()
) -> ToldMarks:
    """Set a label for each line, touching it; where they would meet, a line is moved aside with its label.

    Short lines come first: they stay nearest to what they measure.

    Args:
        stretches: The lines, in the order of their numbers.
        ground: What the drawings of the edition share.
        pieces: Edges of the pieces on paper, each of shape (points, 2).
        bands: Those of the bands at them.
    """
    edges = [*pieces, *bands]
    layout = _Layout(edges, bands, ground.type_mm)
    waiting = sorted(range(len(stretches)), key=lambda at: (_length_of(stretches[at]), at))
    placed: dict[int, tuple[Stretch, SetLabel]] = {}
    texts = [_told_length(one, ground) for one in stretches]
    while waiting:
        at = waiting.pop(0)
        placed[at] = layout.place(stretches[at], texts[at], [stretches[other] for other in waiting])
    found = [placed[at] for at in range(len(stretches))]
    crossed = [at for at, text in enumerate(texts) if text and not layout.is_clear(at, found)]
    guides = "".join(
        f"M{one.start[0]:.2f} {one.start[1]:.2f}L{one.end[0]:.2f} {one.end[1]:.2f}" for one in layout.guides
    )
    marks = tuple(
        _mark(number, of, text, edges) for number, (of, text) in enumerate(zip(found, texts, strict=True), 1)
    )
    lines, boxes = tuple(one for one, _ in found), tuple(label.box for _, label in found)
    return ToldMarks(marks, lines, guides, boxes, tuple(crossed))


class _Layout:
    """Puts one line after another where it and its label are in nobody's way."""

    def __init__(self, edges: Sequence[Points], bands: Sequence[Points], type_mm: float) -> None:
        self.edges, self.type_mm = edges, type_mm
        self.bands = np.vstack([np.empty((0, 2)), *(edge_points(band) for band in bands)])
        self.drawn = np.asfortranarray(np.vstack([edge_points(edge) for edge in edges]))
        self.corners = np.vstack([_sharp_corners(edge) for edge in edges])
        self.low, self.high = self.drawn.min(axis=0), self.drawn.max(axis=0)
        self.lines: list[Stretch] = []
        self.guides: list[Stretch] = []
        self.line_boxes = self.guide_boxes = _boxes([])
        self.labels: list[SetLabel] = []

    def place(self, one: Stretch, text: str, later: Sequence[Stretch]) -> tuple[Stretch, SetLabel]:
        """Choose where a line and its label cost least, and keep them there."""
        best: tuple[float, Stretch, SetLabel] | None = None
        kept: list[Stretch] = []
        soon = [_boxes([other]) for other in later]
        for by in self._moves(one):
            if best is not None and float(np.hypot(*by)) >= best[0]:
                continue
            moved = one.moved(by)
            guides = _guides_of(one, moved)
            cost_of_line = self._cost_of_line(moved) + self._cost_of_move(one, by, guides)
            if best is not None and cost_of_line >= best[0]:
                continue
            own_guides = _boxes(guides)
            for own, label in touching_labels(moved.start, moved.end, text, self.type_mm):
                so_far, least = cost_of_line + own, inf if best is None else best[0]
                if so_far < least:
                    cost = so_far + self._cost_of_label(label, soon, so_far, least)
                    behind = _figures(label, self.type_mm)
                    cost += GUIDE_IN_TEXT * (behind is not None and meets_any(behind, own_guides))
                    cost += HIDES_ITSELF * (not moved.is_level and _is_crossed(moved, label))
                    if best is None or cost < best[0]:
                        best = cost, moved, label
                        kept = guides
        if best is None:
            raise AssertionError("A line has places for its label.")
        self.lines.append(best[1])
        self.guides += kept
        self.line_boxes, self.guide_boxes = _boxes(self.lines), _boxes(self.guides)
        self.labels.append(best[2])
        return best[1], best[2]

    def is_clear(self, at: int, found: Sequence[tuple[Stretch, SetLabel]]) -> bool:
        """Whether nothing that is drawn crosses the length of a line, once all are set."""
        box = _figures(found[at][1], self.type_mm)
        if box is None:
            return False
        others = [one for other, one in enumerate(found) if other != at]
        return not (
            holds_any(box, self.drawn)
            or meets_any(box, self.guide_boxes)
            or meets_any(box, _boxes([line for line, _ in others]))
            or any(meet(box, label.box) for _, label in others)
        )

    def _moves(self, one: Stretch) -> Iterator[Points]:
        """Not at all, then farther and farther aside: out of the garment, or both ways within it."""
        yield np.zeros(2)
        step, is_within = one.normal * MOVE * LANE * self.type_mm, self._is_within(one.middle)
        outward = step if step @ (one.middle - (self.low + self.high) / 2) >= 0 else -step
        for times in range(1, MOST_MOVES + 1):
            yield outward * times
            if is_within and times <= MOST_BACK:
                yield -outward * times

    def _cost_of_line(self, one: Stretch) -> float:
        """What it costs that a line is where it is."""
        cost = ON_LINE * sum(_lie_together(one, other) for other in self.lines)
        own = _boxes([one])
        cost += ON_LABEL * sum(meets_any(label.box, own) for label in self.labels)
        cost += CROSSES * sum(_cross(one, other, self.type_mm) for other in self.lines)
        return cost + ON_EDGE * self._runs_along_edges(one)

    def _cost_of_move(self, one: Stretch, by: Points, guides: Sequence[Stretch]) -> float:
        """What it costs that a line is moved so far, which its guides show."""
        if not guides:
            return 0.0
        own = _boxes(guides)
        cost = (
            MOVED + float(np.hypot(*by)) + HIDES_GUIDE * sum(meets_any(one.box, own) for one in self.labels)
        )
        texts = [box for label in self.labels if (box := _figures(label, self.type_mm))]
        cost += GUIDE_IN_TEXT * sum(meets_any(box, own) for box in texts)
        if not self._is_within(one.middle):
            ways = [guide.start + by * share for guide in guides for share in ON_ITS_WAY]
            cost += PAST_A_PIECE * any(map(self._is_within, ways))
        ends = [end for guide in guides for end in (guide.start + by * 0.1, guide.end)]
        return cost + OVER_EDGE * (len({self._is_within(end) for end in ends}) > 1)

    def _is_within(self, point: Points) -> bool:
        """Whether a point lies on a piece."""
        return any(is_inside((float(point[0]), float(point[1])), edge) for edge in self.edges)

    def _runs_along_edges(self, one: Stretch) -> bool:
        """Whether much of a line runs along an edge, so that it looks like that."""
        along, length = one.end - one.start, _length_of(one)
        off = np.abs((self.drawn - one.start) @ one.normal) < ALONG_EDGE_MM
        share = (self.drawn - one.start) @ along / length**2
        near = share[off & (share > 0) & (share < 1)]
        return len(np.unique((near * length).round())) > ALONG_EDGE * length

    def _cost_of_label(self, label: SetLabel, soon: Sequence[Points], so_far: float, least: float) -> float:
        """What it costs that a label is where it is; no longer added up once it is over the least found."""
        cost = 0.0
        for more in self._costs_of_label(label, soon):
            cost += more
            if so_far + cost >= least:
                break
        return cost

    def _costs_of_label(self, label: SetLabel, soon: Sequence[Points]) -> Iterator[float]:
        """What a label hides, and how much wider the picture gets."""
        yield WIDER * max(0.0, float(self.low[0]) - label.box[0], label.box[2] - float(self.high[0]))
        yield DISC_ON_EDGE * holds_any(label.box, self.drawn)
        yield ON_BAND * holds_any(label.box, self.bands)
        yield ON_LABEL * any(meet(label.box, other.box, APART * self.type_mm) for other in self.labels)
        room = np.array(label.box) + APART * self.type_mm * np.array([-1, -1, 1, 1])
        yield HIDES_LINE * meets_any(tuple(room.tolist()), self.line_boxes)
        yield HIDES_LATER * sum(meets_any(label.box, boxes) for boxes in soon)
        yield HIDES_GUIDE * meets_any(label.box, self.guide_boxes)
        x, y = label.disc
        half = (DISC + APART) * self.type_mm
        yield HIDES_CORNER * holds_any((x - half, y - half, x + half, y + half), self.corners)
        figures = _figures(label, self.type_mm)
        if label.length_box is not None and figures is not None:
            yield GUIDE_IN_TEXT * meets_any(figures, self.guide_boxes)
            yield TEXT_ON_EDGE * holds_any(label.length_box, self.drawn)


def _boxes(lines: Sequence[Stretch]) -> Points:
    """Small boxes that cover lines, of shape (boxes, 4)."""
    boxes = [box for one in lines for box in boxes_along(one.start, one.end, 0.2)]
    return np.array(boxes).reshape(-1, 4)


def _lie_together(one: Stretch, other: Stretch) -> bool:
    """Whether two lines run side by side so close that they look like one."""
    along = (other.end - other.start) / _length_of(other)
    ends = np.array([one.start, one.end]) - other.start
    if np.abs(ends @ other.normal).max() > SIDE_BY_SIDE_MM:
        return False
    low, high = sorted((ends @ along).tolist())
    return bool(low < _length_of(other) - 0.5 and high > 0.5)


def _figures(label: SetLabel, type_mm: float) -> Box | None:
    """What the figures of a length take with a little air: they are lower than their disc."""
    if label.length_box is None:
        return None
    left, top, right, bottom = label.length_box
    middle, half = (top + bottom) / 2, FIGURES * type_mm / 2
    return left, middle - half, right, middle + half


def _cross(one: Stretch, other: Stretch, type_mm: float) -> bool:
    """Whether two lines cross, or the ticks at their ends."""
    first, second = _with_ticks(one, type_mm), _with_ticks(other, type_mm)
    sides = (first - other.start) @ other.normal
    back = (second - one.start) @ one.normal
    return bool(sides[0] * sides[1] < 0 and back[0] * back[1] < 0)


def _with_ticks(one: Stretch, type_mm: float) -> Points:
    """Both ends of a line that is so much longer as its ticks are wide."""
    more = (one.end - one.start) / _length_of(one) * OVERSHOOT * type_mm
    return np.array([one.start - more, one.end + more])


def _sharp_corners(edge: Points) -> Points:
    """The corners of a closed edge without the small bends of its curves."""
    before, after = edge - np.roll(edge, 1, axis=0), np.roll(edge, -1, axis=0) - edge
    across = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.abs(np.arctan2(across, (before * after).sum(axis=1)))
    return np.asarray(edge[turn > np.radians(SHARP_DEGREES)])


def _length_of(one: Stretch) -> float:
    """How long a line is, mm of paper."""
    return float(np.hypot(*(one.end - one.start))) or 1.0


def _guides_of(one: Stretch, moved: Stretch) -> list[Stretch]:
    """What leads from where a line would be to where it is."""
    pairs = ((one.start, moved.start), (one.end, moved.end))
    return [Stretch(one.value, *pair) for pair in pairs if not np.allclose(*pair)]


def _mark(number: int, of: tuple[Stretch, SetLabel], text: str, edges: Sequence[Points]) -> Mark:
    """A label as it is printed."""
    line, label = of
    return Mark(
        number,
        round(label.disc[0], 2),
        round(label.disc[1], 2),
        text,
        round(label.text_at[0], 2),
        label.back if _is_crossed(line, label) else None,
        any(is_inside(label.text_at, edge) for edge in edges),
        label.text_first,
    )


def _is_crossed(line: Stretch, label: SetLabel) -> bool:
    """Whether a line passes behind the length beside its number."""
    return label.length_box is not None and meets_any(label.length_box, _boxes([line]))


def _told_length(one: Stretch, ground: Ground) -> str:
    """The length that stands beside a number; that of a folded girth goes all round."""
    numbers = tuple(nan if number is None else float(number) for number in ground.facts.row(one.value))
    place = ground.kept[len(ground.kept) // 2]
    drawn_mm = float(np.hypot(*(one.end - one.start))) * ground.scale
    parts = 2 if drawn_mm and numbers[place] / drawn_mm > FOLDED_FROM else 1
    return ground.on_line(MeasuredLine(one.value, numbers, NumberSetting(ALONG, parts)))
