"""A piece in one size to scale: its outline, its dimension lines and the lengths that stand on them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import nan

from catalogue.drawings.dimension_lines import (
    UP,
    Box,
    Measure,
    NumberSetting,
    extent_mm,
    place_measures,
    set_number,
)
from catalogue.drawings.found_lines import FoundLine
from catalogue.drawings.line_labels import place_told
from catalogue.drawings.nests import LETTER_WIDTH, Frame, Paper, edge_path, frame_of
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import DimensionLine, PieceDrawing
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import ValueEntry
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import HALF_LENGTH, PrintedList, lists_in, print_measure, print_value

HALF = "half of the measurement all round"
OWN_WIDTH, OWN_LENGTH = "width of this piece", "length of this piece"
SAME_MM = 0.1
# Units in full where "in" stands before them.
IN_FULL = {"in": "inches"}


@dataclass(frozen=True)
class Label:
    """A number on a dimension line: in a disc, with the length beside it.

    `back` is x, y, width and height of what lies behind the length, where a line passes; `dy` is how far
    the length stands below its place: up to the second wording it stood above the line, where there was room;
    `text_first` says that it ends there.
    """

    number: int
    x: float
    y: float
    text: str
    text_x: float
    text_y: float
    turn: int
    dy: str = "-0.35em"
    back: Box | None = None
    text_first: bool = False


@dataclass(frozen=True)
class PieceInSize:
    """A piece in one size with its dimension lines.

    `under` is the path of what lies behind it, `lines` that of ribs and rows on it, `cells` that of stitches
    in other colours; `units` those of the lengths that stand in it, "" for none.
    """

    frame: Frame
    size: str
    edge: str
    strokes: str
    guides: str
    labels: tuple[Label, ...]
    disc_mm: float
    type_mm: float
    under: str = ""
    units: str = ""
    lines: str = ""
    cells: str = ""


@dataclass(frozen=True)
class MeasuredLine:
    """A measurement of a piece in all sizes: what it is called, its numbers, and how its line shows them.

    `note` says what its numbers are, where its name alone does not; the numbers of a half are those of the
    whole, so that twice what is printed is what is printed of that.
    """

    label: str
    numbers: tuple[float, ...]
    setting: NumberSetting
    note: str = ""

    @property
    def kind(self) -> str:
        """What is printed of its numbers."""
        return HALF_LENGTH if self.note == HALF else "length"

    @property
    def told(self) -> str:
        """Its name with what its numbers are."""
        return f"{self.label} ({self.note})" if self.note else self.label


@dataclass(frozen=True)
class Ground:
    """What all schematics of an edition share."""

    facts: Facts
    graded: Graded
    edition: PrintForm
    kept: Sequence[int]
    scale: float
    type_mm: float

    @property
    def is_first(self) -> bool:
        """Whether it is printed in the first wording, whose drawings stay as they were."""
        return self.facts.pattern.wording == FIRST_WORDING

    @property
    def is_wide(self) -> bool:
        """Whether lengths stand in its drawings only where there is room, as up to the second wording."""
        return self.facts.pattern.wording <= WIDE_WORDING

    @property
    def units(self) -> str:
        """The units of lengths in the order in which they stand; inches in full, which "in" comes before."""
        in_full = {} if self.is_wide else IN_FULL
        lists = self._lists("length", [])
        return " / ".join(in_full.get(one.unit, one.unit) for one in lists)

    def on_line(self, line: "MeasuredLine") -> str:
        """The length that stands in a drawing of one size, without its unit; "" in one of several sizes."""
        if len(self.kept) > 1:
            return ""
        lists = self._lists(line.kind, line.numbers)
        known = [{text for place in self.kept if (text := one.texts[place])} for one in lists]
        if any(len(texts) != 1 for texts in known):
            return ""
        told = " / ".join(texts.pop() for texts in known)
        return f"{told} all round" if line.setting.parts == 2 else told

    def lengths(self, numbers: Sequence[float], kept: Sequence[int]) -> str:
        """Lengths in a list over sizes; inches stand first where the edition puts them there."""
        if self.is_first:
            return print_value("length", numbers, self.edition.units, kept, FIRST_WORDING)
        return print_measure(self.edition, "length", numbers, kept, self.facts.pattern.wording)

    def lengths_of(self, line: "MeasuredLine", kept: Sequence[int]) -> str:
        """What is printed of a line in a list over sizes."""
        if line.kind == "length":
            return self.lengths(line.numbers, kept)
        return print_measure(self.edition, line.kind, line.numbers, kept, self.facts.pattern.wording)

    def _lists(self, kind: str, numbers: Sequence[float]) -> Sequence[PrintedList]:
        """Lengths or halves of them in the units of the edition."""
        return lists_in(self.edition, kind, numbers, self.facts.pattern.wording)

    @property
    def mirrored(self) -> bool:
        """Whether pieces are drawn for the left hand, as up to the second wording.

        Sentences exchange starts and ends: the piece stays that of the same garment, and looks the same.
        """
        return self.is_wide and self.edition.hand == "left" and self.facts.craft == "tunisian"


def _value(ground: Ground, name: str) -> ValueEntry | None:
    """A value of the pattern."""
    return next((value for value in ground.facts.pattern.values if value.name == name), None)


def _numbers(ground: Ground, name: str) -> list[float]:
    """A value's number in every size, NaN for none."""
    return [nan if number is None else float(number) for number in ground.facts.row(name)]


