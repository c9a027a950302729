"""Size tables: published ones that come with the program, and the studio's own."""

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

from django.db import transaction

from grading import models
from grading.core.sizes.tables import RangeOrNumber, Rule, SizeTable, TableMeasurement, number_of
from grading.sheets.documents import Document

FOLDER = Path(__file__).parent / "size_tables"
KEYS = (
    "yarn-woman",
    "yarn-man",
    "yarn-child",
    "yarn-baby",
    "letter-codes-women",
    "letter-codes-men",
    "heads",
    "hands",
)
OWN = "own-"
_SPAN = re.compile(r"(.+?)\s*(?:\bto\b|–|\.\.)\s*(.+)")
MOST_OWN = 500


class NameTaken(Exception):
    """Another table has this name."""

    def __init__(self, name: str) -> None:
        super().__init__(f"There is a table “{name}” already: choose another name.")


@cache
def published_tables() -> dict[str, SizeTable]:
    """The tables that come with the program, by key."""
    return {key: table_from(json.loads((FOLDER / f"{key}.json").read_text("utf-8"))) for key in KEYS}


def own_tables() -> dict[str, SizeTable]:
    """The studio's own tables, by key, in the order of their names."""
    return {f"{OWN}{row.pk}": stored_table(row) for row in models.SizeTable.objects.order_by("name")}


def find_table(key: str) -> SizeTable | None:
    """A table by its key, or None."""
    if not key.startswith(OWN):
        return published_tables().get(key)
    row = models.SizeTable.objects.filter(pk=own_number(key)).first()
    return None if row is None else stored_table(row)


def own_number(key: str) -> int:
    """The number of one of the studio's own tables, 0 for none."""
    digits = key.removeprefix(OWN)
    return int(digits) if key.startswith(OWN) and digits.isdecimal() and len(digits) < 10 else 0


def stored_table(row: models.SizeTable) -> SizeTable:
    """A stored row as a table."""
    return table_from(
        {
            "name": row.name,
            "edition": row.edition,
            "source": row.source,
            "caution": row.caution,
            "unit": row.unit,
            "sizes": row.sizes,
            "measurements": row.measurements,
        }
    )


def table_from(typed: dict[str, Any]) -> SizeTable:
    """A table from its JSON, where a range is a list of two numbers."""
    measurements = tuple(
        TableMeasurement(
            name,
            of["label"],
            tuple(_entry(entry) for entry in of["values"]),
            of.get("half_open", False),
            of.get("origin", ""),
        )
        for name, of in typed["measurements"].items()
    )
    words = {key: typed[key] for key in ("name", "unit", "edition", "source", "caution")}
    return SizeTable(
        sizes=tuple(typed["sizes"]),
        measurements=measurements,
        is_unchecked=typed.get("is_unchecked", False),
        **words,
    )


def _entry(typed: Any) -> RangeOrNumber:
    """One entry."""
    return (typed[0], typed[1]) if isinstance(typed, list) else typed


def _measurements_json(table: SizeTable) -> dict[str, Any]:
    """The measurements as they are stored."""
    return {
        one.name: {
            "label": one.label,
            "values": [list(entry) if isinstance(entry, tuple) else entry for entry in one.entries],
            **({"half_open": True} if one.half_open else {}),
            **({"origin": one.origin} if one.origin else {}),
        }
        for one in table.measurements
    }


def store_own_table(*, table: SizeTable, number: int = 0) -> str:
    """Store one of the studio's own tables, a new one where no number is given, and return its key.

    Raises:
        NameTaken: Another table has this name; nothing is stored.
    """
    with transaction.atomic():
        same_name = models.SizeTable.objects.filter(name__iexact=table.name).exclude(pk=number)
        if same_name.exists() or any(table.name == one.name for one in published_tables().values()):
            raise NameTaken(table.name)
        row = models.SizeTable.objects.filter(pk=number).first() or models.SizeTable()
        row.name, row.unit, row.edition = table.name, table.unit, table.edition
        row.source, row.caution, row.sizes = table.source, table.caution, list(table.sizes)
        row.measurements = _measurements_json(table)
        row.save()
        return f"{OWN}{row.pk}"


def delete_own_table(*, number: int) -> None:
    """Delete one of the studio's own tables; patterns that took numbers from it keep them."""
    models.SizeTable.objects.filter(pk=number).delete()


def sizes_named(table: SizeTable, typed: str) -> tuple[tuple[str, ...], str]:
    """The sizes of a table that a text names, in its order, and what is wrong with the text, "" for nothing.

    A text is empty for all of them, a span such as “S to 3X”, or a list with commas or one a line.
    """
    span = _SPAN.fullmatch(typed.strip())
    named = list(span.groups()) if span else [one for one in re.split(r"\s*[,\n\t]\s*", typed.strip()) if one]
    found = [table.place_of(size) for size in named]
    unknown = [size for size, place in zip(named, found, strict=True) if place is None]
    if unknown:
        says = f"“{unknown[0]}” is not in the table, which has {', '.join(table.sizes)}."
        return table.sizes, says
    places = sorted({place for place in found if place is not None}) or [0, len(table.sizes) - 1]
    chosen = range(places[0], places[-1] + 1) if span or not named else places
    return tuple(table.sizes[at] for at in chosen), ""


def with_table(
    document: Document, table: SizeTable, rule: Rule, sizes: list[str], names: list[str]
) -> Document:
    """Return a pattern's document with some measurements of a table as its body measurements.

    The pattern's sizes are matched in order to `sizes`, labels of the table; an empty label leaves a size as
    it is. Numbers keep the table's unit, so inches stay exact; a known name keeps its label.
    """
    places = [table.place_of(size) for size in sizes]
    body = dict(document.get("body", {}))
    for one in table.measurements:
        if one.name in names:
            body[one.name] = _body_entry(one, table, rule, places, body.get(one.name))
    return {**document, "body": body}


def _body_entry(
    one: TableMeasurement, table: SizeTable, rule: Rule, places: list[int | None], known: Any
) -> dict[str, Any]:
    """One body measurement; sizes without a partner keep their number if its unit is the same."""
    numbers = [number_of(entry, rule) for entry in one.entries]
    kept = known["values"] if known and known["unit"] == table.unit else [None] * len(places)
    values = [kept[at] if place is None else numbers[place] for at, place in enumerate(places)]
    label = known["label"] if known else one.label
    return {"label": label, "unit": table.unit, "values": [tidy(number) for number in values]}


def tidy(number: Any) -> Any:
    """A whole number without its point, as people type it."""
    return int(number) if isinstance(number, float) and number.is_integer() else number


def table_words(table: SizeTable) -> str:
    """A table with its sizes, and whether somebody still has to compare it."""
    unchecked = ", not yet checked" if table.is_unchecked else ""
    return f"{table.name}: {table.sizes[0]} to {table.sizes[-1]}, {len(table.sizes)} sizes{unchecked}"
