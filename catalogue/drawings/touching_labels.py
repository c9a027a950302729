"""Labels that touch their line: the disc on it, at its end or against it, the length on either side."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from catalogue.drawings.dimension_lines import DISC, SPOTS, SetLabel
from catalogue.drawings.nests import LETTER_WIDTH

Points = NDArray[np.float64]

# In heights of the type: between disc and text, and what shows of a line on either side of a label.
TEXT_GAP, SHOWING = 0.35, 0.6
# What it costs to stand at an end or against the line, and each mm from the middle, in mm.
AT_END, AGAINST, OFF_MIDDLE = 1.0, 2.0, 0.05
# A hair between a disc and the line that it stands against.
HAIR_MM = 0.15


def text_mm(text: str, type_mm: float) -> float:
    """How wide a text is at the most, in mm."""
    return len(text) * LETTER_WIDTH * type_mm


def label_room(text: str, type_mm: float) -> float:
    """How long a label is, in mm."""
    return 2 * DISC * type_mm + (TEXT_GAP * type_mm + text_mm(text, type_mm) if text else 0.0)


def label_at(disc: Points, text: str, type_mm: float, *, text_first: bool = False) -> SetLabel:
    """A level label whose disc has its middle there, the text behind it or before it."""
    (x, y), half, room = disc.tolist(), DISC * type_mm, label_room(text, type_mm)
    away = half + TEXT_GAP * type_mm
    if text_first:
        box, text_at = (x + half - room, y - half, x + half, y + half), (x - away, y)
        text_box = (box[0], box[1], x, box[3])
    else:
        box, text_at = (x - half, y - half, x - half + room, y + half), (x + away, y)
        text_box = (x, box[1], box[2], box[3])
    return SetLabel((x, y), text_at, box, text_box if text else None, text_first)


def upright_at(disc: Points, text: str, type_mm: float, *, text_first: bool = False) -> SetLabel:
    """A label that is read upwards, its disc's middle there, the text above it or ending below it."""
    (x, y), half, room = disc.tolist(), DISC * type_mm, label_room(text, type_mm)
    away = half + TEXT_GAP * type_mm
    if text_first:
        box, text_at = (x - half, y - half, x + half, y - half + room), (x, y + away)
        text_box = (box[0], y, box[2], box[3])
    else:
        box, text_at = (x - half, y + half - room, x + half, y + half), (x, y - away)
        text_box = (box[0], box[1], box[2], y)
    return SetLabel((x, y), text_at, box, text_box if text else None, text_first)


def touching_labels(
    start: Points, end: Points, text: str, type_mm: float
) -> Iterator[tuple[float, SetLabel]]:
    """Labels that touch the line between two points, each with what it costs, in mm."""
    length = float(np.hypot(*(end - start))) or 1.0
    along = (end - start) / length
    is_level = bool(abs(along[0]) > abs(along[1]))
    middle = (start + end) / 2
    for share in SPOTS:
        spot = start + (end - start) * share
        off = OFF_MIDDLE * float(np.hypot(*(spot - middle)))
        for label in _on_line(spot, text, type_mm, is_level=is_level):
            if _shows(label, (start, end), type_mm):
                yield off, label
        normal = np.array([along[1], -along[0]])
        for away in (normal, -normal):
            disc = spot + away * (DISC * type_mm + HAIR_MM)
            for text_first in _sides(away[0] * (not is_level)):
                yield AGAINST + off, label_at(disc, text, type_mm, text_first=text_first)
    for tip, away in ((end, along), (start, -along)):
        disc = tip + away * DISC * type_mm
        for text_first in _sides(away[0] if is_level else 0.0):
            yield AT_END, label_at(disc, text, type_mm, text_first=text_first)


def _sides(to_right: float) -> tuple[bool, ...]:
    """Whether the text stands first: on the side away from the line, or on either."""
    return (False, True) if abs(to_right) < 1e-6 else (to_right < 0,)


def _on_line(spot: Points, text: str, type_mm: float, *, is_level: bool) -> Iterator[SetLabel]:
    """A label on a line: its own middle there on a level line, its disc's middle on an upright one."""
    if is_level:
        shift = label_room(text, type_mm) / 2 - DISC * type_mm
        yield label_at(spot - [shift, 0.0], text, type_mm)
        return
    for text_first in (False, True):
        yield label_at(spot, text, type_mm, text_first=text_first)


def _shows(label: SetLabel, ends: tuple[Points, Points], type_mm: float) -> bool:
    """Whether enough of a line shows on both sides of a label that stands on it."""
    start, end = ends
    is_level = bool(abs(end[0] - start[0]) > abs(end[1] - start[1]))
    disc_low, disc_high = label.disc[1] - DISC * type_mm, label.disc[1] + DISC * type_mm
    covered = (label.box[0], label.box[2]) if is_level else (disc_low, disc_high)
    axis = 0 if is_level else 1
    low, high = sorted((float(start[axis]), float(end[axis])))
    return bool(low + SHOWING * type_mm <= covered[0] and covered[1] <= high - SHOWING * type_mm)
