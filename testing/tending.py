"""What a call needs from day to day: offers that lapse, reminders, what is late, what is erased."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils import timezone

from catalogue.freed_pages import empty_write_ahead_log
from testing.consent import written_day
from testing.dropouts import lapse_offers
from testing.mails import post_once
from testing.models import Placement
from testing.privacy import erase_overdue
from testing.progress import finish_day

# Common practice: a week before, and once more two days before.
REMIND_DAYS = (7, 2)


@dataclass(frozen=True)
class Tended:
    """How much was done."""

    lapsed: int
    mailed: int
    erased: int

    def __str__(self) -> str:
        return f"{self.lapsed} offers lapsed, {self.mailed} reminders, {self.erased} applications erased."


def tend_calls() -> Tended:
    """Do what is due; run again at any time, since each thing is done once."""
    today = timezone.localdate()
    lapsed = lapse_offers()
    mailed = sum(_remind(placement, today) for placement in _being_made())
    erased = erase_overdue()
    empty_write_ahead_log()  # also after what was erased while somebody read
    return Tended(lapsed, mailed, erased)


def _being_made() -> QuerySet[Placement]:
    """Places whose tester is not done."""
    return (
        Placement.objects.filter(accepted_at__isnull=False, ended_at=None, result__done_at=None)
        .exclude(call__state="ended")
        .select_related("application__call__pattern", "application__placement", "call")
    )


def _remind(placement: Placement, today: dt.date) -> int:
    """Remind of each date that is near, or of what is late; say how many e-mails that were."""
    return sum(
        post_once(
            application=placement.application,
            kind=kind,
            occasion=occasion,
            values={"what": what, "date": written_day(day)},
        )
        for kind, occasion, what, day in _due(placement, today)
    )


def _due(placement: Placement, today: dt.date) -> Iterator[tuple[str, str, str, dt.date]]:
    """What there is to say today: kind, occasion, what is near and when."""
    call, last = placement.call, finish_day(placement)
    dates = {"the start": call.starts_on, "the middle": call.midway_on, "the finish": last}
    taken_on = timezone.localdate(placement.accepted_at)
    for what, day in dates.items():
        near = [days for days in REMIND_DAYS if 0 <= (day - today).days <= days]
        if near and taken_on <= day - dt.timedelta(days=near[-1]):
            yield "reminder", f"{what} {day.isoformat()} {near[-1]}", what, day
    if today > last + dt.timedelta(days=call.grace_days):
        yield "late", last.isoformat(), "the finish", last
