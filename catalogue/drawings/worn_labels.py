"""Numbers and lengths on the lines of the garment as worn: each where it hides as little as can be."""

from collections.abc import Iterator, Sequence
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
    way_to,
)
from catalogue.drawings.pieces_in_size import Ground, MeasuredLine
from catalogue.drawings.worn_pieces import Points

# A line this much shorter than its number shows half of it: sleeves and girths are folded.
FOLDED_FROM = 1.6


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
        others = [box for place, line in enumerate(lines, 1) if place != number for box in line]
        spots = list(_spots(one, text, type_mm))
        free = [
            spot for spot in spots if not any(meet(spot.box, known.box, APART * type_mm) for known in labels)
        ]
        alone = [spot for spot in free if not any(meet(spot.box, box) for box in others)]
        clear = [spot for spot in alone if not holds_any(spot.box, drawn)]
        found = next(ones for ones in (clear, alone, free, spots) if ones)
        label = min(found, key=lambda spot, one=one: _cost(spot, one, width))  # type: ignore[misc]
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


def _cost(label: SetLabel, one: Stretch, width: float) -> float:
    """How far a label stands from its line, and how much wider it makes the picture, in mm."""
    (x0, y0), (x1, y1) = way_to(one.start, one.end, label.box)
    wider = max(0.0, -label.box[0], label.box[2] - width)
    return float(np.hypot(x1 - x0, y1 - y0)) + wider


def _length(one: Stretch, ground: Ground) -> str:
    """The length that stands beside a number; that of a folded girth goes all round."""
    numbers = tuple(nan if number is None else float(number) for number in ground.facts.row(one.value))
    place = ground.kept[len(ground.kept) // 2]
    drawn_mm = float(np.hypot(*(one.end - one.start))) * ground.scale
    parts = 2 if drawn_mm and numbers[place] / drawn_mm > FOLDED_FROM else 1
    return ground.on_line(MeasuredLine(one.value, numbers, NumberSetting(ALONG, parts)))


def _spots(one: Stretch, text: str, type_mm: float) -> Iterator[SetLabel]:
    """Where a label may stand: on its line where that shows beside it, beyond its ends, or off it."""
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
            yield level_label(left, float(spot[1]), text, type_mm)
    beyond = along * (abs(along[0]) * room / 2 + abs(along[1]) * DISC * type_mm + TEXT_GAP * type_mm)
    normal = np.array([along[1], -along[0]])
    off = list(beside(on_line, normal, text, type_mm))
    yield from off[: 2 * len(on_line)]
    yield _level(one.end + beyond, room, text, type_mm)
    yield _level(one.start - beyond, room, text, type_mm)
    yield from off[2 * len(on_line) :]


def _level(middle: Points, room: float, text: str, type_mm: float) -> SetLabel:
    """A label whose middle stands at a point."""
    return level_label(float(middle[0]) - room / 2, float(middle[1]), text, type_mm)
