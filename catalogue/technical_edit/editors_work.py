"""What waits in the technical edit of each pattern: in words for lists, and as an editor's tasks."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields
from datetime import date, datetime

from django.db.models import Count, F, Max, Min, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.text import Truncator

from catalogue.drafts.tasks import Task, Urgency
from catalogue.models import Erratum, Pattern, Person, SignatureRequest, TechnicalEdit
from catalogue.technical_edit.edited_since import edited_since
from catalogue.technical_edit.signature_requests import day_of, due_words
from catalogue.technical_edit.work_lists import Progress, progress_of, readings_of
from catalogue.versions.standings import found_places

WHY_SHOWN = 120  # characters of why something is a mistake


@dataclass(frozen=True)
class PatternWork:
    """The technical edit of a pattern: sentences for all of the studio, tasks for the editor who looks.

    `to_answer` is for designers: queries that hold the release, and errata that are overdue.
    """

    notes: list[str]
    tasks: list[Task]
    to_answer: list[Task]


@dataclass(frozen=True)
class _Counted:
    """Queries and errata of a pattern that wait."""

    asked: int = 0
    holding: int = 0
    answered: int = 0
    answers_hold: int = 0
    """How many of the answered ones hold the release until they are settled."""
    answered_at: datetime | None = None
    """When the last of them was answered."""
    overdue: int = 0
    due_on: date | None = None
    """The day by which the first of the overdue errata was to be settled."""
    overdue_one: int | None = None
    """The key of one overdue erratum."""


def editors_work(patterns: Iterable[Pattern], editor: Person | None) -> dict[int, PatternWork]:
    """What the technical edit of each pattern waits for, by its key.

    Args:
        patterns: The patterns of a list.
        editor: The editor who looks; None for somebody who signs nothing.

    Returns:
        Notes on open queries, withdrawn and outdated signatures, for an editor also on cells that are unread
        or have changed; and for an editor tasks. Cells are counted where the editor has begun to read.
    """
    found = list(patterns)
    counted, signatures = _counted(found, editor), _newest_signatures(found)
    edited = edited_since({key: edit for key, edit in signatures.items() if not edit.withdrawn_at})
    readings, asked, late = readings_of(found, editor), _asked(found), _late_errata(counted.values())
    work = {}
    for pattern in found:
        key = pattern.pk
        of, signed = counted.get(key, _Counted()), signatures.get(key)
        mine = [one for one in asked.get(key, ()) if editor and one.editor_id == editor.pk]
        others = [one for one in asked.get(key, ()) if one not in mine]
        notes = [
            *_waited_for(others),
            *_of_studio(of.asked, signed),
            *_outdated(pattern, signed, editor, key in edited),
        ]
        tasks = []
        if editor:
            progress = progress_of(pattern, readings[key]) if key in readings else None
            notes += _of_editor(progress)
            tasks += [
                *(_to_sign(pattern, one) for one in mine),
                *_answered(pattern, of),
                *(() if mine else _to_read(pattern, progress, signed, key in edited, editor)),
                *_overdue(pattern, of, late),
            ]
        overdue = [] if editor else _overdue(pattern, of, late)  # an editor has them among the tasks
        work[key] = PatternWork(notes, tasks, [*_to_answer(pattern, of.holding), *overdue])
    return work


def _counted(patterns: list[Pattern], editor: Person | None) -> dict[int, _Counted]:
    """Open queries, those of the editor that somebody else has answered, and errata that are overdue."""
    is_open, has_answer = Q(edit_queries__technical_edit=None), ~Q(edit_queries__answer="")
    waiting, is_new = is_open & ~has_answer, is_open & has_answer & Q(edit_queries__settled_at=None)
    by_other = Q(edit_queries__asked_by=editor) & ~Q(edit_queries__answered_by=F("edit_queries__asked_by"))
    late = Q(errata__state__in=("reported", "confirmed"), errata__due_on__lt=timezone.localdate())
    counted = Pattern.objects.filter(pk__in=[one.pk for one in patterns]).annotate(
        asked=Count("edit_queries", filter=waiting, distinct=True),
        holding=Count("edit_queries", filter=waiting & Q(edit_queries__is_blocking=True), distinct=True),
        answered=Count("edit_queries", filter=is_new & by_other, distinct=True),
        answers_hold=Count(
            "edit_queries", filter=is_new & by_other & Q(edit_queries__is_blocking=True), distinct=True
        ),
        answered_at=Max("edit_queries__answered_at", filter=is_new & by_other),
        overdue=Count("errata", filter=late, distinct=True),
        due_on=Min("errata__due_on", filter=late),
        overdue_one=Min("errata", filter=late),
    )
    names = [one.name for one in fields(_Counted)]
    return {key: _Counted(*counts) for key, *counts in counted.values_list("pk", *names)}


def _newest_signatures(patterns: list[Pattern]) -> dict[int, TechnicalEdit]:
    """The newest sign-off of each pattern, withdrawn or not."""
    edits = (
        TechnicalEdit.objects.filter(pattern__in=patterns)
        .select_related("by", "withdrawn_by")
        .defer("record")
    )
    return {edit.pattern_id: edit for edit in edits.order_by("pk")}


def _asked(patterns: list[Pattern]) -> dict[int, list[SignatureRequest]]:
    """The signatures that are waited for, by the key of their pattern."""
    found: dict[int, list[SignatureRequest]] = {}
    for one in SignatureRequest.objects.filter(pattern__in=patterns).select_related("editor", "asked_by"):
        found.setdefault(one.pattern_id, []).append(one)
    return found


def _waited_for(asked: list[SignatureRequest]) -> list[str]:
    return [", ".join([f"Signature asked of {one.editor} on {day_of(one)}", *_due(one)]) for one in asked]


def _due(asked: SignatureRequest) -> list[str]:
    """The day by which a signature is wanted, and whether it is over; nothing where none was said."""
    if asked.due_on is None:
        return []
    return [f"{'late: ' if asked.due_on < timezone.localdate() else ''}wanted {due_words(asked)}"]


def _to_sign(pattern: Pattern, asked: SignatureRequest) -> Task:
    """What an editor is asked to check and sign, before all else."""
    by = asked.asked_by or "The designer"
    says = ", ".join([f"{by} asks you to check and sign it, since {day_of(asked)}", *_due(asked)])
    if asked.note:
        says += f": “{Truncator(asked.note).chars(WHY_SHOWN)}”"
    return Task(Urgency.ASKED, pattern.title, says, "Check and sign", _edit_page(pattern))


def _to_answer(pattern: Pattern, count: int) -> Iterator[Task]:
    """Queries that hold the release of a pattern until its designer answers."""
    if count:
        says = "1 query stops the release" if count == 1 else f"{count} queries stop the release"
        button = "Answer it" if count == 1 else "Answer them"
        yield Task(Urgency.HOLDS, pattern.title, says, button, _edit_page(pattern, "#queries"))


def _of_studio(asked: int, signed: TechnicalEdit | None) -> list[str]:
    said = []
    if asked:
        said.append(f"{asked} open {'query' if asked == 1 else 'queries'}")
    if signed and signed.withdrawn_at:
        on, by = _day(signed.withdrawn_at), signed.withdrawn_by or "somebody who has left"
        said.append(f"Sign-off withdrawn on {on} by {by}: “{signed.withdrawal}”")
    return said


def _outdated(
    pattern: Pattern, signed: TechnicalEdit | None, reader: Person | None, is_edited: bool
) -> Iterator[str]:
    """That a pattern is no longer what was signed, with a link to what changed."""
    if signed and is_edited:
        yield format_html('<a href="{}">{}</a>', _edit_page(pattern, "#changed"), _no_longer(signed, reader))


def _no_longer(signed: TechnicalEdit, reader: Person | None) -> str:
    """That a signature is out of date, and what follows."""
    return f"Changed since {_whose(signed, reader)}: it no longer counts"


def _whose(signed: TechnicalEdit, reader: Person | None) -> str:
    """A signature as the reader calls it."""
    on = _day(signed.signed_at)
    if reader and signed.by_id == reader.pk:
        return f"your signature of {on}"
    return f"the signature of {signed.by or 'somebody who has left'}, {on}"


def _of_editor(progress: Progress | None) -> list[str]:
    if progress is None:
        return []
    said = []
    if progress.changed:
        said.append(f"{progress.changed} of your cells changed since your reading")
    if progress.unread:
        said.append(f"{progress.unread} of {progress.total} cells unread")
    return said or ["All cells read by you"]


def _answered(pattern: Pattern, of: _Counted) -> Iterator[Task]:
    """Queries whose answers wait until the editor settles them."""
    if count := of.answered:
        says = "Your query is answered" if count == 1 else f"{count} answers to read"
        if of.answered_at:
            says += f" ({'' if count == 1 else 'the last on '}{_day(of.answered_at)})"
        if of.answers_hold:
            says += f"; the release waits for {'it' if count == 1 else f'{of.answers_hold} of them'}"
        says += f". Settle {'it' if count == 1 else 'them'}, or ask again"
        yield Task(
            Urgency.ANSWERED,
            pattern.title,
            says,
            "Read the answer" + ("" if count == 1 else "s"),
            _edit_page(pattern, "#queries"),
        )


def _to_read(
    pattern: Pattern, progress: Progress | None, signed: TechnicalEdit | None, is_edited: bool, editor: Person
) -> Iterator[Task]:
    """What is to be read or signed; nothing where the pattern stands as it was signed."""
    if signed and not signed.withdrawn_at:
        if is_edited:
            yield Task(
                Urgency.CHANGED,
                pattern.title,
                _no_longer(signed, editor),
                "See what changed",
                _edit_page(pattern),
            )
    elif progress is None:
        yield Task(
            Urgency.UNREAD, pattern.title, "Not read by you yet", "Read it", _edit_page(pattern, "#work-list")
        )
    elif progress.unread:
        yield Task(
            Urgency.BEGUN, pattern.title, f"{progress.unread} of {progress.total} cells unread",
            "Go on reading", _edit_page(pattern, "?show=unread#work-list"),
        )  # fmt: skip
    else:
        yield Task(
            Urgency.SIGN,
            pattern.title,
            "Read by you, not signed",
            "Go to sign-off",
            reverse("edit_sign_off", args=[pattern.slug]),
        )


def _late_errata(counted: Iterable[_Counted]) -> dict[int | None, str]:
    """The errata that alone are overdue in their patterns, in words, by their keys."""
    keys = [one.overdue_one for one in counted if one.overdue == 1 and one.overdue_one]
    errata = list(Erratum.objects.filter(pk__in=keys).select_related("found_in")) if keys else []
    places = zip(errata, found_places(errata), strict=True)
    return {one.pk: _known_since(one, place) for one, place in places}


def _known_since(erratum: Erratum, place: str) -> str:
    """Where a mistake is, how severe it is, since when it is known and why it is one."""
    why = Truncator(" ".join((erratum.why or erratum.says).split())).chars(WHY_SHOWN).rstrip(".")
    of = f"{place} ({erratum.get_gravity_display()}), known since {_day(erratum.created_at)}"
    return f"{of}: “{why}”" if why else f"{of}, from {erratum.get_source_display()}"


def _overdue(pattern: Pattern, of: _Counted, late: dict[int | None, str]) -> Iterator[Task]:
    if of.due_on is None:
        return
    since = f"{of.due_on.day} {of.due_on:%B}"
    if of.overdue == 1:
        days = (timezone.localdate() - of.due_on).days
        says = f"{late[of.overdue_one]}. It was due {since}, {days} day{'' if days == 1 else 's'} ago"
        address = reverse("erratum", args=[pattern.slug, of.overdue_one])
        yield Task(Urgency.OVERDUE, pattern.title, says, "Settle it", address)
    else:
        says = f"{of.overdue} errata are overdue, the first since {since}"
        address = f"{reverse('errata', args=[pattern.slug])}?state=overdue"
        yield Task(Urgency.OVERDUE, pattern.title, says, "Settle them", address)


def _edit_page(pattern: Pattern, where: str = "") -> str:
    """The page, from its top where the answer stands above all parts."""
    return reverse("technical_edit", args=[pattern.slug]) + where


def _day(moment: datetime) -> str:
    at = timezone.localtime(moment)
    return f"{at.day} {at:%B}"
