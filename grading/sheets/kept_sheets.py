"""Patterns as last worked out, kept in memory by the fingerprint of their document.

A fingerprint stands for the document to the letter, so what is kept is right whoever asks, and after an edit
only what hangs on the change is read, checked and worked out again.
"""

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock
from typing import Any

from grading.core.grade.grade import WorkedOut, grade, regrade
from grading.core.pattern.file import read_edited_pattern, read_pattern
from grading.sheets.documents import BY_NAME, PARTS, Document, entries_of, with_entries
from grading.sheets.fingerprints import (
    DocumentTexts,
    EntrySpot,
    ResultFingerprints,
    changed_spots,
    fingerprints_after,
    fingerprints_of,
    texts_of,
)

MOST_KEPT = 16


@dataclass(frozen=True)
class KeptSheet:
    """A document, which nobody may change any more, and everything that was worked out from it."""

    document: Document
    texts: DocumentTexts
    graded: WorkedOut
    fingerprints: ResultFingerprints

    @property
    def fingerprint(self) -> str:
        """The fingerprint of the document."""
        return self.texts.fingerprint


_kept: OrderedDict[str, KeptSheet] = OrderedDict()
_lock = Lock()


def kept_sheet(fingerprint: str) -> KeptSheet | None:
    """What is kept of a document, None where it is not, or no longer."""
    with _lock:
        if fingerprint in _kept:
            _kept.move_to_end(fingerprint)
        return _kept.get(fingerprint)


def forget_kept_sheets() -> None:
    """Keep nothing any more."""
    with _lock:
        _kept.clear()


def work_out_document(document: Document, *, trusted: bool = False) -> KeptSheet:
    """Work a document out, unless that has been done; the caller gives the document away.

    Raises:
        PatternFileError: It does not fit.
    """
    texts = _texts(document)
    found = kept_sheet(texts.fingerprint)
    if found is None:
        graded = grade(read_pattern(document, trusted=trusted))
        found = _keep(KeptSheet(document, texts, graded, fingerprints_of(texts)))
    return found


def work_out_after(before: KeptSheet, document: Document) -> KeptSheet:
    """Work out an edited document as far as it differs from the one before.

    Raises:
        PatternFileError: It does not fit any more.
    """
    texts = _texts(document)
    found = kept_sheet(texts.fingerprint)
    if found:
        return found
    changed = changed_spots(before.texts, texts)
    # Entries can be read by themselves, sizes and what else stands beside the parts can't.
    if changed is None or any(key == "sizes" or key not in {*PARTS, "sections"} for key, _ in changed):
        unread = _without_known(document, texts, before.texts)
        graded = regrade(before.graded, read_pattern(document, unread=unread))
        return _keep(KeptSheet(document, texts, graded, fingerprints_of(texts)))
    document = _sharing(before.document, document, changed)
    named = before.texts.entries
    edited = [(key, named[key][at][0] if key in BY_NAME else at) for key, at in changed]
    pattern = read_edited_pattern(before.graded.pattern, document, edited)
    fingerprints = fingerprints_after(before.fingerprints, texts, changed)
    return _keep(KeptSheet(document, texts, regrade(before.graded, pattern), fingerprints))


def _keep(made: KeptSheet) -> KeptSheet:
    """Keep what was worked out; the one unused for longest goes."""
    with _lock:
        _kept[made.fingerprint] = made
        _kept.move_to_end(made.fingerprint)
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return made


def _texts(document: Document) -> DocumentTexts:
    """Write out a document; one that is no pattern file at all is refused in a sentence."""
    try:
        return texts_of(document)
    except (AttributeError, KeyError, TypeError, ValueError):
        read_pattern(document)
        raise


def _without_known(document: Document, texts: DocumentTexts, before: DocumentTexts) -> Document:
    """The document without the entries that the one before has to the letter, whatever their order."""
    rest = dict(document)
    for key in (one for one in document if (one in PARTS and one != "sizes") or one == "sections"):
        known = set(before.entries.get(key, ()))
        pairs = zip(texts.entries[key], _listed(document, key), strict=True)
        new = [entry for text, entry in pairs if text not in known]
        rest[key] = [entry for _, entry in new] if key == "sections" else with_entries(key, new)
    return rest


def _sharing(before: Document, document: Document, changed: list[EntrySpot]) -> Document:
    """The document with every entry that is the same shared with the one before."""
    shared: Document = dict(before)
    for key in dict.fromkeys(key for key, _ in changed):
        old, new = _listed(before, key), _listed(document, key)
        for at in (at for part, at in changed if part == key):
            old[at] = new[at]
        shared[key] = [entry for _, entry in old] if key == "sections" else with_entries(key, old)
    return shared


def _listed(document: Document, key: str) -> list[tuple[str, Any]]:
    """The entries of a key, with their names where they have one."""
    return [("", one) for one in document[key]] if key == "sections" else entries_of(document, key)
