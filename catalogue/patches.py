"""What turns one document into another: the entries that differ, so that an edit can be kept and undone."""

from typing import Any

from grading.documents import PARTS, Document, entries_of, same_as_typed, with_entries

Patch = dict[str, Any]


def patch_to(target: Document, start: Document) -> Patch:
    """Return what must be set in `start` to make it `target`."""
    patch: Patch = {"keys": list(target), "parts": {}, "whole": {}}
    for key, content in target.items():
        if key in start and same_as_typed(start[key], content):
            continue
        by_name = _patch_by_name(target, start, key) if key in start and key in PARTS else None
        if by_name is None:
            patch["whole"][key] = content
        else:
            patch["parts"][key] = by_name
    return patch


def apply_patch(patch: Patch, start: Document) -> Document:
    """Return the document that the patch leads to."""
    result: Document = {}
    for key in patch["keys"]:
        if key in patch["whole"]:
            result[key] = patch["whole"][key]
        elif key in patch["parts"]:
            part = patch["parts"][key]
            entries = {**dict(entries_of(start, key)), **part["entries"]}
            result[key] = with_entries(key, [(name, entries[name]) for name in part["order"]])
        else:
            result[key] = start[key]
    return result


def touches(patch: Patch, part: str, name: str) -> bool:
    """Whether a patch sets an entry."""
    return part in patch["whole"] or name in patch["parts"].get(part, {"entries": {}})["entries"]


def _patch_by_name(target: Document, start: Document, part: str) -> dict[str, Any] | None:
    """The entries of a part that differ, and the order they stand in; None where names stand twice."""
    before, wanted = entries_of(start, part), entries_of(target, part)
    known, order = dict(before), [name for name, _ in wanted]
    if len(known) < len(before) or len(set(order)) < len(order):
        return None
    differing = {
        name: entry for name, entry in wanted if name not in known or not same_as_typed(known[name], entry)
    }
    return {"entries": differing, "order": order}
