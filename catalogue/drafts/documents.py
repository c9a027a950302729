"""The whole pattern as a document, the pattern file, and as stored rows."""

import json
from collections.abc import Iterable, Sequence
from typing import Any, cast

from catalogue.models import Pattern, Section, Step
from grading.sheets.documents import (
    KEYS,
    PARTS,
    SINGLES,
    Document,
    same_as_typed,
    sheet_document,
    store_sheet,
    store_spots,
)
from grading.sheets.fingerprints import EntrySpot


def pattern_document(pattern: Pattern) -> Document:
    """Return the whole pattern file as it was typed."""
    parts = {"title": pattern.title, **sheet_document(pattern.sheet), **pattern.header}
    if "sections" in pattern.keys:
        parts["sections"] = _section_entries(pattern)
    return {key: parts[key] for key in pattern.keys}


def store_document(*, pattern: Pattern, document: Document, stored: Document | None = None) -> None:
    """Write a document to the pattern's rows; rows that stay the same are left alone.

    With what is stored at hand, parts that stay the same are not even looked at.
    """
    store_sheet(sheet=pattern.sheet, document=document, stored=stored)
    own = {key: document[key] for key in document if key not in {*KEYS, "title", "sections"}}
    pattern.title, pattern.header, pattern.keys = document["title"], own, list(document)
    pattern.save(update_fields=("title", "header", "keys", "changed_at"))
    sections = document.get("sections", [])
    if stored is None or not same_as_typed(stored.get("sections", []), sections):
        _store_sections(pattern, sections)


def store_changes(
    *, pattern: Pattern, stored: Document, document: Document, places: Sequence[EntrySpot] | None
) -> None:
    """Write the entries at the places that differ from what is stored; look for them where none are given."""
    if places is None or any(key in SINGLES for key, _ in places):
        store_document(pattern=pattern, document=document, stored=stored)
        return
    in_parts = [(key, place) for key, place in places if key in PARTS]
    store_spots(sheet=pattern.sheet, document=document, places=in_parts)
    others = {key for key, _ in places} - PARTS.keys()
    if "sections" in others:
        _store_sections(pattern, document["sections"])
    for key in others - {"sections", "title"}:
        pattern.header[key] = document[key]
    pattern.title = document["title"]
    pattern.save(update_fields=("title", "header", "changed_at") if others else ("changed_at",))


def _sections(pattern: Pattern) -> list[Section]:
    """The sections with their steps, in order."""
    return list(pattern.sections.order_by("position").prefetch_related("steps"))


def _section_entry(section: Section) -> dict[str, Any]:
    """A section as the file has it."""
    when = {} if section.when is None else {"when": section.when}
    return {"title": section.title, **when, "steps": [step.text for step in section.steps.all()]}


def _section_entries(pattern: Pattern) -> list[dict[str, Any]]:
    """The sections as the file has them, read with their steps in one query."""
    ordered = pattern.sections.order_by("position", "steps__position")
    entries: dict[int, dict[str, Any]] = {}
    rows = ordered.values_list("pk", "title", "when", "steps__text")
    for key, title, when, text in cast("Iterable[tuple[int, str, Any, str | None]]", rows):
        section = {"title": title, **({} if when is None else {"when": when}), "steps": []}
        entries.setdefault(key, section)["steps"] += [] if text is None else [text]
    return list(entries.values())


def _store_sections(pattern: Pattern, entries: list[dict[str, Any]]) -> None:
    """Write the sections that differ; the place is what a section is known by."""
    stored = _sections(pattern)
    for surplus in stored[len(entries) :]:
        surplus.delete()
    for place, entry in enumerate(entries):
        is_known = place < len(stored)
        section = stored[place] if is_known else Section(pattern=pattern, position=place)
        if not is_known or not same_as_typed(_section_entry(section), entry):
            section.title, section.when, section.position = entry["title"], entry.get("when"), place
            section.save()
            _store_steps(section, entry["steps"])


def _store_steps(section: Section, texts: list[str]) -> None:
    """Write the steps that differ."""
    stored = list(Step.objects.filter(section=section).order_by("position"))
    Step.objects.filter(pk__in=[step.pk for step in stored[len(texts) :]]).delete()
    for place, text in enumerate(texts):
        is_known = place < len(stored)
        step = stored[place] if is_known else Step(section=section)
        if not is_known or (step.text, step.position) != (text, place):
            step.text, step.position = text, place
            step.save()


def document_text(document: Document) -> str:
    """Return a document as the text of a pattern file."""
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"
