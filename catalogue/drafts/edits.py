"""The one path by which a pattern is edited: locked by its revision, recalculated, kept for undoing."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from django.db import transaction
from django.db.models import F

from catalogue.drafts.documents import pattern_document, store_changes
from catalogue.drafts.entry_changes import (
    EntryChanges,
    apply_changes,
    changed_entries_in_words,
    changes_of_spots,
    changes_to,
)
from catalogue.drafts.guard_findings import note_broken_guards, with_guards
from catalogue.drafts.yarn_choices import restore_choices
from catalogue.models import Pattern, PatternEdit, Person
from grading.grid.finding_groups import finding_groups
from grading.models import Sheet
from grading.sheets.differences import Difference
from grading.sheets.documents import Document
from grading.sheets.fingerprints import EntrySpot, changed_spots
from grading.sheets.kept_sheets import KeptSheet, kept_sheet, work_out_after, work_out_document
from grading.sheets.recalculation import compared, store_results


class StaleRevision(Exception):
    """Another edit came first; nothing was stored."""

    def __init__(self, edits: list[PatternEdit]) -> None:
        super().__init__("Somebody else changed this pattern while you were typing.")
        self.edits = edits


class NothingToUndo(Exception):
    """There is no edit left that can be undone."""


def edit_pattern(
    *,
    pattern: Pattern,
    revision: int,
    change: Callable[[Document], Document],
    by: Person | None = None,
) -> Difference:
    """Turn a pattern's document into another, recalculate, store what changed, and keep the edit.

    Raises:
        StaleRevision: Another edit came first.
        PatternFileError: The pattern would no longer be a pattern file; nothing is stored.
    """
    with transaction.atomic():
        _take_turn(pattern, revision)
        before = standing_sheet(pattern)
        after = work_out_after(before, change(before.document))
        stored = store_results(sheet=pattern.sheet, before=before, after=after)
        difference = _named(with_guards(pattern, stored, before, after), before.document, after.document)
        if before.fingerprint != after.fingerprint:
            places = changed_spots(before.texts, after.texts)
            store_changes(pattern=pattern, stored=before.document, document=after.document, places=places)
            changes = _changes_both_ways(before.document, after.document, places)
            touched = changed_entries_in_words(changes[1])
            says = f"{touched}: {difference.sentence}" if touched else difference.sentence
            if touched and difference.is_quiet:
                says = f"{touched} changed; the numbers are as they were."
            _keep_edit(pattern, changes, says, by)
            note_broken_guards(pattern, lambda: after)
        return difference


def edit_document(*, pattern: Pattern, revision: int, document: Document, by: Person | None) -> Difference:
    """Edit a pattern by giving its document as it shall be; the caller gives the document away."""
    return edit_pattern(pattern=pattern, revision=revision, change=lambda _: document, by=by)


def preview_edit(*, pattern: Pattern, document: Document) -> Difference:
    """Say what an edit would change, storing nothing."""
    before = standing_sheet(pattern)
    after = work_out_after(before, document)
    return with_guards(pattern, compared(before, after), before, after)


def undo_last_edit(*, pattern: Pattern, revision: int, by: Person | None) -> Difference:
    """Take back the last edit that still stands, by an edit like any other."""
    with transaction.atomic():
        last = PatternEdit.objects.filter(pattern=pattern, undone=False).order_by("-revision").first()
        if last is None:
            raise NothingToUndo
        difference = edit_pattern(
            pattern=pattern,
            revision=revision,
            change=lambda document: apply_changes(last.before, document),
            by=by,
        )
        restore_choices(pattern, last.before)
        PatternEdit.objects.filter(pattern=pattern, revision__in=(last.revision, revision + 1)).update(
            undone=True
        )
        return difference


def hold_draft(pattern: Pattern) -> None:
    """Read a draft anew and keep it as it is until the transaction ends: nobody edits it meanwhile."""
    Sheet.objects.select_for_update().get(pk=pattern.sheet_id)
    pattern.refresh_from_db(from_queryset=Pattern.objects.select_related("sheet"))


def standing_sheet(pattern: Pattern) -> KeptSheet:
    """The pattern as it is stored: kept since it was last worked out, else read and worked out."""
    kept = kept_sheet(pattern.sheet.fingerprint)
    return kept or work_out_document(pattern_document(pattern), trusted=True)


def _take_turn(pattern: Pattern, revision: int) -> None:
    """Lock the sheet by moving its revision on; whoever saw an older one is told.

    A pattern that was read at this very revision is as it is stored; any other is read again.
    """
    taken = Sheet.objects.filter(pk=pattern.sheet_id, revision=revision).update(revision=F("revision") + 1)
    if not taken:
        raise StaleRevision(list(pattern.edits.filter(revision__gt=revision).select_related("by")))
    if pattern.sheet.revision == revision:
        pattern.sheet.revision += 1
    else:
        pattern.refresh_from_db(from_queryset=Pattern.objects.select_related("sheet"))


def _named(difference: Difference, before: Document, after: Document) -> Difference:
    """A difference with the words of the findings that came and went."""
    come = finding_groups(after, list(difference.new_findings))
    gone = finding_groups(before, list(difference.gone_findings))
    return replace(
        difference,
        new_named=tuple((group.weight, group.sentence) for group in come),
        gone_named=tuple(group.sentence for group in gone),
    )


def _changes_both_ways(
    before: Document, after: Document, places: Sequence[EntrySpot] | None
) -> tuple[EntryChanges, EntryChanges]:
    """The changes that take an edit back, and those that it made."""
    if places is None:
        return changes_to(before, after), changes_to(after, before)
    return changes_of_spots(before, places), changes_of_spots(after, places)


def _keep_edit(
    pattern: Pattern, changes: tuple[EntryChanges, EntryChanges], says: str, by: Person | None
) -> None:
    """Store what the edit touched, as typed before and after."""
    PatternEdit.objects.create(
        pattern=pattern,
        revision=pattern.sheet.revision,
        by=by,
        before=changes[0],
        after=changes[1],
        says=says[:1000],
    )
