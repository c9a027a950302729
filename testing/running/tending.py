"""What a call needs from day to day: offers that lapse, reminders, what is late, what is erased."""

import datetime as dt
from collections.abc import Iterator

from django.db.models import QuerySet
from django.utils import timezone

from catalogue.studio.chores import Chore, Done, do_chore, do_each
from catalogue.studio.freed_pages import sweep_unswept
from testing.asked.figures import placement_figures
from testing.calls.consent import written_day
from testing.calls.schedule import finish_day
from testing.mails.mails import post_once
from testing.models import Placement
from testing.places.dropouts import lapse_offers
from testing.privacy.erasing import erase_as_wished, erase_overdue
from testing.privacy.leftovers import sweep_all_pictures, sweep_mails, sweep_pictures
from testing.results.photo_pieces import sweep_pieces
from testing.results.progress import tester_progress

# Common practice: a week before, and once more two days before.
REMIND_DAYS = (7, 2)


def remind() -> int:
    """Remind of what is near or late; say how many e-mails that were."""
    today = timezone.localdate()
    return do_each(_being_made(), lambda placement: _remind(placement, today))


def remind_now(placement: Placement) -> bool:
    """Remind a tester of the last day, at most once a day; say whether an e-mail went out now."""
    today, last = timezone.localdate(), finish_day(placement)
    return post_once(
        application=placement.application,
        kind="late" if today > last else "reminder",
        occasion=f"asked {today.isoformat()}",
        values={"what": "the finish", "date": written_day(last)},
    )


# What each does is done once, so that all can be run again at any time.
CHORES = (
    Chore("Offers that nobody answered have not lapsed", lapse_offers, "offers lapsed"),
    Chore("Testers are not reminded of their dates", remind, "reminders"),
    Chore("Personal data whose day has come is not erased", erase_overdue, "applications erased"),
    Chore("What people asked to have erased is not erased", erase_as_wished),
    Chore("Pictures of results that are gone are still there", sweep_pictures),
    Chore("Pictures that nothing knows are still there", sweep_all_pictures),
    Chore("Pieces of photos that were not sent on are still there", sweep_pieces),
    Chore("E-mails to or about people who are gone are still in their folder", sweep_mails),
    # Also after what was erased while somebody read.
    Chore("What was erased is still in the files of the database", sweep_unswept),
)


def tend_calls() -> list[tuple[Chore, Done]]:
    """Do what is due, each by itself; a chore that fails says why."""
    return [(chore, do_chore(chore)) for chore in CHORES]


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
    if today > last + dt.timedelta(days=call.grace_days) and _is_missing_something(placement):
        yield "late", last.isoformat(), "the finish", last


def _is_missing_something(placement: Placement) -> bool:
    """Whether a tester has still to send anything."""
    return bool(tester_progress(placement, placement_figures(placement)).missing)
