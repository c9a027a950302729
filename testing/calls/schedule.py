"""The dates of a call as is common practice, and what is late; pure."""

import calendar
import datetime as dt
from dataclasses import dataclass

from testing.models import Placement

# Common practice: a week to apply, 4 to 8 weeks to make.
DAYS_TO_APPLY = 7
DAYS_TO_ANSWER = 7
WEEKS_TO_MAKE = 6
PLACES_PER_SPARE = 3


@dataclass(frozen=True)
class Schedule:
    """The four dates of a call."""

    apply_by: dt.date
    starts_on: dt.date
    midway_on: dt.date
    finish_by: dt.date


def default_schedule(today: dt.date) -> Schedule:
    """Propose a week to apply, a week to give places, six weeks to make."""
    apply_by = today + dt.timedelta(days=DAYS_TO_APPLY)
    starts_on = apply_by + dt.timedelta(days=DAYS_TO_ANSWER)
    return Schedule(
        apply_by=apply_by,
        starts_on=starts_on,
        midway_on=starts_on + dt.timedelta(weeks=WEEKS_TO_MAKE / 2),
        finish_by=starts_on + dt.timedelta(weeks=WEEKS_TO_MAKE),
    )


def with_spares(places: int) -> int:
    """As many places as are needed, and one spare for every three or part of three.

    >>> [with_spares(places) for places in (0, 1, 3, 4)]
    [0, 2, 4, 6]
    """
    return places + -(-places // PLACES_PER_SPARE)


def months_after(day: dt.date, months: int) -> dt.date:
    """The same day some months later, or the last day of a shorter month.

    >>> months_after(dt.date(2026, 8, 31), 6)
    datetime.date(2027, 2, 28)
    """
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    last = calendar.monthrange(year, month + 1)[1]
    return dt.date(year, month + 1, min(day.day, last))


def dates_in_order(schedule: Schedule) -> str:
    """Say what is wrong with the order of the dates; empty when nothing is."""
    if schedule.starts_on < schedule.apply_by:
        return "The start is before the last day to apply."
    if not schedule.starts_on <= schedule.midway_on <= schedule.finish_by:
        return "Midway must lie between the start and the finish."
    if schedule.finish_by <= schedule.starts_on:
        return "The finish must be after the start."
    return ""


def moved_midway(before: Schedule, after: Schedule) -> dt.date:
    """Midway as far between the new start and finish as it was between the old ones.

    >>> start, finish = dt.date(2026, 12, 1), dt.date(2027, 1, 10)
    >>> before = Schedule(start, start, dt.date(2026, 12, 21), finish)
    >>> moved_midway(before, Schedule(start, start, before.midway_on, dt.date(2027, 1, 30)))
    datetime.date(2026, 12, 31)
    """
    share = (before.midway_on - before.starts_on) / (before.finish_by - before.starts_on)
    return after.starts_on + (after.finish_by - after.starts_on) * share


def middle_if_far(schedule: Schedule) -> dt.date | None:
    """The day half way from start to finish, where midway lies a quarter of that time or more from it.

    >>> start, finish = dt.date(2026, 12, 1), dt.date(2027, 1, 30)
    >>> middle_if_far(Schedule(start, start, dt.date(2027, 1, 5), finish))
    >>> middle_if_far(Schedule(start, start, dt.date(2027, 1, 23), finish))
    datetime.date(2026, 12, 31)
    """
    half = (schedule.finish_by - schedule.starts_on) / 2
    middle = schedule.starts_on + half
    return middle if abs(schedule.midway_on - middle) >= half / 2 else None


def finish_day(placement: Placement) -> dt.date:
    """The tester's own last day."""
    return placement.finish_by or placement.call.finish_by
