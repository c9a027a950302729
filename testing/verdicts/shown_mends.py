"""What new counts would change on the sheet, as the page shows it."""

from dataclasses import dataclass

from grading.grid.shown_numbers import figure, unit_of
from testing.verdicts.mends import Mending


@dataclass(frozen=True)
class ChangedRow:
    """A line of the sheet whose numbers would change: size, before, after."""

    label: str
    unit: str
    cells: list[tuple[str, str, str]]


def changed_rows(mending: Mending, units: str) -> list[ChangedRow]:
    """Every line that would change."""
    lines = {value.name: value for value in mending.figures.pattern.values}
    rows = []
    for one in mending.difference.values:
        line = lines.get(one.name)
        kind = line.kind if line else "count"
        rows.append(
            ChangedRow(
                label=line.label if line else one.name,
                unit=unit_of(kind, units),
                cells=[
                    (size, figure(before, kind, units), figure(after, kind, units))
                    for size, before, after in zip(one.sizes, one.before, one.after, strict=True)
                ],
            )
        )
    return rows
