"""What changed between a state that was signed and the pattern as it stands: nothing is left out."""

from dataclasses import replace
from typing import Any

from catalogue.versions.changes import ENTRY_PARTS, Changes, entry_changes, record_differences
from catalogue.versions.records import Record
from grading.core.pattern.parts import label_of

LISTED = {*ENTRY_PARTS, "sections"}
# Entries that are known by their names, and how they are called in a list of changes.
PARTS_IN_WORDS = {
    "values": "Values",
    "checks": "Checks",
    "pieces": "Pieces",
    "joins": "Joins",
    "shapings": "Shaping",
    "spreads": "Even changes",
    "curves": "Curves",
    "pick_ups": "Pick-ups",
    "yarn_sections": "Yarn use",
    "yarn_allowance": "Yarn allowance",
}
BESIDE = {
    "photos": "Photos",
    "shades": "Shades",
    "tool_lengths": "Lengths on sale",
    "ended_yarns": "Yarns no longer made",
    "title": "Title",
}


def state_changes(old: Record, new: Record) -> Changes:
    """All that differs between two states: numbers, words, and every other entry as typed."""
    changes = record_differences(old, new)
    more = entry_changes(_rest(old), _rest(new))
    words = [] if changes.words else entry_changes(_words(old), _words(new))
    known = set(changes.entries)
    return replace(changes, entries=[*changes.entries, *(one for one in (*more, *words) if one not in known)])


def _rest(record: Record) -> dict[str, Any]:
    """The parts of a pattern that lists of changes between versions leave out, and what lies beside it."""
    document = record["pattern"]
    parts = {
        PARTS_IN_WORDS.get(key, key.replace("_", " ").capitalize()): _named(part)
        for key, part in document.items()
        if key not in LISTED
    }
    return (
        parts
        | {label: record.get(key) for key, label in BESIDE.items() if key != "photos"}
        | {"Photos": [{"name": one["digest"][:8], **one, "files": None} for one in record.get("photos", [])]}
    )


def _words(record: Record) -> dict[str, Any]:
    """The words as typed, for a change that prints the same."""
    return {
        f"{section['title']}, step {number}": words
        for section in record["pattern"].get("sections", [])
        for number, words in enumerate(section["steps"], 1)
    }


def _named(part: Any) -> Any:
    """A part whose entries are called by their labels."""
    if isinstance(part, list) and part and all(isinstance(one, dict) and "name" in one for one in part):
        return [{**one, "label": label_of(one)} for one in part]
    return part
