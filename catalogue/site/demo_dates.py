"""When things of the demo happened: one after the other, counted back from the day on which it is made."""

import datetime as dt

from django.utils import timezone

from catalogue.models import Erratum, Holder, Pattern, Version
from testing.models import TestCall

# Days from a version to the report of a mistake in it, and from that to its confirmation.
UNTIL_REPORTED, UNTIL_CONFIRMED = 8, 2


def days_ago(days: int) -> dt.datetime:
    """A moment so many days ago."""
    return timezone.now() - dt.timedelta(days=days)


def date_back() -> None:
    """Let everything bear the date that it would have: versions, mistakes found in them, holders, calls."""
    for version in Version.objects.filter(state="published"):
        Version.objects.filter(pk=version.pk).update(published_at=version.frozen_at)
        Holder.objects.filter(version=version).update(held_since=timezone.localdate(version.frozen_at))
    for pattern in Pattern.objects.filter(versions__isnull=False).distinct():
        first = min(one.frozen_at for one in pattern.versions.all())
        Pattern.objects.filter(pk=pattern.pk).update(created_at=first - dt.timedelta(days=14))
    for erratum in Erratum.objects.select_related("found_in", "corrected_in"):
        _date_erratum(erratum)
    for call in TestCall.objects.all():
        opened = min(timezone.localdate(), call.apply_by - dt.timedelta(days=14))
        at = timezone.make_aware(dt.datetime.combine(opened, dt.time(9)))
        TestCall.objects.filter(pk=call.pk).update(created_at=at)


def _date_erratum(erratum: Erratum) -> None:
    """It was reported after the version that has it, and corrected by the day of the one that corrects it."""
    if erratum.found_in is None:
        return
    reported = erratum.found_in.frozen_at + dt.timedelta(days=UNTIL_REPORTED)
    confirmed = reported + dt.timedelta(days=UNTIL_CONFIRMED)
    Erratum.objects.filter(pk=erratum.pk).update(created_at=reported)
    erratum.sightings.update(seen_at=confirmed)
    for event in erratum.events.all():
        at = reported if event.says.startswith("Reported") else confirmed
        if erratum.corrected_in and event.says.startswith("Corrected"):
            at = erratum.corrected_in.frozen_at
        erratum.events.filter(pk=event.pk).update(at=at)
