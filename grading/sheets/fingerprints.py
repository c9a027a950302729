"""What a result was worked out from, as one short hash: a result with another fingerprint is not fresh."""

import json
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import Any

from grading.core.pattern.file import SHARED_NAMES
from grading.core.sheet.circles import knots
from grading.sheets.documents import PARTS, SINGLES, Document, entries_of

# Goes up when the calculation itself changes, so that results of the old one are not taken for fresh.
CALCULATION = 6
# All results hang on these, whether they name them or not.
GROUND = ("sizes", *SINGLES)
Key = tuple[str, str]
EntrySpot = tuple[str, int]
_WORD = re.compile(r"[a-z][a-z0-9_]*")
# JSON writes the break of a line as \n: its n is no part of the word behind it.
_ESCAPED = re.compile(r"\\(?:u[0-9a-f]{4}|.)")


@dataclass(frozen=True)
class DocumentTexts:
    """Each entry of a document as text to the letter: by key of the document, (name, text) in order."""

    entries: dict[str, tuple[Key, ...]]
    fingerprint: str


def texts_of(document: Document) -> DocumentTexts:
    """Write out a document entry by entry."""
    entries = {
        # Sections are stored without the order of their keys.
        key: tuple(
            (name, json.dumps(one, sort_keys=key == "sections")) for name, one in _entries(document, key)
        )
        for key in document
    }
    written = [str(CALCULATION)]
    for key, many in entries.items():
        written += [f"\n{key}", *[f"{name}\t{text}" for name, text in many]]
    return DocumentTexts(entries, _hash(*written))


def _entries(document: Document, key: str) -> list[tuple[str, Any]]:
    """The entries of one key: of a part each by its name, of the sections each, else the content as one."""
    if key in PARTS:
        return entries_of(document, key)
    return [("", entry) for entry in document[key]] if key == "sections" else [("", document[key])]


def changed_spots(before: DocumentTexts, after: DocumentTexts) -> list[EntrySpot] | None:
    """The key and place of each entry that differs; None where keys, names or their order differ."""
    if list(before.entries) != list(after.entries):
        return None
    places: list[EntrySpot] = []
    for key, many in after.entries.items():
        old = before.entries[key]
        if [name for name, _ in old] != [name for name, _ in many]:
            return None
        places += [(key, at) for at, entry in enumerate(many) if entry != old[at]]
    return places


def sheet_fingerprint(document: Document) -> str:
    """The fingerprint of everything that results and findings hang on, words of the instructions included."""
    return texts_of(document).fingerprint


@dataclass(frozen=True)
class ResultFingerprints:
    """By named entry: the hash of its own text, the entries it names, and the fingerprint of its result.

    `ground` is the text that all hang on, `by_name` holds the entries that may be named, `users` those that
    name an entry.
    """

    ground: str
    by_name: dict[str, list[Key]]
    own: dict[Key, str]
    refers: dict[Key, set[Key]]
    users: dict[Key, set[Key]]
    whole: dict[Key, str]


def result_fingerprints(document: Document) -> dict[Key, str]:
    """One fingerprint per named entry: its own content and that of all it refers to, however far.

    A word in an entry that is the name of another entry counts as a reference; taking a word of a note
    for one costs a fingerprint too many, never one too few.
    """
    return fingerprints_of(texts_of(document)).whole


def fingerprints_of(texts: DocumentTexts) -> ResultFingerprints:
    """Fingerprint every named entry of a document."""
    ground = json.dumps([CALCULATION, [texts.entries.get(key) for key in GROUND]])
    by_name: dict[str, list[Key]] = {}
    for part in SHARED_NAMES:
        for name, _ in texts.entries.get(part, ()):
            by_name.setdefault(name, []).append((part, name))
    made = ResultFingerprints(ground, by_name, {}, {}, {}, {})
    _take_up(made, _named(texts))
    _settle(made.own, made)
    return made


def fingerprints_after(
    before: ResultFingerprints, texts: DocumentTexts, changed: Iterable[EntrySpot]
) -> ResultFingerprints:
    """Fingerprint anew what changed and what hangs on it; names and their order are as they were."""
    changed = list(changed)
    if any(part in GROUND for part, _ in changed):
        return fingerprints_of(texts)
    made = replace(
        before,
        own=dict(before.own),
        refers=dict(before.refers),
        users=dict(before.users),
        whole=dict(before.whole),
    )
    named = [(part, *texts.entries[part][at]) for part, at in changed if part in PARTS]
    _take_up(made, named)
    stale = _hanging_on({(part, name) for part, name, _ in named}, made.users)
    for key in stale:
        del made.whole[key]
    _settle(stale, made)
    return made


def _named(texts: DocumentTexts) -> list[tuple[str, str, str]]:
    """Part, name and text of all entries with a name, part by part."""
    return [
        (part, name, text) for part in PARTS if part != "sizes" for name, text in texts.entries.get(part, ())
    ]


def _take_up(made: ResultFingerprints, named: Iterable[tuple[str, str, str]]) -> None:
    """Hash entries by themselves and find the entries they name."""
    for part, name, text in named:
        made.own[part, name] = _hash(made.ground, part, name, text)
        words = made.by_name.keys() & _words(text)
        key = (part, name)
        old = made.refers.get(key, set())
        made.refers[key] = {one for word in words for one in made.by_name[word]} - {key}
        for one in made.refers[key] ^ old:
            made.users[one] = made.users.get(one, set()) ^ {key}


def _hanging_on(changed: set[Key], users: dict[Key, set[Key]]) -> set[Key]:
    """The changed entries and all that refer to them, however far."""
    reached, waiting = set(changed), list(changed)
    while waiting:
        new = users.get(waiting.pop(), set()) - reached
        reached |= new
        waiting += new
    return reached


def _words(text: str) -> list[str]:
    """The words of JSON text that may be names."""
    return _WORD.findall(_ESCAPED.sub(" ", text) if "\\" in text else text)


def _settle(keys: Iterable[Key], made: ResultFingerprints) -> None:
    """Fingerprint some entries, all others being done; entries that name each other in a circle as one."""
    open_ones = dict.fromkeys(keys)
    inner = {key: [one for one in made.refers[key] if one in open_ones] for key in open_ones}
    for knot in knots(inner):
        named = {one for key in knot for one in made.refers[key]} - knot
        ground = [*sorted(made.own[key] for key in knot), *sorted(made.whole[one] for one in named)]
        for key in knot:
            made.whole[key] = _hash(made.own[key], *ground)


def _hash(*texts: str) -> str:
    """SHA-256 of texts, kept apart by a character that JSON text does not hold."""
    return sha256("\x1e".join(texts).encode()).hexdigest()
