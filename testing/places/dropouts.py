"""Places given back, lapsed or taken away, and who comes up from the waiting list by the same rule."""

import datetime as dt
import logging

from django.db import transaction
from django.utils import timezone

from catalogue.models import Person
from catalogue.studio.chores import do_each
from catalogue.studio.mailing import send_mail
from catalogue.studio.roles import DESIGNER
from catalogue.versions.glances import check_glance
from testing.access.links import absolute
from testing.access.selectors import held_places
from testing.calls.consent import written_day
from testing.calls.glances import agreement_glance, dropout_glance, place_glance
from testing.mails.mails import post_once
from testing.models import Placement, TestCall
from testing.places.places import PlaceRefused, end_place, hold_place, offer_place
from testing.places.proposals import placing_task
from testing.placing.placing import place_testers

logger = logging.getLogger(__name__)
RETURN_DAYS = 7  # so long can what was given back be taken back


@transaction.atomic
def decline_offer(*, placement: Placement, seen: str | None = None) -> bool:
    """Give the place back before it was taken; False where that offer is open no more.

    Raises:
        Moved: It offers something else than what was seen.
    """
    now = hold_place(placement)
    if now is None or now.accepted_at or now.offered_at != placement.offered_at:
        return False
    check_glance(seen, agreement_glance(now))
    return _free(now, "declined")


@transaction.atomic
def withdraw_place(*, placement: Placement, seen: str | None = None) -> None:
    """The tester stops; the place is free again, and for some days they can take it back.

    Raises:
        Moved: The tester was given more time, or is done, since they looked.
    """
    now = hold_place(placement)
    if now is None:
        return
    check_glance(seen, dropout_glance(now))
    if not end_place(now, "withdrawn"):
        return
    came_up = give_on(call=now.call, size=now.size)
    until = timezone.localdate() + dt.timedelta(days=RETURN_DAYS)
    post_once(
        application=now.application,
        kind="given_back",
        occasion=timezone.now().isoformat(),
        values={
            "size": now.size,
            "date": written_day(until),
            "erased": written_day(now.call.erase_on),
            "url": absolute("my_making"),
        },
    )
    tell_designers(
        now,
        "place_given_back",
        days=RETURN_DAYS,
        next=came_up.application.name if came_up else "",
        waiting=now.call.applications.filter(state="waiting").count(),
    )


def tell_designers(placement: Placement, template: str, **more: object) -> None:
    """Mail every designer what a tester did with a place; the letters go with the tester's data."""
    call = placement.call
    said = {
        "name": placement.application.name,
        "title": call.pattern.title,
        "size": placement.size,
        "url": absolute("call", call.pattern.slug, call.pk),
        **more,
    }
    for designer in Person.objects.filter(groups__name=DESIGNER, is_active=True):
        send_mail(to=designer.email, template=template, context=said, about=placement.application)


@transaction.atomic
def replace_place(*, placement: Placement, seen: str | None = None) -> None:
    """The designer frees the place of somebody who is not heard of, and says so.

    Raises:
        Moved: The tester was heard of since the designer looked.
    """
    if now := hold_place(placement):
        check_glance(seen, place_glance(now))
        _free(now, "replaced")
        post_once(
            application=now.application,
            kind="replaced",
            occasion=now.offered_at.isoformat(),
            values={
                "size": now.size,
                "erased": written_day(now.call.erase_on),
                "url": absolute("call_list"),
            },
        )


def lapse_offers() -> int:
    """End the offers that nobody answered in time; say how many."""
    lapsed = Placement.objects.filter(accepted_at=None, ended_at=None, answer_by__lte=timezone.now())
    return do_each(lapsed.select_related("application", "call__pattern"), _lapse)


@transaction.atomic
def fill_place(*, call: TestCall, size: str) -> Placement | None:
    """Offer a place that fell free to the best placed of the waiting list, while there is time to make it.

    Everybody who has a place keeps it, and no other size is filled: the placing rule chooses the person.
    """
    call = (
        TestCall.objects.select_for_update(of=("self",)).select_related("pattern", "version").get(pk=call.pk)
    )
    if call.state not in ("open", "closed") or timezone.localdate() > call.midway_on:
        return None
    waiting = {str(one.pk): one for one in call.applications.filter(state="waiting")}
    held = list(held_places(call).select_related("application"))
    placing = place_testers(placing_task(call, waiting.values(), held, pins={}, only=size))
    for key, application in waiting.items():
        if key in placing.placed:
            reason = f"From the waiting list. {placing.reasons[key]}"
            return offer_place(application=application, size=size, reason=reason, by_hand=False)
    return None


def give_on(*, call: TestCall, size: str) -> Placement | None:
    """Fill a place that fell free where that can be; what the tester does counts in any case."""
    try:
        with transaction.atomic():
            return fill_place(call=call, size=size)
    except PlaceRefused as refused:
        logger.warning("Nobody came up from the waiting list: %s", refused)
        return None


def _free(placement: Placement, state: str) -> bool:
    """Close a place and give it on; say whether it was open."""
    TestCall.objects.select_for_update().get(pk=placement.call_id)
    if not end_place(placement, state):
        return False
    give_on(call=placement.call, size=placement.size)
    return True


@transaction.atomic
def _lapse(placement: Placement) -> bool:
    """End one offer unless it was answered in the meantime."""
    now = hold_place(placement)
    if now is None or now.accepted_at or now.answer_by > timezone.now():
        return False
    return _free(now, "declined")
