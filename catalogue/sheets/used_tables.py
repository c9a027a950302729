"""Size tables that a pattern has its body measurements from, with how many of these rows were compared."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from catalogue.sheets.checked_tables import row_standings
from grading.core.sizes.tables import RULES, SizeTable, TableMeasurement, number_of
from grading.sizes.tables import published_tables

# So many sizes of the same name must have the same number; one may be the same by chance.
FEWEST_ALIKE = 2


@dataclass(frozen=True)
class UsedTable:
    """A published table whose numbers stand in a pattern; `compared` of its `rows` there were compared."""

    key: str
    name: str
    compared: int
    rows: int

    @property
    def says(self) -> str:
        """What a reader should know before trusting the numbers."""
        rows = "1 row that is" if self.rows == 1 else f"{self.rows} rows that are"
        are = "is" if self.compared == 1 else "are"
        return (
            f"Body measurements come from the table “{self.name}”: {self.compared} of the {rows} used "
            f"{are} compared with the published table."
        )

    @property
    def page(self) -> str:
        """Where its rows are compared."""
        return f"{reverse('size_table', args=[self.key])}#compare"


def unchecked_tables(document: Mapping[str, Any]) -> list[UsedTable]:
    """The published tables of a pattern's numbers of which a row was not compared.

    A pattern keeps numbers and no names of tables: a row is a table's where sizes of the same name have its
    numbers.
    """
    found, taken = [], set[str]()
    for key, table in published_tables().items():
        names = {one.name for one in table.measurements if _is_from(document, table, one)} - taken
        taken |= names
        if names:
            rows = [one for one in row_standings(key, table) if one.name in names]
            compared = sum(one.checked is not None for one in rows)
            if compared < len(rows):
                found.append(UsedTable(key, table.name, compared, len(rows)))
    return found


def _is_from(document: Mapping[str, Any], table: SizeTable, row: TableMeasurement) -> bool:
    """Whether a pattern has the numbers of a row, by one of the rules for ranges."""
    body = document.get("body", {}).get(row.name)
    if body is None or body["unit"] != table.unit:
        return False
    places = [table.place_of(size) for size in document["sizes"]]
    shared = [
        (number, row.entries[place])
        for number, place in zip(body["values"], places, strict=True)
        if place is not None and row.entries[place] is not None
    ]
    return len(shared) >= FEWEST_ALIKE and any(
        all(number == number_of(entry, rule) for number, entry in shared) for rule in RULES
    )
