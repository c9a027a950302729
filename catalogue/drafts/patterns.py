"""Patterns: who sees them, loaded from a file, read and worked out."""

from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db import transaction
from django.db.models import QuerySet
from django.utils.text import slugify

from catalogue.drafts.documents import pattern_document, store_document
from catalogue.drafts.edits import edit_document, standing_sheet
from catalogue.models import Pattern, Person
from catalogue.studio.roles import is_studio, opened_patterns
from grading.core.grade.grade import Graded
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile
from grading.entries.single_lines import require_single_lines
from grading.models import Sheet
from grading.sheets.differences import Difference
from grading.sheets.kept_sheets import KeptSheet, kept_sheet, work_out_document
from grading.sheets.recalculation import recalculate


class SlugTaken(Exception):
    """Another pattern has this address already."""

    def __init__(self, slug: str) -> None:
        super().__init__(f"There is a pattern “{slug}” already: change the title, or replace its draft.")


def patterns_for(person: Person | AnonymousUser) -> QuerySet[Pattern]:
    """The patterns that a person may work on: all of the studio's, or those that an editor was let into."""
    patterns = Pattern.objects.select_related("sheet", "practice")
    return patterns if is_studio(person) else patterns.filter(pk__in=opened_patterns(person).values())


def read_core(pattern: Pattern) -> PatternFile:
    """Return the pattern as the calculation reads it."""
    kept = kept_sheet(pattern.sheet.fingerprint)
    return kept.graded.pattern if kept else read_pattern(pattern_document(pattern), trusted=True)


def graded(pattern: Pattern) -> Graded:
    """Return the pattern worked out; kept for as long as its document stays the same."""
    kept = kept_sheet(pattern.sheet.fingerprint)
    return (kept or work_out_document(pattern_document(pattern), trusted=True)).graded


@dataclass(frozen=True)
class Loaded:
    """A pattern that was loaded from a file; where it replaced a draft, that draft and what changed."""

    pattern: Pattern
    before: KeptSheet | None = None
    difference: Difference = field(default_factory=Difference)


def load_pattern(*, document: dict[str, Any] | str, by: Person | None, replace: bool = False) -> Pattern:
    """Store a pattern file as a draft, as `load_file` does, and return its pattern."""
    return load_file(document=document, by=by, replace=replace).pattern


def load_file(*, document: dict[str, Any] | str, by: Person | None, replace: bool = False) -> Loaded:
    """Store a pattern file as a draft; an existing draft only where it is to be replaced.

    Raises:
        PatternFileError: The file does not fit; nothing is stored.
        SlugTaken: There is a pattern of this address.
    """
    typed = read_pattern(document).typed
    require_single_lines(typed)
    slug = slugify(typed["title"]) or "pattern"
    with transaction.atomic():
        known = Pattern.objects.select_related("sheet").filter(slug=slug).first()
        if known is None:
            return Loaded(_create_pattern(slug, typed))
        if not replace:
            raise SlugTaken(slug)
        before = standing_sheet(known)
        difference = edit_document(pattern=known, revision=known.sheet.revision, document=typed, by=by)
        return Loaded(known, before, difference)


def _create_pattern(slug: str, document: dict[str, Any]) -> Pattern:
    """Make a new draft and work it out."""
    pattern = Pattern.objects.create(slug=slug, title=document["title"], sheet=Sheet.objects.create())
    store_document(pattern=pattern, document=document)
    recalculate(sheet=pattern.sheet, document=document)
    return pattern
