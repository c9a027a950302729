"""Who waits for the studio: people in the open calls of patterns."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Count, F, Min, Q
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils import timezone

from catalogue.drafts.tasks import Task, Urgency
from catalogue.models import Pattern
from testing.models import Application, Placement, Remark
from testing.results.sent_things import maker_of


@dataclass(frozen=True)
class Waiting:
    """What people of a pattern's calls wait for, in words; tasks where the studio has to do something."""

    says: str
    tasks: tuple[Task, ...] = ()


def people_waiting(patterns: Iterable[Pattern]) -> dict[int, list[Waiting]]:
    """What people of the calls of each pattern wait for, by the pattern's key; three queries for all.

    Args:
        patterns: The patterns of a list.

    Returns:
        Sentences such as "3 applications" and "1 tester asking for more time"; none where nobody waits. A
        task leads to the first call in which somebody waits for it, that of a count to the remark.
    """
    known = {pattern.pk: pattern for pattern in patterns}
    said: dict[int, list[Waiting]] = {}
    applied = (
        Application.objects.filter(
            call__pattern__in=known, call__state__in=("open", "closed"), state="applied"
        )
        .values(pattern=F("call__pattern"))
        .annotate(count=Count("pk"), first=Min("call"))
    )
    for row in applied:
        pattern, says = known[row["pattern"]], _counted(row["count"], "application")
        task = _task(Urgency.APPLIED, pattern, f"{says} to answer", row["first"])
        said.setdefault(pattern.pk, []).append(Waiting(says, (task,)))
    _add_counts(said, known)
    is_asking, is_making = Q(asks_until__isnull=False), ~Q(result__done_at__isnull=False)
    is_over = Q(last__lt=_today()) & is_making
    making = (
        Placement.objects.filter(
            call__pattern__in=known,
            call__state__in=("open", "closed"),
            ended_at=None,
            accepted_at__isnull=False,
        )
        .annotate(last=Coalesce("finish_by", "call__finish_by"))
        .values(pattern=F("call__pattern"))
        .annotate(
            making=Count("pk", filter=is_making),
            asking=Count("pk", filter=is_asking),
            over=Count("pk", filter=is_over),
            first_asking=Min("call", filter=is_asking),
            first_over=Min("call", filter=is_over),
        )
    )
    for place in making:
        pattern = known[place["pattern"]]
        words = said.setdefault(pattern.pk, [])
        if place["asking"]:
            says = f"{_counted(place['asking'], 'tester')} asking for more time"
            words.append(Waiting(says, (_task(Urgency.LATE, pattern, says, place["first_asking"]),)))
        if place["making"]:
            over = f", {place['over']} past the date" if place["over"] else ""
            late = f"{_counted(place['over'], 'tester')} past the date"
            to_see = (_task(Urgency.LATE, pattern, late, place["first_over"]),) if over else ()
            words.append(Waiting(f"{_counted(place['making'], 'tester')} making{over}", to_see))
    return said


def _add_counts(said: dict[int, list[Waiting]], known: Mapping[int, Pattern]) -> None:
    """Add the counts of testers that are not the pattern's, until somebody has dealt with them."""
    remarks = Remark.objects.filter(
        kind="count",
        erratum=None,
        settled_at=None,
        result__call__pattern__in=known,
        result__call__state__in=("open", "closed"),
    )
    off: dict[int, list[Task]] = defaultdict(list)
    for one in remarks.select_related("result__call", "result__placement__application"):
        pattern, call = known[one.result.call.pattern_id], one.result.call
        page = f"{reverse('call_results', args=[pattern.slug, call.pk])}#remark-{one.pk}"
        says = f"{maker_of(one.result)}, size {one.result.size}: “{one.text}”"
        off[pattern.pk].append(Task(Urgency.COUNTED, pattern.title, says, "See the count", page))
    for key, tasks in off.items():
        words = f"{_counted(len(tasks), 'stitch count')} of testers to check"
        said.setdefault(key, []).append(Waiting(words, tuple(tasks)))


def _task(urgency: Urgency, pattern: Pattern, says: str, call: int) -> Task:
    """A task that leads to a call."""
    return Task(urgency, pattern.title, says, "See who", reverse("call", args=[pattern.slug, call]))


def _today() -> dt.date:
    """Today, by the studio's clock."""
    return timezone.localdate()


def _counted(count: int, word: str) -> str:
    """A number with its word."""
    return f"{count} {word}{'' if count == 1 else 's'}"
