"""Size tables compared with one's own copy of their source: row by row, who and when."""

import hashlib
import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from catalogue.models import CheckedRow, Person
from grading.core.sizes.tables import SizeTable, TableMeasurement


@dataclass(frozen=True)
class RowStanding:
    """A row of a table: where its figures come from, and who has compared them."""

    name: str
    label: str
    origin: str
    checked: CheckedRow | None


def row_standings(key: str, table: SizeTable) -> list[RowStanding]:
    """How each row of a table stands; a check of figures that have changed since counts no more."""
    rows = CheckedRow.objects.filter(table=key).select_related("by")
    kept = {row.measurement: row for row in rows}
    standings = []
    for one in table.measurements:
        row = kept.get(one.name)
        is_same = row is not None and row.digest == _digest(table, one)
        standings.append(RowStanding(one.name, one.label, one.origin, row if is_same else None))
    return standings


def compared_tables(tables: Mapping[str, SizeTable]) -> set[str]:
    """The keys of the tables of which every row is compared, with its figures as they are; one query."""
    rows = CheckedRow.objects.filter(table__in=tables).values_list("table", "measurement", "digest")
    checked = set(rows)
    return {
        key
        for key, table in tables.items()
        if all((key, one.name, _digest(table, one)) in checked for one in table.measurements)
    }


@transaction.atomic
def check_rows(*, key: str, table: SizeTable, names: Collection[str], by: Person) -> None:
    """Keep which rows agree: new ticks are dated and signed, older ones stay as they were."""
    standings = {one.name: one for one in row_standings(key, table)}
    CheckedRow.objects.filter(table=key).exclude(measurement__in=names).delete()
    for one in table.measurements:
        if one.name in names and standings[one.name].checked is None:
            CheckedRow.objects.update_or_create(
                table=key,
                measurement=one.name,
                defaults={"digest": _digest(table, one), "by": by, "checked_on": timezone.localdate()},
            )


def figures_of(table: SizeTable) -> str:
    """What all figures of a table are known by: a page that ticks its rows brings what it showed."""
    return hashlib.sha256("".join(_digest(table, one) for one in table.measurements).encode()).hexdigest()


def _digest(table: SizeTable, measurement: TableMeasurement) -> str:
    """What the figures of a row are known by."""
    sizes = list(table.sizes)
    if all(size.endswith(" years") for size in sizes):
        sizes = [size.removesuffix(" years") for size in sizes]  # rows stay compared: once they were named so
    figures = [table.unit, sizes, measurement.entries, measurement.half_open]
    return hashlib.sha256(json.dumps(figures).encode()).hexdigest()
