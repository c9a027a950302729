"""What a result was worked out from, as one short hash: a result with another fingerprint is not fresh."""

import json
import re
from collections.abc import Iterator
from hashlib import sha256
from typing import Any

from grading.documents import PARTS, SINGLES, Document, entries_of

# Goes up when the calculation itself changes, so that results of the old one are not taken for fresh.
CALCULATION = 1
Key = tuple[str, str]
_WORD = re.compile(r"[a-z][a-z0-9_]*")


def sheet_fingerprint(document: Document) -> str:
    """The fingerprint of everything that results and findings hang on, words of the instructions included."""
    told = {key: document[key] for key in sorted(document) if key not in {"format", "format_version"}}
    return _hash([CALCULATION, told])


def result_fingerprints(document: Document) -> dict[Key, str]:
    """One fingerprint per named entry: its own content and that of all it refers to, however far.

    A word in an entry that is the name of another entry counts as a reference; taking a word of a note
    for one costs a fingerprint too many, never one too few.
    """
    entries = dict(_named(document))
    ground = [CALCULATION, document.get("sizes"), [document.get(key) for key in SINGLES]]
    own = {key: _hash([ground, key, entry]) for key, entry in entries.items()}
    by_name: dict[str, list[Key]] = {}
    for key in entries:
        by_name.setdefault(key[1], []).append(key)
    refers = {key: _keys_in(entry, by_name) - {key} for key, entry in entries.items()}
    done: dict[Key, str] = {}
    for key in entries:
        _settle(key, own, refers, done)
    return done


def _named(document: Document) -> Iterator[tuple[Key, Any]]:
    """All entries with a name, part by part."""
    for part in PARTS:
        for name, entry in entries_of(document, part) if part != "sizes" else ():
            yield (part, name), entry


def words_in(entry: Any) -> set[str]:
    """The words of an entry that may be names."""
    return set(_WORD.findall(json.dumps(entry)))


def _keys_in(entry: Any, by_name: dict[str, list[Key]]) -> set[Key]:
    """The entries whose names an entry's words hold."""
    return {key for word in words_in(entry) & by_name.keys() for key in by_name[word]}


def _settle(start: Key, own: dict[Key, str], refers: dict[Key, set[Key]], done: dict[Key, str]) -> None:
    """Work out one fingerprint, those it hangs on first; without recursion, since chains may be long.

    Within a circle an entry that is still open counts by its own content alone: its result is blank anyway.
    """
    path = [start]
    opened = {start}
    while path:
        key = path[-1]
        waiting = next((one for one in sorted(refers[key]) if one not in done and one not in opened), None)
        if waiting:
            path.append(waiting)
            opened.add(waiting)
            continue
        if key not in done:
            done[key] = _hash([own[key], sorted(done.get(other, own[other]) for other in refers[key])])
        path.pop()


def _hash(content: Any) -> str:
    """SHA-256 of the content as JSON with sorted keys."""
    return sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()
