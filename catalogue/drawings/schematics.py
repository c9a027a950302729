"""Schematics: every piece to scale with its dimension lines, and all sizes one inside the other."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, nan

import numpy as np

from catalogue.drawings.dimension_lines import Measure, NumberSetting, place_measures, set_number
from catalogue.drawings.nests import LETTER_WIDTH, Frame, Nest, draw_nest, edge_path, frame_of
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import PieceDrawing, draw_graded, mirror_drawing, nest_box
from grading.core.instructions.facts import Facts
from grading.core.instructions.steps import when_label
from grading.core.pattern.pattern import PieceEntry, ValueEntry
from grading.core.printing.edition import PrintForm
from grading.core.printing.numbers import print_value

SCALES = (1, 2, 2.5, 4, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50)
WIDEST_MM = 80.0
HIGHEST_MM = 92.0
# What the page of an edition has across, the gap between drawings, and how far a scale gives way to them.
ACROSS_MM, GAP_MM = 162.0, 7.0
MOST_SMALLER = 1.6
TYPE_MM = 3.0
# Numbers in drawings on a screen are read from farther away.
SCREEN_TYPE_MM = 3.4
ALIKE_MM = 0.5
SLIMMEST_NEST_MM = 16.0  # of paper

_SIDES = {"left": "right", "right": "left"}
_SIDE = re.compile(r"\b(left|right)\b", re.IGNORECASE)


@dataclass(frozen=True)
class KeyLine:
    """A measurement of a piece: its number in the drawing, its name, how it is shown, its numbers."""

    number: int
    label: str
    note: str
    texts: str


@dataclass(frozen=True)
class Label:
    """A number on a dimension line: in a disc, with the length beside it where there is room."""

    number: int
    x: float
    y: float
    text: str
    text_x: float
    text_y: float
    turn: int


@dataclass(frozen=True)
class PieceInSize:
    """A piece in one size with its dimension lines."""

    frame: Frame
    size: str
    edge: str
    strokes: str
    guides: str
    labels: tuple[Label, ...]
    disc_mm: float
    type_mm: float


@dataclass(frozen=True)
class Schematic:
    """One piece: for which choices, drawn in one size, its key, and the nest where there are several."""

    name: str
    label: str
    when: str
    scale: str
    piece: PieceInSize
    key: tuple[KeyLine, ...]
    nest: Nest | None


@dataclass(frozen=True)
class _Ground:
    """What all schematics of an edition share."""

    facts: Facts
    graded: Graded
    edition: PrintForm
    kept: Sequence[int]
    scale: float
    type_mm: float

    @property
    def mirrored(self) -> bool:
        """Whether pieces are drawn for the left hand: work that is turned looks the same for both."""
        return self.edition.hand == "left" and self.facts.craft == "tunisian"


def schematics(
    facts: Facts, graded: Graded, edition: PrintForm, kept: Sequence[int], *, type_mm: float = TYPE_MM
) -> list[Schematic]:
    """Draw every piece of a pattern for the sizes that are kept; a piece that no size has is left out."""
    pattern = facts.pattern
    drawn = [
        (piece, sizes)
        for piece in pattern.pieces
        if any(
            (sizes := draw_graded(piece, graded.pieces[piece.name], pattern.curves))[place] for place in kept
        )
    ]
    tried: list[list[Schematic]] = []
    for scale in _scales([sizes for _, sizes in drawn], kept):
        ground = _Ground(facts, graded, edition, kept, scale, type_mm)
        tried.append([_schematic(ground, piece, sizes) for piece, sizes in drawn])
        if all(_stand_side_by_side(one) for one in tried[-1]):
            return tried[-1]
    return tried[0]


def _scales(pieces: Sequence[Sequence[PieceDrawing | None]], kept: Sequence[int]) -> list[float]:
    """Round scales for all pieces: the largest at which the largest fits the page, and a few smaller ones."""
    boxes = [box for sizes in pieces if (box := nest_box([sizes[place] for place in kept]))]
    needed = max(
        (max((x1 - x0) / WIDEST_MM, (y1 - y0) / HIGHEST_MM) for x0, y0, x1, y1 in boxes), default=1.0
    )
    fitting = [scale for scale in SCALES if scale >= needed - 1e-9] or [float(ceil(needed / 10) * 10)]
    return [scale for scale in fitting if scale <= fitting[0] * MOST_SMALLER]


def _stand_side_by_side(one: Schematic) -> bool:
    """Whether a piece and its nest stand beside each other on the page."""
    return one.nest is None or one.piece.frame.width_mm + GAP_MM + one.nest.frame.width_mm <= ACROSS_MM


def _schematic(ground: _Ground, piece: PieceEntry, sizes: Sequence[PieceDrawing | None]) -> Schematic:
    """Draw one piece."""
    if ground.mirrored:
        sizes = [drawing and mirror_drawing(drawing) for drawing in sizes]
    known = [place for place in ground.kept if sizes[place] is not None]
    shown = known[len(known) // 2]
    drawing = sizes[shown]
    if drawing is None:
        raise AssertionError("The size that is shown was chosen among those that are drawn.")
    label = ground.facts.plain(piece.label, ground.edition)
    label = _SIDE.sub(_other_side, label) if ground.mirrored else label
    readings = [_reading(ground, sizes, place) for place in range(len(piece.dimensions))]
    key = tuple(_key_line(ground, drawing, place, reading) for place, reading in enumerate(readings))
    size = ground.facts.pattern.sizes[shown]
    return Schematic(
        name=piece.name,
        label=label,
        when=when_label(piece.when, ground.facts.pattern),
        scale=f"1 : {ground.scale:g}",
        piece=_piece_in_size(ground, f"{label}, size {size}", drawing, readings, shown),
        key=key,
        nest=_nest(ground, label, sizes, known),
    )


def _other_side(found: re.Match[str]) -> str:
    """Left for right and right for left, with the capital kept."""
    other = _SIDES[found.group().lower()]
    return other.capitalize() if found.group()[0].isupper() else other


def _value(ground: _Ground, name: str) -> ValueEntry | None:
    """A value of the pattern."""
    return next((value for value in ground.facts.pattern.values if value.name == name), None)


def _numbers(ground: _Ground, name: str) -> list[float]:
    """A value's number in every size, NaN for none."""
    return [nan if number is None else float(number) for number in ground.facts.row(name)]


