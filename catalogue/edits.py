"""The one path by which a pattern is edited: locked by its revision, recalculated, kept for undoing."""

from collections.abc import Callable

from django.db import transaction
from django.db.models import F

from catalogue.documents import pattern_document, store_document
from catalogue.models import Pattern, PatternEdit, Person
from catalogue.patches import apply_patch, patch_to
from grading.core.grade import grade
from grading.core.pattern_file import read_pattern
from grading.differences import Difference, difference_between
from grading.documents import Document, same_as_typed
from grading.models import Sheet
from grading.recalculation import graded_json, recalculate


class StaleRevision(Exception):
    """Another edit came first; nothing was stored."""

    def __init__(self, edits: list[PatternEdit]) -> None:
        super().__init__("Somebody else changed this pattern while you were typing.")
        self.edits = edits


class NothingToUndo(Exception):
    """There is no edit left that can be undone."""


def edit_pattern(
    *, pattern: Pattern, revision: int, change: Callable[[], None], by: Person | None = None
) -> Difference:
    """Apply a change to a pattern's rows, recalculate, and keep the edit.

    Raises:
        StaleRevision: Another edit came first.
        PatternFileError: The pattern would no longer be a pattern file; nothing is stored.
    """
    with transaction.atomic():
        _take_turn(pattern, revision)
        before = pattern_document(_fresh(pattern))
        change()
        changed = _fresh(pattern)
        after = pattern_document(changed)
        difference = recalculate(sheet=changed.sheet, document=after)
        if not same_as_typed(before, after):
            _keep_edit(changed, before, after, difference, by)
        pattern.refresh_from_db()
        return difference


def edit_document(*, pattern: Pattern, revision: int, document: Document, by: Person | None) -> Difference:
    """Edit a pattern by giving its document as it shall be."""
    return edit_pattern(
        pattern=pattern,
        revision=revision,
        change=lambda: store_document(pattern=pattern, document=document),
        by=by,
    )


def preview_edit(*, pattern: Pattern, document: Document) -> Difference:
    """Say what an edit would change, storing nothing."""
    before = graded_json(sheet=pattern.sheet, document=pattern_document(pattern))
    return difference_between(before, grade(read_pattern(document)).as_json())


def undo_last_edit(*, pattern: Pattern, revision: int, by: Person | None) -> Difference:
    """Take back the last edit that still stands, by an edit like any other."""
    with transaction.atomic():
        last = PatternEdit.objects.filter(pattern=pattern, undone=False).order_by("-revision").first()
        if last is None:
            raise NothingToUndo
        document = apply_patch(last.before, pattern_document(pattern))
        difference = edit_document(pattern=pattern, revision=revision, document=document, by=by)
        PatternEdit.objects.filter(pattern=pattern, revision__in=(last.revision, revision + 1)).update(
            undone=True
        )
        return difference


def _take_turn(pattern: Pattern, revision: int) -> None:
    """Lock the sheet by moving its revision on; whoever saw an older one is told."""
    taken = Sheet.objects.filter(pk=pattern.sheet_id, revision=revision).update(revision=F("revision") + 1)
    if not taken:
        raise StaleRevision(list(pattern.edits.filter(revision__gt=revision).select_related("by")))


def _fresh(pattern: Pattern) -> Pattern:
    """The pattern as the database has it now."""
    return Pattern.objects.select_related("sheet").get(pk=pattern.pk)


def _keep_edit(
    pattern: Pattern, before: Document, after: Document, difference: Difference, by: Person | None
) -> None:
    """Store what the edit touched, as typed before and after."""
    PatternEdit.objects.create(
        pattern=pattern,
        revision=pattern.sheet.revision,
        by=by,
        before=patch_to(before, after),
        after=patch_to(after, before),
        says=difference.sentence[:1000],
    )
    pattern.save(update_fields=("changed_at",))
