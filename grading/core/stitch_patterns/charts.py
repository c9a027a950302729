"""Charts: the rows of a stitch pattern cell by cell, as they lie when the right side is looked at.

A chart shows one repeat with the stitches before it and after it. Rows are read from the words over one
repeat and over two: where the second has the same stitches once more is the repeat, so nothing depends on how
it is written.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from grading.core.audit.cells import Beneath, merge_cells
from grading.core.audit.own_stitches import own_stitches, spelled_out
from grading.core.audit.row_states import UnreadError, Worked
from grading.core.audit.tree import Row
from grading.core.pattern.pattern import PatternFile, StitchPatternEntry
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.stitch_patterns.grids import Grid, GridProblem, grid_rows, read_grid
from grading.core.stitch_patterns.recording import NO_STITCH, Made, again_of, read_row, work_recorded

NO_REPEAT = "its repeat can’t be told from the words"
NOT_EVEN = "its stitches don’t come out"
SEVERAL_COLOURS = "several colours in one row are charted from a grid of letters"

Side = str
_Unit = tuple[Made, int]


@dataclass(frozen=True)
class ChartRow:
    """One row from left to right as charted; the repeat is `length` cells from `start` on.

    `side` is RS or WS, or "" where the work is never turned. A row that stays in words has no cells:
    `why` says why. `turning` counts chains at its beginning that are no stitch.
    """

    number: int
    side: Side
    cells: tuple[Made, ...]
    start: int = 0
    length: int = 0
    turning: int = 0
    colour: str = ""
    why: str = ""

    @property
    def width(self) -> int:
        """How many cells it has."""
        return sum(one.width if one.names else 1 for one in self.cells)

    @property
    def from_right(self) -> bool:
        """Whether it is read from right to left, as right-side rows and rounds are."""
        return self.side != "WS"

    @property
    def worked(self) -> tuple[Made, ...]:
        """What is made, in the order in which it is made, without cells that are no stitch."""
        made = [one for one in self.cells if one.names]
        return tuple(reversed(made) if self.from_right else made)


@dataclass(frozen=True)
class Chart:
    """All rows of a stitch pattern, row 1 first; `says` is what does not come out in its rows."""

    rows: tuple[ChartRow, ...]
    says: tuple[str, ...] = ()

    @property
    def is_drawn(self) -> bool:
        """Whether any row can be drawn."""
        return any(row.cells for row in self.rows)

    @property
    def unread(self) -> tuple[ChartRow, ...]:
        """The rows that stay in words."""
        return tuple(row for row in self.rows if row.why)

    @property
    def width(self) -> int:
        """How many cells the widest row has."""
        return max((row.width for row in self.rows), default=0)

    def mirrored(self) -> "Chart":
        """The chart for left-handed work: the same rows, read from the other side.

        >>> Chart((ChartRow(1, "RS", (Made(("k",)), Made(("p",)))),)).mirrored().rows[0].cells[0].name
        'p'
        """
        return replace(self, rows=tuple(_mirrored(row) for row in self.rows))


def _mirrored(row: ChartRow) -> ChartRow:
    """A row from its other end."""
    return replace(row, cells=row.cells[::-1], start=row.width - row.start - row.length if row.cells else 0)


@dataclass(frozen=True)
class _Read:
    """A row over one repeat and over two, in the order of work."""

    once: tuple[Made, ...]
    twice: tuple[Made, ...]
    turning: int


def craft_of(entry: StitchPatternEntry, pattern: PatternFile) -> str:
    """Return the craft of a stitch pattern: its own, else that of the pattern."""
    return entry.craft or pattern.craft


def side_of(entry: StitchPatternEntry, craft: str, number: int) -> Side:
    """Return the side that a row is worked on.

    Args:
        entry: The stitch pattern.
        craft: Its craft.
        number: The row, from 1.

    Returns:
        RS, WS, or "" where the work is never turned.

    Source: common practice.
    """
    if entry.rounds or craft == "tunisian":
        return ""
    is_first_side = number % 2 == 1
    return "RS" if is_first_side == (entry.first_side == "RS") else "WS"


def chart_of(entry: StitchPatternEntry, pattern: PatternFile) -> Chart:
    """Return the chart of a stitch pattern.

    Args:
        entry: The stitch pattern.
        pattern: The pattern that it belongs to.

    Returns:
        Every row, with its cells or why it stays in words, and what does not come out.

    Source: common practice: right-side rows and rounds are read from right to left, wrong-side rows from left
    to right, and all is drawn as it looks from the right side.
    """
    craft = craft_of(entry, pattern)
    if entry.grid:
        return _grid_chart(entry, craft)
    chart = _written_chart(entry, pattern, craft, 1)
    if any(row.why == NO_REPEAT for row in chart.rows):
        # Where a repeat goes over the edges of the one before it, one alone does not show it.
        wider = _written_chart(entry, pattern, craft, 2)
        chart = wider if len(wider.unread) < len(chart.unread) else chart
    return chart


def _written_chart(entry: StitchPatternEntry, pattern: PatternFile, craft: str, repeats: int) -> Chart:
    """The chart of rows in words, over so many repeats and over one more."""
    over = begun = tuple(Beneath.of_count(entry.plus + n * entry.multiple) for n in (repeats, repeats + 1))
    colours = [yarn.colour for yarn in pattern.yarns]
    own = own_stitches(pattern.special_stitches) if pattern.wording > WIDE_WORDING else ()
    spaces_count = any(stitch.spaces_count for stitch in own)
    rows: list[ChartRow] = []
    says: list[str] = []
    read: dict[int, Row] = {}
    for number, text in enumerate(entry.rows, 1):
        side = side_of(entry, craft, number)
        try:
            read[number] = row = _read(spelled_out(text, own), craft, read)
            one, two = (work_recorded(row, beneath, craft, spaces_count=spaces_count) for beneath in over)
            wrong = _misfit(number, one[2], over[0])
            says += [wrong] if wrong else []
            found = _framed(_Read(tuple(one[0]), tuple(two[0]), one[1]), side, number)
            found = ChartRow(number, side, (), why=NOT_EVEN) if wrong else found
            rows.append(_in_colour(found, colours_of(text, colours)))
            over = begun if wrong else tuple(_above(worked, entry, craft) for worked in (one[2], two[2]))
        except UnreadError as error:
            rows.append(ChartRow(number, side, (), why=error.why))
            over = begun
    left, needed = over[0].total() or 0, begun[0].total() or 0
    if not says and not rows[-1].why and left != needed:
        says.append(
            f"After row {len(rows)} there are {left} stitches, and row 1 begins with {needed}: "
            "the rows can’t be repeated as they are."
        )
    return Chart(_aligned(rows), tuple(says))


def _in_colour(row: ChartRow, colours: Sequence[str]) -> ChartRow:
    """A row with its one colour; in words where it names several."""
    if len(colours) > 1:
        return ChartRow(row.number, row.side, (), why=SEVERAL_COLOURS)
    return replace(row, colour=colours[0] if colours else "")


def _read(text: str, craft: str, read: dict[int, Row]) -> Row:
    """A row, or the earlier one that it names."""
    again = again_of(text, craft)
    if again is None:
        return read_row(text, craft)
    if again not in read:
        raise UnreadError(f"row {again} is not given before it, or stays in words")
    return read[again]


def _above(worked: Worked, entry: StitchPatternEntry, craft: str) -> Beneath:
    """What the next row is worked over; work that is turned is met from its other end."""
    cells = merge_cells(worked.cells)
    turned = not entry.rounds and craft != "tunisian"
    return Beneath(tuple(reversed(cells)) if turned else cells) if cells else Beneath.of_count(worked.leaves)


def _misfit(number: int, worked: Worked, beneath: Beneath) -> str:
    """Say that a row does not use the stitches beneath it up; nothing where it does.

    Stitches between chain spaces that are worked into are passed over without a word (common practice).
    """
    left, total = worked.left_over or 0, beneath.total()
    if left < 0:
        more = "1 stitch more" if left == -1 else f"{-left} stitches more"
        return f"Row {number} works {more} than the {total} of its repeat and edges."
    if worked.unworked + (0 if beneath.has_spaces() else left):
        over = left + worked.unworked
        return f"Row {number}: of the {total} stitches of its repeat and edges {over} are left over."
    return ""


def _framed(read: _Read, side: Side, number: int) -> ChartRow:
    """A row as it is looked at, with its repeat; in words where it has none."""
    once, twice = read.once, read.twice
    if side != "WS":
        once, twice = once[::-1], twice[::-1]
    one, two = _units(once), _units(twice)
    length = len(two) - len(one)
    first, last = len(one) - _alike(one[::-1], two[::-1]), _alike(one, two) - length
    starts = [start for start in range(first, last + 1) if length > 0 and _is_whole(one, start, length)]
    if not starts:
        return ChartRow(number, side, (), why=NO_REPEAT)
    return ChartRow(number, side, once, starts[0], length, read.turning)


def _alike(one: Sequence[_Unit], other: Sequence[_Unit]) -> int:
    """How many units two rows begin with alike."""
    pairs = enumerate(zip(one, other, strict=False))
    return next((place for place, (a, b) in pairs if a != b), min(len(one), len(other)))


def _is_whole(units: Sequence[_Unit], start: int, length: int) -> bool:
    """Whether a repeat cuts no stitch."""
    return all(units[place][1] == 0 for place in (start, start + length) if place < len(units))


def _units(cells: Sequence[Made]) -> list[_Unit]:
    """Cells of one stitch each; those of a wide one are told apart."""
    return [(one, part) for one in cells for part in range(one.width)]


def _starts_of(row: ChartRow) -> list[int]:
    """All places where the repeat of a row may be said to begin: stitches may go over from end to end."""
    units, length = _units(row.cells), row.length
    first = last = row.start
    while last + length < len(units) and units[last] == units[last + length]:
        last += 1
    while first > 0 and units[first - 1] == units[first + length - 1]:
        first -= 1
    return [start for start in range(first, last + 1) if _is_whole(units, start, length)]


def _aligned(rows: Sequence[ChartRow]) -> tuple[ChartRow, ...]:
    """Rows with their repeats above one another, as far as they can be, and all equally wide."""
    drawn = [row for row in rows if row.cells]
    if not drawn:
        return tuple(rows)
    common = set.intersection(*(set(_starts_of(row)) for row in drawn))
    if common and len({(row.width, row.length) for row in drawn}) == 1:
        start = _nearest_middle(common, drawn[0])
        return tuple(replace(row, start=start) if row.cells else row for row in rows)
    if len({(row.width, row.length) for row in drawn}) == 1:
        return tuple(rows)
    before = max(row.start for row in drawn)
    length = max(row.length for row in drawn)
    after = max(row.width - row.start - row.length for row in drawn)
    return tuple(_padded(row, before, length, after) if row.cells else row for row in rows)


def _nearest_middle(starts: set[int], row: ChartRow) -> int:
    """The place that leaves the edges most alike."""
    rest = row.width - row.length
    return min(sorted(starts), key=lambda start: abs(rest - 2 * start))


def _padded(row: ChartRow, before: int, length: int, after: int) -> ChartRow:
    """A row filled up with cells that are no stitch: outside its edges, and where its repeat ends."""
    parts: list[list[Made]] = [[], [], []]
    at = 0
    for one in row.cells:
        parts[0 if at < row.start else 1 if at < row.start + row.length else 2].append(one)
        at += one.width
    rest = row.width - row.start - row.length
    pads = [[NO_STITCH] * n for n in (before - row.start, length - row.length, after - rest)]
    middle = [*pads[1], *parts[1]] if row.from_right else [*parts[1], *pads[1]]
    cells = (*pads[0], *parts[0], *middle, *parts[2], *pads[2])
    return replace(row, cells=cells, start=before, length=length)


def colours_of(text: str, known: Sequence[str]) -> list[str]:
    """Return the colours that a row names, in their order.

    Args:
        text: A row in words.
        known: The colours of the pattern.

    Returns:
        Letters, each once.

    >>> colours_of("With B, knit.", ["A", "B"])
    ['B']
    """
    words = text.replace(",", " ").replace(".", " ").replace(";", " ").split()
    after = [word for before, word in pairwise(words) if before.lower() in ("with", "in", "to")]
    return [colour for colour in dict.fromkeys(after) if colour in known]


# --- grids of colours
def _grid_chart(entry: StitchPatternEntry, craft: str) -> Chart:
    """The chart of a grid of colours."""
    try:
        grid = read_grid(entry)
    except GridProblem as problem:
        return Chart((), (problem.says,))
    rows = [
        ChartRow(number, side_of(entry, craft, number), cells, grid.start, grid.length)
        for number, cells in enumerate(_coloured(grid), 1)
    ]
    return Chart(tuple(rows))


def _coloured(grid: Grid) -> list[tuple[Made, ...]]:
    """The cells of every row, row 1 first."""
    return [tuple(Made(("",), 1, colour) for colour in row) for row in grid_rows(grid)]
