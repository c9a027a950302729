"""What a designer or editor saw of a draft, held against the draft as it stands when they publish or sign."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.entry_changes import apply_changes
from catalogue.models import Erratum, Pattern, PatternEdit
from catalogue.versions.changes import Changes, entry_changes, record_differences
from catalogue.versions.freezing import printed_sections
from catalogue.versions.glances import Seen, read_glance, written_glance
from catalogue.versions.printed_changes import number_rows
from catalogue.versions.records import Record, canonical, digest_of, read_record
from catalogue.versions.spots import erratum_words
from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.sheets.documents import Document

# What stands in a glance beside what people read: the revision, and a hash of the document.
REVISION, DOCUMENT = "revision", "document"
ERRATA = "Erratum"


@dataclass(frozen=True)
class Since:
    """What became of a draft since somebody looked at it: by whom, and old and new side by side."""

    edits: list[PatternEdit] = field(default_factory=list)
    changes: Changes = field(default_factory=Changes)


class DraftMoved(Exception):
    """The draft is not as it was seen; nothing was done."""

    def __init__(self, since: Since) -> None:
        super().__init__("The pattern was changed after you opened the page: see below what changed.")
        self.since = since


def draft_glance(pattern: Pattern, record: Record, beside: Seen) -> str:
    """What a form about a draft carries; `beside` is what no edit of the pattern tells of, by its labels."""
    mark: Seen = {REVISION: pattern.sheet.revision, DOCUMENT: _document_digest(record)}
    return written_glance({**mark, **_photos_and_shades(record), **beside})


def beside_version(record: Record, errata: Iterable[Erratum]) -> Seen:
    """What a version prints beside the draft: the studio, its public address, the errata that it corrects."""
    words = {str(one.pk): f"{erratum_words(one)} ({one.says})" for one in errata}
    return {"Studio": record["studio"], "Public address": record["url"], ERRATA: words}


def check_draft_glance(pattern: Pattern, record: Record, beside: Seen, seen: str | None) -> None:
    """Go on where the draft is as it was seen; None stands for somebody who looks at no page.

    Raises:
        DraftMoved: It is not.
    """
    if seen is not None and (since := since_glance(pattern, record, beside, seen)):
        raise DraftMoved(since)


def since_glance(pattern: Pattern, record: Record, beside: Seen, seen: str) -> Since | None:
    """What became of a draft since it was seen; None where it is the same."""
    then, now = read_glance(seen), read_glance(draft_glance(pattern, record, beside))
    if isinstance(offered := then.get(ERRATA), dict):
        then[ERRATA] = {number: words for number, words in offered.items() if number in now[ERRATA]}
    is_edited = then.pop(DOCUMENT, None) != now.pop(DOCUMENT)
    revision = then.pop(REVISION, None)
    now.pop(REVISION)
    entries = entry_changes(then, now)
    if not is_edited:
        return Since(changes=Changes(entries=entries)) if entries else None
    edits = _edits_since(pattern, revision)
    changes = _changes_since(pattern, record, edits)
    return Since(edits, replace(changes, entries=[*changes.entries, *entries]))


def _document_digest(record: Record) -> str:
    """A hash of the pattern as it was read, in its order."""
    return digest_of(canonical([record["pattern"], record["order"]]))


def _photos_and_shades(record: Record) -> dict[str, dict[str, Any]]:
    """What is frozen with a pattern and is no part of its document."""
    photos = {
        str(number): f"{one['alt']} {one['caption']} (picture {one['digest'][:8]})"
        for number, one in enumerate(record["photos"], 1)
    }
    shades = {
        colour: f"{one['yarn']}, {one['shade']} {one['srgb']}" for colour, one in record["shades"].items()
    }
    lengths = {
        kind: ", ".join(f"{cm} cm / {inches} in" for cm, inches in pairs)
        for kind, pairs in record["tool_lengths"].items()
    }
    rights = {"Rights": _rights(record)} if "rights" in record else {}
    return {"Photo": photos, "Shade of colour": shades, "Lengths on sale": lengths, **rights}


def _rights(record: Record) -> dict[str, str]:
    """The notes on rights, and the use of finished items."""
    kept = record["rights"]
    notes = {str(number): says for number, says in enumerate(kept.get("notes", []), 1)}
    return {**notes, **({"use": kept["finished_use"]} if "finished_use" in kept else {})}


def _edits_since(pattern: Pattern, revision: Any) -> list[PatternEdit]:
    """The edits that came after a revision, the oldest first."""
    if not isinstance(revision, int) or revision < 0:
        return []
    later = pattern.edits.filter(revision__gt=revision).select_related("by")
    return list(later.order_by("revision"))


def _changes_since(pattern: Pattern, record: Record, edits: list[PatternEdit]) -> Changes:
    """Old and new side by side: the draft as it was is worked out by taking the edits back."""
    then = _before(pattern_document(pattern), edits)
    try:
        core = read_pattern(then)
    except PatternFileError:
        return Changes()
    graded = grade(core)
    old = {**record, "pattern": then, "results": graded.as_json(), "words": printed_sections(core, graded)}
    return record_differences(read_record(canonical(old)), read_record(canonical(record)))


def _before(document: Document, edits: list[PatternEdit]) -> Document:
    """A document with its last edits taken back."""
    for edit in reversed(edits):
        document = apply_changes(edit.before, document)
    return document


def since_page(since: Since | None) -> dict[str, Any]:
    """What a page prints of a draft that was changed after its form was opened."""
    rows = number_rows(since.changes, "both") if since else []
    return {"since": since, "since_rows": rows}
