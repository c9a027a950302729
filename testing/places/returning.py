"""Taking a place back that was given back: for some days, while the call runs."""

import datetime as dt

from django.db import transaction
from django.utils import timezone

from catalogue.models import Person
from testing.access.selectors import ended_places, result_of
from testing.models import Application, Placement, TestCall
from testing.places.dropouts import RETURN_DAYS, tell_designers
from testing.places.places import PlaceRefused

RUNNING = ("open", "closed")


def may_return_until(placement: Placement) -> dt.datetime | None:
    """Until when a tester can take back what they gave back; None where they can't, or can't any more."""
    if placement.ended_at is None or placement.application.state != "withdrawn":
        return None
    until = placement.ended_at + dt.timedelta(days=RETURN_DAYS)
    return until if placement.call.state in RUNNING and timezone.now() < until else None


def returnable_places(person: Person) -> list[Placement]:
    """The places that a tester gave back and can still take back, the latest first."""
    return [placement for placement in ended_places(person) if may_return_until(placement)]


@transaction.atomic
def return_to_place(*, placement: Placement) -> None:
    """The tester goes on after all with all they sent, also where somebody else came up meanwhile.

    Raises:
        PlaceRefused: The days are over, or the call is.
    """
    TestCall.objects.select_for_update().get(pk=placement.call_id)
    Placement.objects.select_for_update().get(pk=placement.pk)
    now = Placement.objects.select_related("application", "call__pattern", "result").get(pk=placement.pk)
    if now.ended_at is None:
        return
    if may_return_until(now) is None:
        raise PlaceRefused("This place can't be taken back any more; please write to the studio.")
    Placement.objects.filter(pk=now.pk).update(ended_at=None)
    result = result_of(now)
    state = "accepted" if result is None else "finished" if result.done_at else "making"
    Application.objects.filter(pk=now.application_id).update(state=state)
    tell_designers(now, "place_returned")
