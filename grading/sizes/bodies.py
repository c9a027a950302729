"""Bodies brought as a table: one line per body, one column per measurement, in mm once read."""

from dataclasses import dataclass, field

from grading.core.formula.literals import LENGTH_UNITS_MM, MOST_DECIMALS
from grading.core.formula.typed_numbers import unit_named
from grading.core.sizes.tables import SizeTable
from grading.sizes.table_reading import MOST_SHOWN, measurement_name
from grading.tables.files import BroughtRow, RawTable
from grading.tables.limits import TableRefused
from grading.tables.number_cells import NotANumber, header_unit, read_cell


@dataclass
class ReadBodies:
    """Numbers by measurement, one per body, None where a cell is empty; and what did not fit."""

    bodies_mm: dict[str, list[float | None]] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def read_bodies(raw: RawTable, table: SizeTable, unit: str) -> ReadBodies:
    """Read the columns that the size table has; a unit in a head or in a line of units comes before `unit`.

    Raises:
        TableRefused: No column is a measurement of the table.
    """
    units, rows = _units(raw)
    read = ReadBodies(problems=list(raw.problems))
    wanted = {one.name: one.label for one in table.measurements}
    for at, head in enumerate(raw.head.cells):
        label, of_head = header_unit(head)
        name = measurement_name(label)[0] if label else ""
        if name not in wanted:
            read.notes.append(f"“{head[:60]}” is not a measurement of the table and is left out.")
            continue
        mm = LENGTH_UNITS_MM[units.get(at) or of_head or unit]
        read.bodies_mm[name] = [_number_mm(row, at, wanted[name], mm, raw, read) for row in rows]
    if not read.bodies_mm:
        known = ", ".join(wanted.values())
        raise TableRefused(f"No column is a measurement of the table; it has {known}.")
    read.problems = read.problems[:MOST_SHOWN]
    return read


def _units(raw: RawTable) -> tuple[dict[int, str], tuple[BroughtRow, ...]]:
    """The units of the columns where the first line gives them, and the lines of bodies."""
    if not raw.rows:
        raise TableRefused("There is no body in the table: each line after the first is one.")
    units = {at: unit_named(cell) for at, cell in enumerate(raw.rows[0].cells) if cell}
    is_unit_line = bool(units) and all(
        found or raw.rows[0].cells[at].casefold() in {"unit", "units"} for at, found in units.items()
    )
    if not is_unit_line:
        return {}, raw.rows
    return {at: found for at, found in units.items() if found in LENGTH_UNITS_MM}, raw.rows[1:]


def _number_mm(
    row: BroughtRow, at: int, label: str, mm: float, raw: RawTable, read: ReadBodies
) -> float | None:
    """One measurement of one body."""
    try:
        typed = read_cell(row.cells[at], comma=raw.comma)
    except NotANumber as error:
        read.problems.append(f"Line {row.line}, “{label}”: {error}")
        return None
    if typed.entry is None:
        return None
    if isinstance(typed.entry, tuple):
        read.problems.append(f"Line {row.line}, “{label}”: a body has one number, not a range.")
        return None
    factor = LENGTH_UNITS_MM[typed.unit] if typed.unit else mm
    return round(typed.entry * factor, MOST_DECIMALS)
