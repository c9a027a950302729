"""What turns one document into another: the entries that differ, so that an edit can be kept and undone."""

from collections.abc import Sequence
from typing import Any

from grading.core.pattern.parts import label_of
from grading.sheets.documents import PARTS, Document, entries_of, same_as_typed, with_entries
from grading.sheets.fingerprints import EntrySpot

EntryChanges = dict[str, Any]

MOST_NAMED = 3


def changes_to(target: Document, start: Document) -> EntryChanges:
    """Return what must be set in `start` to make it `target`."""
    changes: EntryChanges = {"keys": list(target), "parts": {}, "whole": {}}
    for key, content in target.items():
        if key in start and same_as_typed(start[key], content):
            continue
        by_name = _differing_entries(target, start, key) if key in start and key in PARTS else None
        if by_name is None:
            changes["whole"][key] = content
        else:
            changes["parts"][key] = by_name
    return changes


def changes_of_spots(target: Document, places: Sequence[EntrySpot]) -> EntryChanges:
    """Return what `changes_to` returns where nothing but the entries at some places differs."""
    changes: EntryChanges = {"keys": list(target), "parts": {}, "whole": {}}
    for key in dict.fromkeys(key for key, _ in places):
        entries = entries_of(target, key) if key in PARTS else []
        if not entries or len(dict(entries)) < len(entries):
            changes["whole"][key] = target[key]
        else:
            differing = dict(entries[place] for part, place in places if part == key)
            changes["parts"][key] = {"entries": differing}
    return changes


def apply_changes(changes: EntryChanges, start: Document) -> Document:
    """Return the document that the changes lead to."""
    result: Document = {}
    for key in changes["keys"]:
        if key in changes["whole"]:
            result[key] = changes["whole"][key]
        elif key in changes["parts"]:
            part = changes["parts"][key]
            entries = {**dict(entries_of(start, key)), **part["entries"]}
            result[key] = with_entries(key, [(name, entries[name]) for name in part.get("order", entries)])
        else:
            result[key] = start[key]
    return result


def touches(changes: EntryChanges, part: str, name: str) -> bool:
    """Whether changes set an entry."""
    return part in changes["whole"] or name in changes["parts"].get(part, {"entries": {}})["entries"]


def _differing_entries(target: Document, start: Document, part: str) -> dict[str, Any] | None:
    """The entries of a part that differ, and the order they stand in; None where names stand twice."""
    before, wanted = entries_of(start, part), entries_of(target, part)
    known, order = dict(before), [name for name, _ in wanted]
    if len(known) < len(before) or len(set(order)) < len(order):
        return None
    differing = {
        name: entry for name, entry in wanted if name not in known or not same_as_typed(known[name], entry)
    }
    same_order = order == list(known)
    return {"entries": differing} if same_order else {"entries": differing, "order": order}


def changed_entries_in_words(changes: EntryChanges) -> str:
    """What changes set, in the words of the pattern: the first few by name."""
    named = [
        label_of({"name": name, **entry}) if isinstance(entry, dict) else name
        for content in changes["parts"].values()
        for name, entry in content["entries"].items()
    ]
    named += [
        "Instructions" if key == "sections" else key.replace("_", " ").capitalize()
        for key in changes["whole"]
    ]
    if len(named) > MOST_NAMED:
        named = [*named[:MOST_NAMED], f"{len(named) - MOST_NAMED} more"]
    return " · ".join(named)
