"""From rows of text to a size table: every cell that does not fit is named, and nothing is guessed."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from grading.core.formula.literals import RESERVED
from grading.core.formula.typed_numbers import unit_named
from grading.core.sizes.tables import RangeOrNumber, SizeTable, TableMeasurement, number_of
from grading.sizes.sizes import label_problem
from grading.sizes.tables import published_tables
from grading.tables.files import BroughtRow, RawTable, number_text
from grading.tables.limits import TableRefused
from grading.tables.number_cells import NotANumber, header_unit, read_cell

SIZE_WORDS = {"size", "sizes"}
MEASUREMENT_WORDS = {"measurement", "measurements", "body measurement", "body measurements"}
UNIT_HEADS = {"unit", "units"}
LONGEST_MEASUREMENT = 80
MOST_MEASUREMENTS = 60
MOST_SHOWN = 50


@dataclass
class ReadTable:
    """What was read: `problems` must be mended, `empty` cells become null once confirmed."""

    table: SizeTable | None = None
    problems: list[str] = field(default_factory=list)
    empty: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class BroughtColumn:
    """A measurement as brought: its head, its unit if named, and one cell for each size."""

    label: str
    unit: str | None
    cells: tuple[str, ...]


def read_size_table(raw: RawTable, *, name: str, unit: str) -> ReadTable:
    """Read a size table in a unit, cm or in.

    The first cell says how it lies: “size” where each line is a size, “measurement” where each line is a
    measurement. A unit can stand in a label, as in “bust (cm)”, or in a line or column called “unit”.

    Raises:
        TableRefused: The first cell says neither.
    """
    sizes, columns = _laid_out(raw)
    read = ReadTable(problems=list(raw.problems))
    empty = "A size has no label: type one, such as M." if "" in sizes else None
    problem = empty or label_problem(sizes)
    if problem:
        read.problems.append(problem)
    if not 1 <= len(columns) <= MOST_MEASUREMENTS:
        read.problems.append(f"A table has from 1 to {MOST_MEASUREMENTS} measurements, not {len(columns)}.")
    measurements: dict[str, TableMeasurement] = {}
    for column in columns[:MOST_MEASUREMENTS]:
        one = _measurement(column, sizes, unit, raw, read, measurements)
        measurements[one.name] = one
    _note_falls(sizes, measurements.values(), read)
    if not read.problems:
        read.table = SizeTable(name, unit, tuple(sizes), tuple(measurements.values()))
    read.problems = _shown(read.problems)
    return read


def _shown(problems: list[str]) -> list[str]:
    """The first problems, and how many more there are."""
    more = len(problems) - MOST_SHOWN
    return problems if more <= 0 else [*problems[:MOST_SHOWN], f"There are {more} more like these."]


def _laid_out(raw: RawTable) -> tuple[list[str], list[BroughtColumn]]:
    """Sizes and measurements, whichever way the table lies."""
    first = raw.head.cells[0].casefold()
    if first in SIZE_WORDS:
        return _with_size_lines(raw)
    if first in MEASUREMENT_WORDS:
        return _with_measurement_lines(raw)
    raise TableRefused(
        "The first cell must say “size” where each line is a size, or “measurement” where each line is a "
        f"measurement; it says “{raw.head.cells[0][:40]}”."
    )


def _with_size_lines(raw: RawTable) -> tuple[list[str], list[BroughtColumn]]:
    """Each line is a size; a line called “unit” gives the units."""
    unit_rows = [row for row in raw.rows if row.cells[0].casefold() in UNIT_HEADS]
    lines = [row for row in raw.rows if row not in unit_rows]
    columns = []
    for at, head in enumerate(raw.head.cells[1:], start=1):
        label, unit = header_unit(head)
        unit = unit_rows[0].cells[at] if unit_rows and unit_rows[0].cells[at] else unit
        columns.append(BroughtColumn(label, unit, tuple(row.cells[at] for row in lines)))
    return [row.cells[0] for row in lines], columns


def _with_measurement_lines(raw: RawTable) -> tuple[list[str], list[BroughtColumn]]:
    """Each line is a measurement; a column called “unit” gives the units."""
    heads = [head.casefold() for head in raw.head.cells]
    unit_at = next((at for at, head in enumerate(heads) if head in UNIT_HEADS), None)
    places = [at for at in range(1, len(heads)) if at != unit_at]
    return [raw.head.cells[at] for at in places], [_line_column(row, unit_at, places) for row in raw.rows]


def _line_column(row: BroughtRow, unit_at: int | None, places: Sequence[int]) -> BroughtColumn:
    """The measurement on one line."""
    label, unit = header_unit(row.cells[0])
    unit = row.cells[unit_at] if unit_at is not None and row.cells[unit_at] else unit
    return BroughtColumn(label, unit, tuple(row.cells[at] for at in places))


def _measurement(
    column: BroughtColumn,
    sizes: Sequence[str],
    unit: str,
    raw: RawTable,
    read: ReadTable,
    known: dict[str, TableMeasurement],
) -> TableMeasurement:
    """Read a measurement and name every cell that does not fit."""
    if not column.label or len(column.label) > LONGEST_MEASUREMENT:
        read.problems.append(
            f"A measurement needs a label of 1 to {LONGEST_MEASUREMENT} characters: “{column.label[:40]}”."
        )
    name, label = measurement_name(column.label)
    if name in known:
        read.problems.append(f"“{column.label}” is there twice (as “{known[name].label}”).")
    if column.unit is not None and unit_named(column.unit) != unit:
        read.problems.append(f"“{label}” is in {column.unit}, the table in {unit}: give all in one unit.")
    entries = [
        _entry(cell, f"Size {size}, “{label}”", unit, raw, read)
        for size, cell in zip(sizes, column.cells, strict=True)
    ]
    return TableMeasurement(name, label, tuple(entries))


def _entry(cell: str, where: str, unit: str, raw: RawTable, read: ReadTable) -> RangeOrNumber:
    """Read one cell."""
    try:
        typed = read_cell(cell, comma=raw.comma)
    except NotANumber as error:
        read.problems.append(f"{where}: {error}")
        return None
    if typed.unit not in {None, unit}:
        read.problems.append(f"{where}: “{cell}” is not in {unit}, the unit of the table.")
    if typed.note:
        read.notes.append(f"{where}: {typed.note}")
    if typed.entry is None:
        read.empty.append(where)
    return typed.entry


def measurement_name(label: str) -> tuple[str, str]:
    """The name that formulas use and the label that people read: known ones keep theirs."""
    for one in _known_measurements():
        if label.casefold() in {one.name.casefold(), one.label.casefold(), one.name.replace("_", " ")}:
            return one.name, one.label
    name = re.sub(r"[^a-z0-9]+", "_", label.casefold()).strip("_")[:60] or "measurement"
    name = name if name[0].isalpha() else f"m_{name}"
    shown = label.replace("_", " ") if label == name else label
    return (f"{name}_girth" if name in RESERVED else name), shown[:1].upper() + shown[1:]


def _known_measurements() -> Iterator[TableMeasurement]:
    """The measurements of the published tables."""
    for table in published_tables().values():
        yield from table.measurements


def _note_falls(sizes: Sequence[str], measurements: Iterable[TableMeasurement], read: ReadTable) -> None:
    """Note where a larger size has a smaller number: it is kept in the given order."""
    for one in measurements:
        given = [
            (size, number_of(entry, "middle"))
            for size, entry in zip(sizes, one.entries, strict=False)
            if entry is not None
        ]
        for (small, before), (large, after) in pairwise(given):
            if before is not None and after is not None and after < before:
                read.notes.append(
                    f"“{one.label}” falls from {before:g} in size {small} to {after:g} in size {large}; "
                    "the order is kept as given."
                )


def size_table_rows(table: SizeTable) -> list[list[str]]:
    """A size table as rows of text that read back as the same table: each line is a size."""
    head = ["size", *(f"{one.label} ({table.unit})" for one in table.measurements)]
    rows = [
        [size, *(range_text(one.entries[at]) for one in table.measurements)]
        for at, size in enumerate(table.sizes)
    ]
    return [head, *rows]


def range_text(entry: RangeOrNumber) -> str:
    """An entry as text: 32–34, 18.5, or nothing."""
    if entry is None:
        return ""
    if isinstance(entry, tuple):
        return f"{number_text(entry[0])}–{number_text(entry[1])}"
    return number_text(entry)