def measured_line(ground: Ground, sizes: Sequence[PieceDrawing | None], place: int) -> MeasuredLine:
    """A line of the pattern: its value, and how it shows that over all sizes."""
    lines = [drawing.lines[place] if drawing else None for drawing in sizes]
    name = next(line.value for line in lines if line)
    value = _value(ground, name)
    numbers = _numbers(ground, name)
    around = bool(value and value.measured and value.measured.around)
    label = ground.facts.plain(value.label, ground.edition) if value else name
    return MeasuredLine(label, tuple(numbers), set_number(lines, numbers, around=around))


def of_one_piece(line: MeasuredLine, drawn: Sequence[DimensionLine | None]) -> MeasuredLine:
    """A line as it stands in the drawing of one piece, which is as wide as half of what goes all round.

    Where back and front are not alike, it has the piece's own width: the stitches or rows that it has.
    """
    if line.setting.parts != 2:
        return line
    way, setting = line.setting.way, NumberSetting(line.setting.way, 1)
    halves = tuple(number / 2 for number in line.numbers)
    own = tuple(nan if one is None else extent_mm(one, way) for one in drawn)
    if any(abs(half - width) > SAME_MM for half, width in zip(halves, own, strict=True)):
        return MeasuredLine(line.label, own, setting, OWN_LENGTH if way == UP else OWN_WIDTH)
    return MeasuredLine(line.label, line.numbers, setting, HALF)


def found_line(one: FoundLine, sizes: Sequence[PieceDrawing | None]) -> MeasuredLine:
    """A line that no value names, with its length in every size."""
    numbers = tuple(nan if drawing is None else one.length_mm(drawing) for drawing in sizes)
    return MeasuredLine(one.label, numbers, one.setting)


def drawn_between(one: FoundLine, drawing: PieceDrawing) -> DimensionLine:
    """The same line in one size."""
    (x1, y1), (x2, y2) = drawing.corners[[one.start, one.end]].tolist()
    return DimensionLine(one.label, (x1, y1), (x2, y2))


def piece_in_size(
    ground: Ground, label: str, drawing: PieceDrawing, lines: Sequence[MeasuredLine], place: int
) -> PieceInSize:
    """The picture of one size, with the words that stand for it."""
    size = ground.facts.pattern.sizes[place]
    settings = [line.setting for line in lines]
    shown = [] if ground.is_wide else [ground.on_line(line) for line in lines]
    look = {"scale": ground.scale, "type_mm": ground.type_mm}
    measures, box = (
        place_measures(drawing, settings, **look)
        if ground.is_wide
        else place_told(drawing, settings, shown, **look)
    )
    texts = [ground.lengths_of(line, [place]) for line in lines]
    words = "; ".join(
        f"{i} {line.told} {text}" for i, (line, text) in enumerate(zip(lines, texts, strict=True), 1)
    )
    left, top = drawing.box[0], drawing.box[3]
    return PieceInSize(
        frame=frame_of(box, f"{label}, size {size}, drawn to scale. {words}".rstrip()),
        size=size,
        edge=edge_path(Paper(left, top, ground.scale)(drawing.edge)),
        strokes="".join(one.strokes for one in measures),
        guides="".join(one.guides for one in measures),
        labels=tuple(
            _wide_labels(ground, measures, settings, texts)
            if ground.is_wide
            else (_label(one, text) for one, text in zip(measures, shown, strict=True))
        ),
        disc_mm=round(ground.type_mm * 0.82, 2),
        type_mm=ground.type_mm,
        units=ground.units if any(shown) else "",
    )


def _label(measure: Measure, text: str) -> Label:
    """A number with its length."""
    of = measure.label
    if of is None:
        raise AssertionError("A line that is told has a label.")
    (x, y), (text_x, text_y) = of.disc, of.text_at
    return Label(
        number=measure.number,
        x=round(x, 2),
        y=round(y, 2),
        text=text,
        text_x=round(text_x, 2),
        text_y=round(text_y, 2),
        turn=-90 if measure.turned else 0,
        dy="0.35em",
        back=of.back if measure.length else None,
        text_first=of.text_first,
    )


def _wide_labels(
    ground: Ground, measures: Sequence[Measure], settings: Sequence[NumberSetting], texts: Sequence[str]
) -> Iterator[Label]:
    """Labels up to the second wording: a length stands above its line, where half of that is long enough.

    Never to be changed: records are printed with them. A line that spans half of what is measured all round
    tells no length beside it.
    """
    type_mm = ground.type_mm
    is_told = len(ground.kept) == 1 and ground.edition.units != "both"
    for measure, setting, text in zip(measures, settings, texts, strict=True):
        (x, y), along = measure.at, 1.1 * type_mm
        fits = len(text) * LETTER_WIDTH * type_mm + 1.6 * type_mm < measure.length / 2
        told = text if is_told and setting.parts == 1 and fits else ""
        text_x, text_y = (x, y - along) if measure.turned else (x + along, y)
        yield Label(
            measure.number, round(x, 2), round(y, 2), told, round(text_x, 2), round(text_y, 2),
            -90 if measure.turned else 0,
        )  # fmt: skip
