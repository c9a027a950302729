"""The sheet as a document, the part of a pattern file that holds its numbers, and as stored rows.

A row keeps its entry as typed, so that what is loaded comes out again: keys that are absent stay absent,
an empty list stays an empty list, and no literal is rewritten.
"""

from collections.abc import Iterable, Iterator
from operator import itemgetter
from typing import Any

from django.db.models import QuerySet, Value

from grading import models
from grading.models import Sheet, SheetPart

Document = dict[str, Any]

PARTS: dict[str, type[SheetPart]] = {
    "sizes": models.SheetSize,
    "body": models.BodyMeasurement,
    "fabrics": models.Fabric,
    "values": models.Value,
    "checks": models.Check,
    "shapings": models.Shaping,
    "spreads": models.Spread,
    "curves": models.Curve,
    "pick_ups": models.PickUp,
    "stripes": models.StripeSequence,
    "options": models.Option,
    "yarns": models.ColourRole,
    "yarn_sections": models.YarnSection,
    "pieces": models.Piece,
    "joins": models.Join,
}
BY_NAME = frozenset({"body", "fabrics"})
SINGLES = ("craft", "home_units", "home_terms", "yarn_allowance")
KEYS = (*PARTS, *SINGLES)


def sheet_document(sheet: Sheet) -> Document:
    """Return the sheet's part of the pattern file, as it was typed."""
    stored = _stored_entries(sheet)
    return {
        key: sheet.header[key] if key in SINGLES else with_entries(key, stored.get(key, []))
        for key in sheet.keys
    }


def entries_of(document: Document, part: str) -> list[tuple[str, Any]]:
    """Name and content of each entry of a part, in order."""
    content = document.get(part, {} if part in BY_NAME else [])
    if part in BY_NAME:
        return list(content.items())
    if part == "sizes":
        return [(str(entry), entry) for entry in content]
    key = "colour" if part == "yarns" else "name"
    return [(str(entry[key]), entry) for entry in content]


def with_entries(part: str, entries: list[tuple[str, Any]]) -> Any:
    """Return a part's content as the file has it: the inverse of `entries_of`."""
    return dict(entries) if part in BY_NAME else [entry for _, entry in entries]


def store_sheet(*, sheet: Sheet, document: Document, stored: Document | None = None) -> None:
    """Write a document to the sheet's rows; rows that stay the same are left alone.

    With what is stored at hand, parts that stay the same are not even looked at.
    """
    keys = [key for key in document if key in KEYS]
    header = {key: document[key] for key in keys if key in SINGLES}
    if not same_as_typed([keys, header], [sheet.keys, sheet.header]):
        sheet.keys, sheet.header = keys, header
        sheet.save(update_fields=("keys", "header"))
    for part, model in PARTS.items():
        if stored is None or not same_as_typed(stored.get(part), document.get(part)):
            _store_part(sheet, model, entries_of(document, part))


def _query(model: type[SheetPart]) -> Any:
    """A query for rows of a part; the rows of all parts have no manager in common."""
    return QuerySet(model)


def _rows(sheet: Sheet, model: type[SheetPart]) -> list[SheetPart]:
    """The stored rows of a part, in order."""
    return list(_query(model).filter(sheet=sheet).order_by("position"))


def _stored_entries(sheet: Sheet) -> dict[str, list[tuple[str, Any]]]:
    """Name and content of each entry of all parts, in order; one query for all of them."""
    first, *others = [
        _query(model).filter(sheet=sheet).order_by().values_list(Value(part), "position", "name", "typed")
        for part, model in PARTS.items()
        if part in sheet.keys
    ] or [models.SheetSize.objects.none().values_list(Value("sizes"), "position", "name", "typed")]
    entries: dict[str, list[tuple[str, Any]]] = {}
    for part, _, name, typed in sorted(first.union(*others, all=True), key=itemgetter(0, 1)):
        entries.setdefault(part, []).append((name, typed))
    return entries


def store_spots(*, sheet: Sheet, document: Document, places: Iterable[tuple[str, int]]) -> None:
    """Write the entries at some places of parts that are stored with all their places."""
    by_part: dict[str, list[int]] = {}
    for part, place in places:
        by_part.setdefault(part, []).append(place)
    for part, of_part in by_part.items():
        entries = entries_of(document, part)
        _query(PARTS[part]).bulk_create(
            [
                PARTS[part](sheet=sheet, position=place, name=entries[place][0], typed=entries[place][1])
                for place in of_part
            ],
            update_conflicts=True,
            unique_fields=("sheet", "position"),
            update_fields=("name", "typed"),
        )


def _store_part(sheet: Sheet, model: type[SheetPart], entries: list[tuple[str, Any]]) -> None:
    """Change, add and delete the rows that differ; the place in the file is what a row is known by."""
    rows = _rows(sheet, model)
    changed = list(_changed_rows(rows, entries))
    if changed:
        _query(model).bulk_update(changed, ("name", "typed"), batch_size=100)
    if len(rows) > len(entries):
        _query(model).filter(sheet=sheet, position__gte=len(entries)).delete()
    if len(entries) > len(rows):
        added = enumerate(entries[len(rows) :], start=len(rows))
        _query(model).bulk_create(
            [model(sheet=sheet, position=place, name=name, typed=typed) for place, (name, typed) in added]
        )


def _changed_rows(rows: list[SheetPart], entries: list[tuple[str, Any]]) -> Iterator[SheetPart]:
    """The rows whose entry differs, with the new entry set."""
    for row, (name, typed) in zip(rows, entries, strict=False):
        if row.name != name or not same_as_typed(row.typed, typed):
            row.name, row.typed = name, typed
            yield row


def same_as_typed(one: Any, other: Any) -> bool:
    """Whether two entries are the same to the letter: 4 and 4.0 differ, and so does the order of keys."""
    if one is other:
        return True
    if isinstance(one, dict) and isinstance(other, dict):
        return list(one) == list(other) and all(same_as_typed(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same_as_typed, one, other))
    return type(one) is type(other) and repr(one) == repr(other)
