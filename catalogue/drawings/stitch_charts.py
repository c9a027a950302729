"""Stitch charts as SVG: cells with signs or colours, rows numbered where they begin, the repeat framed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil

from catalogue.drawings.chart_signs import (
    Stroke,
    chains_of,
    fan_of,
    fitting_type,
    flipped,
    path_of,
    strokes_of,
    width_of_type,
)
from catalogue.drawings.nests import LETTER_WIDTH, Frame, frame_of
from catalogue.drawings.stripe_bands import UNKNOWN, ink_on
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import StitchPatternEntry
from grading.core.printing.edition import PrintForm
from grading.core.stitch_patterns.charts import Chart, ChartRow, chart_of, craft_of
from grading.core.stitch_patterns.recording import Made
from grading.core.stitch_patterns.symbols import NO_STITCH_SIGN, key_of, printed_name, sign_in

# Cells of 3 mm are the least that is read well on paper. Source: common practice.
LEAST_MM, CELL_MM, CELL_MM_LARGE = 3.0, 4.4, 7.0
SCREEN_CELL_MM = 7.0
WIDEST_MM = 150.0
LEAST_TYPE = 0.4  # of a cell: type that is still read
CROCHET_HIGH = 1.35
GAP = "#d9d4cc"
DARK = "#2b241d"


@dataclass(frozen=True)
class ChartText:
    """A number, letter or abbreviation."""

    text: str
    x: float
    y: float
    type_mm: float
    anchor: str = "middle"
    ink: str = DARK
    on_colour: bool = False


@dataclass(frozen=True)
class ChartFill:
    """All cells of one colour."""

    d: str
    colour: str


@dataclass(frozen=True)
class ChartPicture:
    """A chart, or as much of it as is as wide as the page."""

    frame: Frame
    caption: str
    fills: tuple[ChartFill, ...]
    grid: str
    lines: str
    dots: str
    repeat: str
    texts: tuple[ChartText, ...]
    line_mm: float


@dataclass(frozen=True)
class Look:
    """How a chart is drawn: its cells in mm, for which hand, in which terms and colours."""

    facts: Facts
    edition: PrintForm
    shades: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    cell_mm: float = CELL_MM

    @property
    def mirrored(self) -> bool:
        """Whether it is for left-handed work."""
        return self.edition.hand == "left"

    def colour(self, letter: str) -> str:
        """The chosen shade of a colour; white where none is chosen."""
        return self.shades.get(letter, {}).get("srgb", UNKNOWN)


@dataclass
class Ink:
    """What is drawn, gathered cell by cell."""

    fills: dict[str, str] = field(default_factory=dict)
    grid: str = ""
    lines: str = ""
    dots: str = ""
    texts: list[ChartText] = field(default_factory=list)

    def box(self, left: float, top: float, wide: float, high: float, colour: str = "") -> None:
        """A cell with its edge, in a colour where it has one."""
        path = f"M{left:.2f} {top:.2f}h{wide:.2f}v{high:.2f}h{-wide:.2f}Z"
        self.grid += path
        if colour:
            self.fills[colour] = self.fills.get(colour, "") + path

    def draw(self, strokes: Sequence[Stroke], at: tuple[float, float], cell: tuple[float, float]) -> None:
        """The lines of a sign."""
        for stroke in strokes:
            if stroke.is_filled:
                self.dots += path_of(stroke, at, cell)
            else:
                self.lines += path_of(stroke, at, cell)

    def all_fills(self) -> tuple[ChartFill, ...]:
        """All coloured cells, by colour."""
        return tuple(ChartFill(path, colour) for colour, path in self.fills.items())


def draw_charts(entry: StitchPatternEntry, look: Look, alternative: str) -> tuple[ChartPicture, ...]:
    """The chart of a stitch pattern in as many parts as the page needs; none where no row can be drawn."""
    chart = chart_of(entry, look.facts.pattern)
    if not chart.is_drawn:
        return ()
    chart = chart.mirrored() if look.mirrored else chart
    cell = cell_of(entry, chart, look)
    most = max(1, int((WIDEST_MM - 4 * look.cell_mm) / cell[0]))
    spans = _spans(chart, most)
    spans = spans[::-1] if _begins_right(chart.rows[0], look) else spans
    return tuple(_draw_part(entry, chart, (look, cell), span, alternative) for span in spans)


def _spans(chart: Chart, most: int) -> list[tuple[int, int]]:
    """The columns of each part, from the left: cut between cells, or where fewest rows have a cell cut."""
    cuts = [0]
    while (left := chart.width - cuts[-1]) > most:
        start = cuts[-1]
        wanted = start + ceil(left / ceil(left / most))
        columns = range(start + max(1, (wanted - start) // 2), start + most + 1)
        ends = {at: [_edge(row, at) for row in chart.rows] for at in columns}
        fitting = [at for at in columns if max(ends[at]) <= start + most] or [wanted]
        cuts.append(min((_cells_cut(ends[at], at), abs(at - wanted), at) for at in fitting)[-1])
    return list(pairwise([*cuts, chart.width]))


def _cells_cut(ends: Sequence[int], column: int) -> int:
    """How many rows have a cell that a cut at a column goes through."""
    return sum(end > column for end in ends)


def _edge(row: ChartRow, column: int) -> int:
    """The first edge of a cell at a column or after it; the column itself in a row without cells."""
    at = 0
    for made in row.cells:
        if at >= column:
            return at
        at += max(1, made.width)
    return max(at, column)


def _begins_right(row: ChartRow, look: Look) -> bool:
    """Whether a row begins at the right of the chart as it is drawn."""
    return row.from_right != look.mirrored


def _caption(chart: Chart, span: tuple[int, int], look: Look) -> str:
    """Which stitches a part has, counted from where row 1 begins; nothing for a whole chart."""
    if span == (0, chart.width):
        return ""
    first, last = span
    if _begins_right(chart.rows[0], look):
        first, last = chart.width - last, chart.width - first
    return f"Stitches {first + 1} to {last} of {chart.width}"


def cell_of(entry: StitchPatternEntry, chart: Chart, look: Look) -> tuple[float, float]:
    """How wide and high a cell is: crochet is taller than wide, and abbreviations must be read."""
    craft, terms = craft_of(entry, look.facts.pattern), look.facts.home_terms
    high = look.cell_mm * (CROCHET_HIGH if craft == "crochet" and not entry.grid else 1)
    shorts = [
        (len(printed_short(line.short, look)), line.width)
        for line in key_of(chart, craft, terms)
        if line.short and not entry.grid
    ]
    least_mm = look.cell_mm * LEAST_TYPE
    wide = max([look.cell_mm, *(width_of_type(letters, least_mm) / width for letters, width in shorts)])
    return round(wide, 2), round(high, 2)


def _draw_part(
    entry: StitchPatternEntry,
    chart: Chart,
    drawn: tuple[Look, tuple[float, float]],
    span: tuple[int, int],
    alternative: str,
) -> ChartPicture:
    """Draw the cells between two columns, with the numbers of all rows."""
    look, (wide, high) = drawn
    ink, type_mm = Ink(), look.cell_mm * 0.62
    columns = max(_edge(row, span[1]) for row in chart.rows) - span[0]
    craft, terms = craft_of(entry, look.facts.pattern), look.facts.home_terms
    for place, row in enumerate(reversed(chart.rows)):
        top = place * high
        _number(ink, row, look, (columns * wide, top + high / 2), type_mm)
        if not row.cells:
            ink.box(0, top, columns * wide, high)
            ink.texts.append(ChartText("in words", columns * wide / 2, top + high / 2, type_mm * 0.9))
        at = 0
        for made in row.cells:
            width = max(1, made.width)
            if span[0] <= at < span[1]:
                left = (at - span[0]) * wide
                _draw_cell(ink, made, (row, craft, terms), look, (left, top, wide, high))
            at += width
    bottom = len(chart.rows) * high
    side = (max(len(str(row.number)) for row in chart.rows) + 2.2) * type_mm * LETTER_WIDTH + 1
    begins_right = {_begins_right(row, look) for row in chart.rows}
    left, right = (side if is_right in begins_right else 0.6 for is_right in (False, True))
    box = (-left, -0.6, columns * wide + right, bottom + 0.6)
    caption = _caption(chart, span, look)
    return ChartPicture(
        frame=frame_of(box, f"{caption}. {alternative}" if caption else alternative),
        caption=caption,
        fills=ink.all_fills(),
        grid=ink.grid,
        lines=ink.lines,
        dots=ink.dots,
        repeat=_repeat_frame(chart, span, (wide, high)),
        texts=tuple(ink.texts),
        line_mm=round(look.cell_mm * 0.075, 3),
    )


def _number(ink: Ink, row: ChartRow, look: Look, at: tuple[float, float], type_mm: float) -> None:
    """The number of a row beside the end where it begins, with a mark of the way and its colour."""
    wide, y = at
    begins_right = _begins_right(row, look)
    text = f"← {row.number}" if begins_right else f"{row.number} →"
    text = f"{text} {row.colour}".strip() if begins_right else f"{row.colour} {text}".strip()
    x = wide + type_mm * 0.4 if begins_right else -type_mm * 0.4
    ink.texts.append(ChartText(text, round(x, 2), round(y, 2), type_mm, "start" if begins_right else "end"))


def _draw_cell(
    ink: Ink,
    made: Made,
    of: tuple[ChartRow, str, str],
    look: Look,
    place: tuple[float, float, float, float],
) -> None:
    """One cell: a colour with its letter, one sign, several in one place, or an abbreviation."""
    (row, craft, terms), (left, top, wide, high) = of, place
    width = max(1, made.width)
    if made.colour:
        colour = look.colour(made.colour)
        ink.box(left, top, wide, high, colour)
        size = round(high * 0.58, 2)
        ink.texts.append(
            ChartText(
                made.colour,
                round(left + wide / 2, 2),
                round(top + high / 2, 2),
                size,
                ink=ink_on(colour),
                on_colour=True,
            )
        )
        return
    sign = sign_in(made, row, craft, terms)
    ink.box(left, top, wide * width, high, GAP if sign.signs == (NO_STITCH_SIGN,) else "")
    if len(made.names) > 1 and width == 1:
        ink.draw(for_hand(chains_of(len(made.names)), 1, look), (left, top), (wide, high))
    elif len(made.names) > 1 and all(sign.signs):
        ink.draw(for_hand(fan_of(sign.signs), width, look), (left, top), (wide, high))
    elif sign.signs[0]:
        ink.draw(for_hand(strokes_of(sign.signs[0], width), width, look), (left, top), (wide, high))
    else:
        text = " ".join(printed_short(name, look) for name in made.names)
        size = round(fitting_type(text, wide * width, high), 2)
        ink.texts.append(ChartText(text, round(left + wide * width / 2, 2), round(top + high / 2, 2), size))


def for_hand(strokes: Sequence[Stroke], width: int, look: Look) -> Sequence[Stroke]:
    """The lines of a sign for the hand of the edition."""
    return [flipped(stroke, width) for stroke in strokes] if look.mirrored else strokes


def printed_short(name: str, look: Look) -> str:
    """An abbreviation in the terms of the edition."""
    return look.facts.plain(printed_name(name), look.edition)


def _repeat_frame(chart: Chart, span: tuple[int, int], cell: tuple[float, float]) -> str:
    """The frame around the repeat: one box where it lies alike in all rows, else one for each row."""
    wide, high = cell
    boxes: list[tuple[int, int, int, int]] = []
    for place, row in enumerate(reversed(chart.rows)):
        start = max(row.start, _edge(row, span[0]))
        end = min(row.start + row.length, _edge(row, span[1]))
        if not row.cells or start >= end:
            continue
        if boxes and boxes[-1][:2] == (start, end) and boxes[-1][3] == place:
            boxes[-1] = (start, end, boxes[-1][2], place + 1)
        else:
            boxes.append((start, end, place, place + 1))
    return "".join(
        f"M{(start - span[0]) * wide:.2f} {first * high:.2f}H{(end - span[0]) * wide:.2f}"
        f"V{last * high:.2f}H{(start - span[0]) * wide:.2f}Z"
        for start, end, first, last in boxes
    )
