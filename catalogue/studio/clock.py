"""The studio's day, and whether this machine's clock can be believed when something is done for good.

A clock may leap: a flat battery, a slip. Where it moves by days from one look to the next, it is believed
again once it is back, or has gone on from there for a while.
"""

from datetime import UTC, date, datetime, timedelta
from datetime import timezone as fixed_zone
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db import transaction
from django.utils import timezone

from catalogue.models import SeenClock, Studio

# Our own choice: the looks of a studio that runs are minutes apart, those of one that is opened now and then
# days or weeks.
BELIEVED_STEP = timedelta(days=2)
LONGEST_STEP_IN_DOUBT = timedelta(days=31)
# Where a day begins last.
_LAST_ZONE = fixed_zone(timedelta(hours=-12))


def zone_of(studio: Studio | None) -> ZoneInfo | None:
    """The studio's time zone, or None where there is no studio or the system lost the zone."""
    try:
        return ZoneInfo(studio.time_zone) if studio else None
    except (ZoneInfoNotFoundError, ValueError):
        return None


def studio_day() -> date:
    """What day it is in the studio's time zone; never a later one where the system lost the zone."""
    studio = Studio.objects.first()
    return timezone.localdate(timezone=zone_of(studio) or (_LAST_ZONE if studio else UTC))


@transaction.atomic
def doubt_clock(*, known: datetime | None) -> str:
    """Look at the clock; say why it can't be believed, as a part of a sentence, or nothing.

    The moment that is known is that of something which happened, for the very first look.
    """
    now = timezone.now()
    SeenClock.objects.get_or_create(pk=1, defaults={"believed_at": known or now})
    clock = SeenClock.objects.select_for_update().get(pk=1)
    before = clock.believed_at
    is_believed = _look(clock, now)
    clock.save()
    if is_believed:
        return ""
    return (
        f"the clock of this machine says {now:%-d %B %Y, %H:%M} and said {before:%-d %B %Y, %H:%M} before; "
        f"correct it if it is wrong. If it is right, leave the machine on: it is believed after two days"
    )


def _look(clock: SeenClock, now: datetime) -> bool:
    """Whether the clock is believed; write down what it says."""
    is_believed = abs(now - clock.believed_at) <= BELIEVED_STEP
    if not is_believed:
        if not _goes_on(clock, now):
            clock.doubted_from = now
        clock.doubted_at = now
        is_believed = now - (clock.doubted_from or now) >= BELIEVED_STEP
    if is_believed:
        clock.believed_at, clock.doubted_from, clock.doubted_at = now, None, None
    return is_believed


def _goes_on(clock: SeenClock, now: datetime) -> bool:
    """Whether a clock in doubt has gone on from where it leapt to."""
    if clock.doubted_at is None:
        return False
    return timedelta(0) <= now - clock.doubted_at <= LONGEST_STEP_IN_DOUBT