def _reading(ground: _Ground, sizes: Sequence[PieceDrawing | None], place: int) -> NumberSetting:
    """How one dimension line shows its value, over all sizes."""
    lines = [drawing.lines[place] if drawing else None for drawing in sizes]
    name = next(line.value for line in lines if line)
    value = _value(ground, name)
    around = bool(value and value.measured and value.measured.around)
    return set_number(lines, _numbers(ground, name), around=around)


def _key_line(ground: _Ground, drawing: PieceDrawing, place: int, reading: NumberSetting) -> KeyLine:
    """The key's line for one dimension line."""
    name = drawing.lines[place].value
    value = _value(ground, name)
    label = ground.facts.plain(value.label, ground.edition) if value else name
    texts = print_value("length", _numbers(ground, name), ground.edition.units, ground.kept)
    return KeyLine(place + 1, label, "all round; half of it is drawn" if reading.parts == 2 else "", texts)


def _piece_in_size(
    ground: _Ground, title: str, drawing: PieceDrawing, readings: Sequence[NumberSetting], place: int
) -> PieceInSize:
    """The picture of one size, with the words that stand for it."""
    measures, box = place_measures(drawing, readings, scale=ground.scale, type_mm=ground.type_mm)
    texts = [
        print_value("length", _numbers(ground, line.value), ground.edition.units, [place])
        for line in drawing.lines
    ]
    names = [line.label for line in (_key_line(ground, drawing, i, one) for i, one in enumerate(readings))]
    words = "; ".join(
        f"{i} {name} {text}" for i, (name, text) in enumerate(zip(names, texts, strict=True), 1)
    )
    # A line that spans half of what is measured all round tells no length beside it.
    is_told = len(ground.kept) == 1 and ground.edition.units != "both"
    shown = [
        text if is_told and reading.parts == 1 else "" for text, reading in zip(texts, readings, strict=True)
    ]
    left, top = drawing.box[0], drawing.box[3]
    return PieceInSize(
        frame=frame_of(box, f"{title}, drawn to scale. {words}".rstrip()),
        size=ground.facts.pattern.sizes[place],
        edge=edge_path(drawing, (left, top), ground.scale),
        strokes="".join(one.strokes for one in measures),
        guides="".join(one.guides for one in measures),
        labels=tuple(_label(one, text, ground.type_mm) for one, text in zip(measures, shown, strict=True)),
        disc_mm=round(ground.type_mm * 0.82, 2),
        type_mm=ground.type_mm,
    )


def _label(measure: Measure, text: str, type_mm: float) -> Label:
    """A number with its length beside it, where the half of the line beside it is long enough."""
    x, y = measure.at
    fits = text and len(text) * LETTER_WIDTH * type_mm + 1.6 * type_mm < measure.length / 2
    turn = -90 if measure.turned else 0
    along = 1.1 * type_mm
    text_x, text_y = (x, y - along) if measure.turned else (x + along, y)
    return Label(measure.number, round(x, 2), round(y, 2), text if fits else "", round(text_x, 2),
                 round(text_y, 2), turn)  # fmt: skip


def _nest(
    ground: _Ground, label: str, sizes: Sequence[PieceDrawing | None], known: Sequence[int]
) -> Nest | None:
    """The piece in all sizes; none for a single line, or for a strip in which all lines run together."""
    x0, y0, x1, y1 = nest_box([sizes[place] for place in known]) or (0.0, 0.0, 0.0, 0.0)
    if min(x1 - x0, y1 - y0) / ground.scale < SLIMMEST_NEST_MM:
        return None
    named = [
        (ground.facts.pattern.sizes[place], drawing)
        for place in known
        if (drawing := sizes[place]) is not None
    ]
    first, *others = [drawing.edge for _, drawing in named]
    if all(first.shape == edge.shape and np.allclose(first, edge, atol=ALIKE_MM) for edge in others):
        return None
    return draw_nest(label, named, scale=ground.scale, type_mm=ground.type_mm)
