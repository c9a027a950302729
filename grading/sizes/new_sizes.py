"""New sizes of a pattern: what they lack, and the size table that the numbers of the others come from."""

from dataclasses import dataclass
from typing import Any

from grading.core.pattern.parts import label_of
from grading.core.sizes.tables import RULES, Rule, SizeTable, TableMeasurement, bare_size, number_of
from grading.sheets.documents import Document
from grading.sizes.tables import own_tables, published_tables, tidy

SAME = 1e-6
LEAST_SHARED = 2  # sizes: one that agrees may be chance


@dataclass(frozen=True)
class SourceTable:
    """A table whose numbers a pattern has: by which rule, which measurements, and its other sizes."""

    table: SizeTable
    rule: Rule
    measurements: tuple[TableMeasurement, ...]
    others: tuple[str, ...]


def source_table(document: Document) -> SourceTable | None:
    """Return the table that most body measurements of a pattern come from, if it has sizes to add."""
    sizes = document["sizes"]
    found: list[SourceTable] = []
    if not document.get("body"):
        return None
    for table in [*published_tables().values(), *own_tables().values()]:
        known = {bare_size(size) for size in sizes}
        others = tuple(size for size in table.sizes if bare_size(size) not in known)
        for rule in RULES if others else ():
            taken = tuple(one for one in table.measurements if _is_taken(one, table, rule, document))
            found += [SourceTable(table, rule, taken, others)] if taken else []
    return max(found, key=lambda one: len(one.measurements), default=None)


def _is_taken(one: TableMeasurement, table: SizeTable, rule: Rule, document: Document) -> bool:
    """Whether a pattern has the numbers of a measurement in every size that the table has too."""
    entry = document.get("body", {}).get(one.name)
    if entry is None or entry["unit"] != table.unit:
        return False
    places = [table.place_of(size) for size in document["sizes"]]
    pairs = [
        (mine, number_of(one.entries[place], rule))
        for mine, place in zip(entry["values"], places, strict=True)
        if place is not None
    ]
    return len(pairs) >= LEAST_SHARED and all(_same(mine, theirs) for mine, theirs in pairs)


def _same(one: float | None, other: float | None) -> bool:
    """Whether two numbers are there and the same."""
    return one is not None and other is not None and abs(one - other) < SAME


def filled_from(source: SourceTable, document: Document, new: list[str]) -> Document:
    """Return a pattern with the numbers of a table in new sizes that have none."""
    body = dict(document["body"])
    for one in source.measurements:
        values = list(body[one.name]["values"])
        for at, size in enumerate(document["sizes"]):
            place = source.table.place_of(size)
            if size in new and place is not None and values[at] is None:
                values[at] = tidy(number_of(one.entries[place], source.rule))
        body[one.name] = {**body[one.name], "values": values}
    return {**document, "body": body}


def still_lacking(document: Document, new: list[str]) -> list[str]:
    """Say which body measurements and lists have no number in new sizes, one sentence for each size."""
    entries: list[tuple[str, list[Any]]] = [
        *((label_of({"name": name, **one}), one["values"]) for name, one in document.get("body", {}).items()),
        *((label_of(one), one["list"]) for one in document.get("values", ()) if "list" in one),
    ]
    said = []
    for size in new:
        at = document["sizes"].index(size)
        lacking = [f"“{label}”" for label, numbers in entries if numbers[at] is None]
        if lacking:
            said.append(f"Size {size} has no number yet in {', '.join(lacking)}: fill them in on the sheet.")
    return said
