"""Giving places, and what testers answer."""

import datetime as dt
from collections.abc import Mapping

from django.core import signing
from django.db import transaction
from django.utils import timezone

from catalogue.models import Person
from catalogue.versions.glances import check_glance
from testing.access.links import absolute
from testing.access.selectors import held_places
from testing.calls.calls import tell_dates
from testing.calls.consent import agreement_text, written_day
from testing.calls.glances import agreement_glance, application_glance
from testing.mails.mails import post_once
from testing.models import Application, Placement, PlaceQuota, TestCall

_SALT = "testing.offer"


class PlaceRefused(ValueError):
    """A place that can't be given; one sentence for the designer."""


@transaction.atomic
def give_place(*, application: Application, size: str, seen: str | None = None) -> Placement:
    """Offer a place of a size by hand and mail the offer; never more than the size takes.

    Raises:
        PlaceRefused: It can't be given.
        Moved: The applicant has answered, or somebody else has, since the designer looked.
    """
    TestCall.objects.select_for_update().get(pk=application.call_id)
    now = Application.objects.select_for_update().filter(pk=application.pk).first()
    if now is None:
        raise PlaceRefused("This application was taken back.")
    check_glance(seen, application_glance(now))
    return offer_place(application=application, size=size, reason="Given by hand.", by_hand=True)


@transaction.atomic
def offer_place(*, application: Application, size: str, reason: str, by_hand: bool) -> Placement:
    """Offer a place and mail the offer; the call is locked, so that no place is given twice."""
    call = TestCall.objects.select_for_update().get(pk=application.call_id)
    application = Application.objects.select_for_update().get(pk=application.pk)
    _check_free(call, application, size)
    now = timezone.now()
    placement, _ = Placement.objects.update_or_create(
        application=application,
        defaults={
            **dict.fromkeys(("ended_at", "accepted_at", "asks_until", "finish_by"), None),
            "call": call,
            "size": size,
            "is_pinned": by_hand,
            "reason": reason[:300],
            "offered_at": now,
            "answer_by": now + dt.timedelta(days=call.offer_days),
        },
    )
    _set_state(application, "offered")
    _mail_offer(placement)
    return placement


def offer_key(placement: Placement) -> str:
    """The signed key of an offer; a later offer to the same person makes it void."""
    return signing.Signer(salt=_SALT).sign_object([placement.pk, placement.offered_at.isoformat()])


def offer_of_key(key: str) -> Placement | None:
    """The open offer that a key was made for: not altered, lapsed, answered, renewed or erased."""
    try:
        pk, offered_at = signing.Signer(salt=_SALT).unsign_object(key)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    placement = (
        Placement.objects.select_related("application", "call__pattern", "call__version")
        .filter(pk=pk, accepted_at=None, ended_at=None, answer_by__gt=timezone.now())
        .first()
    )
    return placement if placement and placement.offered_at.isoformat() == offered_at else None


@transaction.atomic
def accept_offer(
    *, placement: Placement, seen: str | None = None, options: Mapping[str, str] | None = None
) -> Person:
    """Take the place: the account is made for the address that the offer was mailed to.

    `options` are the choices of the garment that will be made.

    Raises:
        PlaceRefused: It can't be had any more.
        Moved: The agreement is not the one that was seen.
    """
    offered_at, now = placement.offered_at, hold_place(placement)
    if now is None or now.offered_at != offered_at:
        raise PlaceRefused("This place was given back.")
    placement, application = now, now.application
    if placement.accepted_at is None:
        if placement.answer_by <= timezone.now():
            raise PlaceRefused("This offer has lapsed; please write to the studio.")
        check_glance(seen, agreement_glance(placement))
        placement.person = _account_of(application)
        placement.accepted_at = timezone.now()
        placement.agreement = agreement_text(placement.call, placement.size)
        placement.options = dict(options or {})
        placement.save(update_fields=["person", "accepted_at", "agreement", "options"])
        _set_state(application, "accepted")
    if placement.person is None:
        raise PlaceRefused("This place was given back.")
    return placement.person


@transaction.atomic
def put_on_waiting_list(*, application: Application) -> None:
    """Keep somebody in mind for a place that falls free."""
    Application.objects.filter(pk=application.pk, state__in=Application.FREE).update(state="waiting")


@transaction.atomic
def give_more_time(*, placement: Placement, finish_by: dt.date) -> None:
    """Give one tester a later day, and say so.

    Raises:
        PlaceRefused: The place has ended meanwhile; nobody is told anything.
    """
    now = hold_place(placement)
    if now is None:
        raise PlaceRefused("This place was given back or has ended: there is nobody to give more time to.")
    Placement.objects.filter(pk=now.pk).update(finish_by=finish_by, asks_until=None, asks_because="")
    if now.finish_by != finish_by:
        now.finish_by = finish_by
        tell_dates(now, is_asked=now.asks_until is not None)


@transaction.atomic
def ask_for_time(*, placement: Placement, until: dt.date, because: str) -> None:
    """The tester asks for a later day; the designer decides."""
    Placement.objects.filter(pk=placement.pk).update(asks_until=until, asks_because=because)


@transaction.atomic
def mark_given(*, placement: Placement) -> None:
    """Note that the tester was given what the call promised."""
    Placement.objects.filter(pk=placement.pk, given_at=None).update(given_at=timezone.now())


def hold_place(placement: Placement) -> Placement | None:
    """A place as it stands, held until all is done; None once it has ended or was erased."""
    TestCall.objects.select_for_update().get(pk=placement.call_id)
    places = Placement.objects.select_for_update(of=("self",)).select_related("application", "call__pattern")
    return places.filter(pk=placement.pk, ended_at=None).first()


def _check_free(call: TestCall, application: Application, size: str) -> None:
    """Refuse a size that is unknown or full, and somebody who has a place."""
    held = held_places(call)
    if held.filter(application=application).exists() or application.state == "finished":
        raise PlaceRefused(f"{application.name} has a place already.")
    quota = PlaceQuota.objects.filter(call=call, size=size).first()
    if quota is None:
        raise PlaceRefused(f"This call has no places in size {size}.")
    if held.filter(size=size).count() >= quota.at_most:
        raise PlaceRefused(f"All {quota.at_most} places of size {size} are given.")


def end_place(placement: Placement, state: str) -> bool:
    """Close a placement for good and say so at the application; say whether it was still open."""
    is_ended = Placement.objects.filter(pk=placement.pk, ended_at=None).update(ended_at=timezone.now())
    if is_ended:
        _set_state(placement.application, state)
    return bool(is_ended)


def _set_state(application: Application, state: str) -> None:
    """Store the state of an application."""
    Application.objects.filter(pk=application.pk).update(state=state)
    application.state = state


def _account_of(application: Application) -> Person:
    """The account for an address, made when it is new."""
    known = Person.objects.filter(email__iexact=application.email).first()
    if known and not known.is_active:
        raise PlaceRefused("The account of this address is closed; please write to the studio.")
    if known:
        return known
    return Person.objects.create_user(application.email, name=application.name, units=application.units)


def _mail_offer(placement: Placement) -> None:
    """Send the offer."""
    answer_by = timezone.localtime(placement.answer_by)
    post_once(
        application=placement.application,
        kind="offer",
        occasion=placement.offered_at.isoformat(),
        values={
            "size": placement.size,
            "date": f"{written_day(answer_by.date())}, {answer_by:%H:%M %Z}",
            "url": absolute("offer", offer_key(placement)),
        },
    )
