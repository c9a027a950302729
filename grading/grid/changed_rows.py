"""Lines of the sheet whose numbers an edit would change, as people see them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from grading.grid.shown_numbers import figure, unit_of
from grading.sheets.differences import ChangedValue


@dataclass(frozen=True)
class ChangedRow:
    """A line whose numbers would change: what it is called, its unit, and size, before, after."""

    label: str
    unit: str
    cells: list[tuple[str, str, str]]


def changed_rows(
    changed: Iterable[ChangedValue], lines: Mapping[str, tuple[str, str]], units: str
) -> list[ChangedRow]:
    """One row for each changed value; `lines` holds label and kind of those that the sheet has."""
    rows = []
    for value in changed:
        label, kind = lines.get(value.name, (value.name, "count"))
        pairs = zip(value.sizes, value.before, value.after, strict=True)
        cells = [(size, figure(old, kind, units), figure(new, kind, units)) for size, old, new in pairs]
        rows.append(ChangedRow(label, unit_of(kind, units), cells))
    return rows
