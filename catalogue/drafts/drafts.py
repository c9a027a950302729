"""A pattern as it is open on the desk: its rows, its document and its results, read once."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.http import Http404

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.guard_findings import guard_findings
from catalogue.drafts.patterns import patterns_for
from catalogue.models import Pattern, Person
from grading.sheets.differences import GradedJson
from grading.sheets.documents import PARTS, Document, entries_of
from grading.sheets.kept_sheets import KeptSheet, work_out_document
from grading.sheets.recalculation import graded_json


@dataclass(frozen=True)
class Draft:
    """A pattern with its document; its results are read where they are asked for."""

    pattern: Pattern
    document: Document

    @property
    def revision(self) -> int:
        """The revision that was read: an edit of it is refused once there is a newer one."""
        return self.pattern.sheet.revision

    @cached_property
    def graded(self) -> GradedJson:
        """The results, as they are stored."""
        return graded_json(sheet=self.pattern.sheet, document=self.document)

    @cached_property
    def standing(self) -> KeptSheet:
        """The pattern worked out, for what edits it; an edit afterwards works out what differs alone."""
        return work_out_document(self.document, trusted=True)

    @cached_property
    def findings(self) -> list[dict[str, Any]]:
        """All that is noticed, by the guards of known mistakes as well."""
        return [*self.graded["findings"], *guard_findings(self.pattern, lambda: self.standing)]

    def place_of(self, part: str, name: str) -> int:
        """Where a named entry stands, or the answer for a page that does not exist."""
        names = [one for one, _ in entries_of(self.document, part)]
        if name not in names:
            raise Http404
        return names.index(name)

    def require_place(self, part: str, place: int | None) -> None:
        """Answer for a page that does not exist, where there is no such part or place."""
        if (
            part not in PARTS
            or part == "sizes"
            or (place or 0) >= max(1, len(entries_of(self.document, part)))
        ):
            raise Http404


def open_pattern(person: Person | AnonymousUser, slug: str) -> Pattern:
    """The row of a pattern that the person may work on."""
    pattern = patterns_for(person).filter(slug=slug).first()
    if pattern is None:
        raise Http404
    return pattern


def open_draft(person: Person | AnonymousUser, slug: str) -> Draft:
    """Read a pattern that the person may work on."""
    pattern = open_pattern(person, slug)
    return Draft(pattern, pattern_document(pattern))
