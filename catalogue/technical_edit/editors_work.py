"""What an editor has left to do with each pattern, in words for the list of patterns."""

from collections.abc import Iterable

from django.db.models import Count, Q
from django.utils import timezone

from catalogue.models import Pattern, Person, TechnicalEdit
from catalogue.technical_edit.work_lists import Readings, progress_of, readings_of


def editors_work(patterns: Iterable[Pattern], editor: Person | None) -> dict[int, list[str]]:
    """Sentences about the technical edit of each pattern, by its key.

    Args:
        patterns: The patterns of a list.
        editor: The editor who looks; None for somebody who signs nothing.

    Returns:
        Open queries and withdrawn signatures; for an editor also what is unread or has changed. Cells are
        counted where the editor has begun to read.
    """
    found = list(patterns)
    waiting, withdrawn = _open_queries(found), _withdrawn(found)
    readings = readings_of(found, editor)
    return {
        pattern.pk: [
            *_of_studio(waiting.get(pattern.pk, 0), withdrawn.get(pattern.pk)),
            *(_of_editor(pattern, readings.get(pattern.pk)) if editor else ()),
        ]
        for pattern in found
    }


def _open_queries(patterns: list[Pattern]) -> dict[int, int]:
    counted = Pattern.objects.filter(pk__in=[one.pk for one in patterns]).annotate(
        asked=Count("edit_queries", filter=Q(edit_queries__technical_edit=None, edit_queries__answer=""))
    )
    return dict(counted.values_list("pk", "asked"))


def _withdrawn(patterns: list[Pattern]) -> dict[int, TechnicalEdit]:
    """The newest sign-off of each pattern, where it was withdrawn."""
    edits = TechnicalEdit.objects.filter(pattern__in=patterns).select_related("withdrawn_by").defer("record")
    last = {edit.pattern_id: edit for edit in edits.order_by("pk")}
    return {key: edit for key, edit in last.items() if edit.withdrawn_at}


def _of_studio(asked: int, withdrawn: TechnicalEdit | None) -> list[str]:
    said = []
    if asked:
        said.append(f"{asked} open {'query' if asked == 1 else 'queries'}")
    if withdrawn and withdrawn.withdrawn_at:
        at = timezone.localtime(withdrawn.withdrawn_at)
        on = f"{at.day} {at:%B}"
        by = withdrawn.withdrawn_by or "somebody who has left"
        said.append(f"Sign-off withdrawn on {on} by {by}: “{withdrawn.withdrawal}”")
    return said


def _of_editor(pattern: Pattern, readings: Readings | None) -> list[str]:
    if readings is None:
        return ["Not read by you yet"]
    progress = progress_of(pattern, readings)
    said = []
    if progress.changed:
        said.append(f"{progress.changed} of your cells changed since your reading")
    if progress.unread:
        said.append(f"{progress.unread} of {progress.total} cells unread")
    return said or ["All cells read by you"]
