"""When things of the demo happened: one after the other, counted back from the day on which it is made."""

import datetime as dt

from django.utils import timezone

from catalogue.models import Erratum, Holder, Pattern, Studio, Version
from testing.calls.consent import agreement_text, consent_text
from testing.calls.schedule import months_after
from testing.models import Application, Placement, Result, TestCall

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
        at = _moment(opened, 9)
        TestCall.objects.filter(pk=call.pk).update(created_at=at)
        if call.finish_by < timezone.localdate():
            _date_call(call, Studio.objects.get().name)


def _date_call(call: TestCall, studio: str) -> None:
    """A call whose time is over was agreed to in its own dates, and answered while it went on."""
    call.erase_on = months_after(call.finish_by, call.keep_months)
    TestCall.objects.filter(pk=call.pk).update(erase_on=call.erase_on)
    applied = _moment(call.apply_by - dt.timedelta(days=7), 9)
    for place, one in enumerate(call.applications.order_by("pk")):
        at = applied + dt.timedelta(hours=place)
        words = {"consent_text": consent_text(call, studio), "consented_at": at, "created_at": at}
        Application.objects.filter(pk=one.pk).update(**words)
    for placement in Placement.objects.filter(application__call=call).exclude(accepted_at=None):
        taken = _moment(call.apply_by + dt.timedelta(days=2), 19)
        agreed = {"agreement": agreement_text(call, placement.size), "accepted_at": taken}
        offered = taken - dt.timedelta(days=1)
        Placement.objects.filter(pk=placement.pk).update(offered_at=offered, **agreed)
    for result in Result.objects.filter(call=call):
        _date_result(result, result.done_at or _moment(call.midway_on, 18))


def _date_result(result: Result, last: dt.datetime) -> None:
    """What was sent of a garment came in by the evening on which its maker was done."""
    result.entries.update(changed_at=last)
    result.earlier_entries.update(sent_at=last - dt.timedelta(hours=2), replaced_at=last)
    result.remarks.update(created_at=last)


def _moment(day: dt.date, hour: int) -> dt.datetime:
    return timezone.make_aware(dt.datetime.combine(day, dt.time(hour)))


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
