"""Who waits for the studio: people in the open calls of patterns."""

import datetime as dt
from collections.abc import Iterable

from django.db.models import Count, F, Q
from django.db.models.functions import Coalesce
from django.utils import timezone

from catalogue.models import Pattern
from testing.models import Application, Placement


def people_waiting(patterns: Iterable[Pattern]) -> dict[int, list[str]]:
    """What people of the calls of each pattern wait for, by the pattern's key; two queries for all.

    Args:
        patterns: The patterns of a list.

    Returns:
        Sentences such as "3 applications" and "1 tester asking for more time", none where nobody waits.
    """
    said: dict[int, list[str]] = {}
    applied = (
        Application.objects.filter(
            call__pattern__in=patterns, call__state__in=("open", "closed"), state="applied"
        )
        .values(pattern=F("call__pattern"))
        .annotate(count=Count("pk"))
    )
    for row in applied:
        said.setdefault(row["pattern"], []).append(_counted(row["count"], "application"))
    making = (
        Placement.objects.filter(
            call__pattern__in=patterns,
            call__state__in=("open", "closed"),
            ended_at=None,
            accepted_at__isnull=False,
        )
        .annotate(last=Coalesce("finish_by", "call__finish_by"))
        .values(pattern=F("call__pattern"))
        .annotate(
            making=Count("pk", filter=~Q(result__done_at__isnull=False)),
            asking=Count("pk", filter=Q(asks_until__isnull=False)),
            over=Count("pk", filter=Q(last__lt=_today()) & ~Q(result__done_at__isnull=False)),
        )
    )
    for place in making:
        words = said.setdefault(place["pattern"], [])
        if place["asking"]:
            words.append(f"{_counted(place['asking'], 'tester')} asking for more time")
        if place["making"]:
            over = f", {place['over']} past the date" if place["over"] else ""
            words.append(f"{_counted(place['making'], 'tester')} making{over}")
    return said


def _today() -> dt.date:
    """Today, by the studio's clock."""
    return timezone.localdate()


def _counted(count: int, word: str) -> str:
    """A number with its word."""
    return f"{count} {word}{'' if count == 1 else 's'}"
