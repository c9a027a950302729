"""Numbers and lengths on the lines of the garment as worn: each where it hides as little as can be."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import nan

import numpy as np

from catalogue.drawings.dimension_lines import ALONG, DISC, SPOTS, Box, NumberSetting, SetLabel
from catalogue.drawings.line_labels import (
    APART,
    SHOWING,
    TEXT_GAP,
    beside,
    boxes_along,
    edge_points,
    holds_any,
    is_inside,
    label_room,
    leader,
    level_label,
    meet,
    meets_any,
)
from catalogue.drawings.pieces_in_size import Ground, MeasuredLine
from catalogue.drawings.worn_pieces import Points

# A line this much shorter than its number shows half of it: sleeves and girths are folded.
FOLDED_FROM = 1.6
# A box where nothing is drawn.
OFF: Box = (-1e6, -1e6, -1e6, -1e6)


@dataclass(frozen=True)
class Stretch:
    """A measurement on paper, in mm: a line from end to end."""

    value: str
    start: Points
    end: Points


@dataclass(frozen=True)
class Mark:
    """A number in a disc, with the length beside it.

    `back` is x, y, width and height of what lies behind the length, where its line passes; `is_inside`
    tells whether that is a piece.
    """

    number: int
    x: float
    y: float
    text: str = ""
    text_x: float = 0.0
    back: Box | None = None
    is_inside: bool = False


@dataclass(frozen=True)
class ToldMarks:
    """All marks of a picture, the lines that lead to them, and their boxes."""

    marks: tuple[Mark, ...]
    leaders: str
    boxes: tuple[Box, ...]


def told_marks(stretches: Sequence[Stretch], ground: Ground, edges: Sequence[Points]) -> ToldMarks:
    """Set a label for each line: clear of all labels, then of lines, then of the edges of pieces.

    Of these the one is taken that stands nearest to its line and widens the picture least.

    Args:
        stretches: The lines, in the order of their numbers.
        ground: What the drawings of the edition share.
        edges: Edges of the pieces on paper, each of shape (points, 2).
    """
    type_mm = ground.type_mm
    lines = [boxes_along(one.start, one.end, 0.2) for one in stretches]
    drawn = np.vstack([edge_points(edge) for edge in edges])
    width = float(drawn[:, 0].max())
    labels: list[SetLabel] = []
    marks, leaders = [], ""
    for number, one in enumerate(stretches, 1):
        text = _length(one, ground)
        others = np.array(
            [box for place, line in enumerate(lines, 1) if place != number for box in line] or [OFF]
        )
        known = np.array([OFF, *(label.box for label in labels)])
        known += APART * type_mm * np.array([-1, -1, 1, 1])
        label = _best(_spots(one, text, (type_mm, width)), (known, others, drawn))
        labels.append(label)
        leaders += leader(one.start, one.end, label, type_mm)
        is_crossed = any(label.text_box and meet(label.text_box, box) for box in lines[number - 1])
        marks.append(
            Mark(
                number,
                round(label.disc[0], 2),
                round(label.disc[1], 2),
                text,
                round(label.text_at[0], 2),
                label.back if is_crossed else None,
                any(is_inside(label.text_at, edge) for edge in edges),
            )
        )
    return ToldMarks(tuple(marks), leaders, tuple(label.box for label in labels))


def _best(spots: Iterable[tuple[float, SetLabel]], drawn: tuple[Points, Points, Points]) -> SetLabel:
    """The nearest label that hides nothing; else one that hides edges, else lines, else labels.

    Args:
        spots: Labels with what each costs, in mm.
        drawn: Boxes of labels and of other lines, of shape (boxes, 4), and points of all edges.
    """
    known, others, edges = drawn
    ordered = [label for _, label in sorted(spots, key=lambda spot: spot[0])]
    found: dict[int, SetLabel] = {}
    for label in ordered:
        if meets_any(label.box, known):
            continue
        hidden = 2 if meets_any(label.box, others) else int(holds_any(label.box, edges))
        if not hidden:
            return label
        found.setdefault(hidden, label)
    return found.get(1) or found.get(2) or ordered[0]


def _length(one: Stretch, ground: Ground) -> str:
    """The length that stands beside a number; that of a folded girth goes all round."""
    numbers = tuple(nan if number is None else float(number) for number in ground.facts.row(one.value))
    place = ground.kept[len(ground.kept) // 2]
    drawn_mm = float(np.hypot(*(one.end - one.start))) * ground.scale
    parts = 2 if drawn_mm and numbers[place] / drawn_mm > FOLDED_FROM else 1
    return ground.on_line(MeasuredLine(one.value, numbers, NumberSetting(ALONG, parts)))


def _spots(one: Stretch, text: str, look: tuple[float, float]) -> Iterator[tuple[float, SetLabel]]:
    """Where a label may stand: on its line where that shows beside it, beyond its ends, or off it.

    Each with how far it stands off and how much wider it makes the picture, in mm, together; `look` is the
    height of the type and how wide the garment is.
    """
    type_mm, width = look
    for apart, label in _places(one, text, type_mm):
        yield apart + max(0.0, -label.box[0], label.box[2] - width), label


def _places(one: Stretch, text: str, type_mm: float) -> Iterator[tuple[float, SetLabel]]:
    """Labels of a line with how far each stands off it."""
    along = one.end - one.start
    length = float(np.hypot(*along)) or 1.0
    along, room = along / length, label_room(text, type_mm)
    is_level = abs(along[0]) > abs(along[1])
    covered = room if is_level else 2 * DISC * type_mm
    on_line = [one.start + (one.end - one.start) * share for share in SPOTS[:9]]
    for spot in on_line:
        ends = min(np.hypot(*(spot - one.start)), np.hypot(*(spot - one.end)))
        if ends >= covered / 2 + SHOWING * type_mm:
            left = float(spot[0]) - (room / 2 if is_level else DISC * type_mm)
            yield 0.0, level_label(left, float(spot[1]), text, type_mm)
    yield from beside(on_line, np.array([along[1], -along[0]]), text, type_mm)
    gap = TEXT_GAP * type_mm
    beyond = along * (abs(along[0]) * room / 2 + abs(along[1]) * DISC * type_mm + gap)
    for x, y in (one.end + beyond, one.start - beyond):
        yield gap, level_label(float(x) - room / 2, float(y), text, type_mm)
