"""Where a confirmed mistake is corrected in the draft: its number, or its step and what that prints."""

import re
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.finding_spots import finding_page
from catalogue.models import Erratum
from catalogue.versions.records import frozen_record
from catalogue.versions.spots import named_value, numbered_step
from grading.grid.grid import place_label
from grading.sheets.documents import Document, entries_of

_NAMED = re.compile(r"\{\s*([a-z][a-z0-9_]*)")


@dataclass(frozen=True)
class Opening:
    """A page on which a mistake is corrected: what is there, in words, and its address."""

    label: str
    page: str


def openings_of(erratum: Erratum) -> list[Opening]:
    """The pages to correct a mistake on, its own place first; the words as a whole where its step is gone."""
    slug, document = erratum.pattern.slug, pattern_document(erratum.pattern)
    numbered = numbered_step(erratum.place)
    if numbered is None:
        label = place_label(document, erratum.place) if named_value(erratum.place) else "its page"
        return [Opening(label, finding_page(slug, document, erratum.place))]
    at = _step_now(erratum, numbered, document)
    if at is None:
        return [Opening("the instructions", reverse("words", args=[slug]))]
    where = f"sections[{at[0]}].steps[{at[1]}]"
    places = [where, *(f"values.{name}" for name in _values_in(_steps(document, at[0])[at[1]], document))]
    return [Opening(place_label(document, one), finding_page(slug, document, one)) for one in places]


def _steps(document: Document, section: int) -> list[Any]:
    """The steps of a section; none where there is no such section."""
    sections = document.get("sections", [])
    return list(sections[section]["steps"]) if section < len(sections) else []


def _step_now(erratum: Erratum, numbered: tuple[int, int], document: Document) -> tuple[int, int] | None:
    """Where a step of the version stands in the draft, by its words; else its old place, if that is there."""
    found = erratum.found_in
    was = _step_at(frozen_record(found.record)["pattern"], *numbered) if found else None
    if was is not None and _step_at(document, *numbered) != was:
        same = [
            (section, step)
            for section in range(len(document.get("sections", [])))
            for step, text in enumerate(_steps(document, section))
            if text == was
        ]
        if len(same) == 1:
            return same[0]
    return numbered if _step_at(document, *numbered) is not None else None


def _step_at(document: Document, section: int, step: int) -> Any:
    """A step as it is typed; None where there is none."""
    steps = _steps(document, section)
    return steps[step] if step < len(steps) else None


def _values_in(step: Any, document: Document) -> list[str]:
    """The values that a step prints, in the order in which it names them."""
    text = step if isinstance(step, str) else step.get("text", "")
    known = {name for name, _ in entries_of(document, "values")}
    return [name for name in dict.fromkeys(_NAMED.findall(text)) if name in known]
