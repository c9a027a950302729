"""Deciding how a doubtful entry is to be read; the entry itself stays as typed."""

from django.db import transaction

from catalogue.models import Person
from testing.assessment.assessing import refresh_assessment, standing_found
from testing.models import Entry, Reading, TestCall
from testing.models.assessment import seen_number


class NotDoubtful(ValueError):
    """The entry does not look like anything else any more."""


@transaction.atomic
def settle_as_typed(*, call: TestCall, entry: Entry, by: Person, seen: float | None = None) -> None:
    """An entry is right as it stands."""
    _hold(entry, seen)
    _decide(call, entry, "", entry.meant.get("mm"), by)


@transaction.atomic
def settle_as_meant(*, call: TestCall, entry: Entry, by: Person, seen: float | None = None) -> None:
    """An entry means what it looks like; one that is another line's value is left out."""
    _hold(entry, seen)
    found = standing_found(call)
    if entry.part == "gauge":
        for one in found["gauges"]:
            if (one["result"], one["fabric"]) == (entry.result_id, entry.name):
                _decide(call, entry, one["looks_like"], None, by)
                return
        raise NotDoubtful
    for one in found["doubtful"]:
        if (one["result"], one["measurement"]) == (entry.result_id, entry.name):
            _decide(call, entry, one["looks_like"], one["meant_mm"], by)
            return
    raise NotDoubtful


@transaction.atomic
def open_again(*, call: TestCall, entry: Entry) -> None:
    """Take a decision back."""
    Reading.objects.filter(entry=entry).delete()
    refresh_assessment.enqueue(call_id=call.pk)


def _hold(entry: Entry, seen: float | None) -> None:
    """Read an entry anew and keep it as it is; refuse one whose tester has changed what was looked at."""
    try:
        entry.refresh_from_db(from_queryset=Entry.objects.select_for_update())
    except Entry.DoesNotExist:
        raise NotDoubtful from None
    if seen is not None and seen_number(entry.meant) != seen:
        raise NotDoubtful


def _decide(call: TestCall, entry: Entry, looks_like: str, meant_mm: float | None, by: Person) -> None:
    """Keep a decision beside the entry."""
    Reading.objects.update_or_create(
        entry=entry,
        defaults={
            "seen": seen_number(entry.meant) or 0.0,
            "looks_like": looks_like,
            "meant_mm": meant_mm,
            "by": by,
        },
    )
    refresh_assessment.enqueue(call_id=call.pk)
