import datetime as dt

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from testing.calls.calls import extend_call
from testing.calls.consent import written_day
from testing.calls.schedule import Schedule
from testing.models import Application, Placement, TestCall
from testing.places.dropouts import decline_offer, fill_place, lapse_offers, replace_place, withdraw_place
from testing.places.places import (
    PlaceRefused,
    accept_offer,
    ask_for_time,
    give_more_time,
    give_place,
    put_on_waiting_list,
)
from testing.privacy.erasing import erase_person
from testing.results.results import finish_result
from tests.sent_forms import send_form
from tests.testing.builders import days_from_now, make_application, make_call, make_place
from tests.testing.places.test_proposals import apply


@pytest.fixture
def waiting(studio):
    """A call with one place of M, held by Wren; who fits M best on the waiting list is Moss."""
    call = make_call(at_most=1)
    place = make_place(call, name="Wren", email="wren@larkmoss.example")
    for name, bust in (("Far", 104), ("Moss", 96), ("Small", 86)):
        person = apply(call, name, bust, ["S"] if name == "Small" else ["M"])
        put_on_waiting_list(application=person)
    mail.outbox.clear()
    return place


def offered():
    return [(p.application.name, p.size) for p in Placement.objects.filter(accepted_at=None, ended_at=None)]


@pytest.mark.parametrize("drop", [withdraw_place, replace_place, decline_offer])
def test_who_drops_out_is_replaced_by_the_placing_rule(waiting, drop):
    if drop is decline_offer:
        Placement.objects.filter(pk=waiting.pk).update(accepted_at=None)
    drop(placement=waiting)
    assert offered() == [("Moss", "M")]  # and nobody else: no other size is filled
    place = Placement.objects.get(application__name="Moss")
    assert place.reason.startswith("From the waiting list. Size M, first wish")
    assert ["moss@larkmoss.example"] in [message.to for message in mail.outbox]


def test_only_who_was_replaced_is_told_so(waiting):
    replace_place(placement=waiting)
    told = [message for message in mail.outbox if message.to == ["wren@larkmoss.example"]]
    assert ["your place" in message.subject for message in told] == [True]
    assert "another tester can have it" in told[0].body
    body = " ".join(told[0].body.split())
    assert f"how it fits until {written_day(waiting.call.erase_on)}, the garment’s own figures after" in body


def test_dropping_out_twice_gives_the_place_on_once(waiting):
    withdraw_place(placement=waiting)
    withdraw_place(placement=waiting)
    assert offered() == [("Moss", "M")]


def test_who_erases_everything_is_replaced_too(waiting):
    erase_person(person=waiting.person)
    assert offered() == [("Moss", "M")]


def test_a_lapsed_offer_goes_to_the_next(studio):
    call = make_call(at_most=1)
    place = give_place(application=apply(call, "Wren", 96, ["M"]), size="M")
    put_on_waiting_list(application=apply(call, "Moss", 96, ["M"]))
    assert lapse_offers() == 0
    Placement.objects.update(answer_by=timezone.now() - dt.timedelta(seconds=1))
    assert lapse_offers() == 1
    assert lapse_offers() == 0
    place.refresh_from_db()
    assert (bool(place.ended_at), place.application.state) == (True, "offered") or place.ended_at
    assert Application.objects.get(name="Wren").state == "declined"
    assert offered() == [("Moss", "M")]
    with pytest.raises(PlaceRefused, match="given back"):
        accept_offer(placement=place)


def test_an_offer_that_ran_out_a_moment_ago_is_not_taken(studio):
    place = give_place(application=apply(make_call(), "Wren", 96, ["M"]), size="M")
    Placement.objects.update(answer_by=timezone.now() - dt.timedelta(seconds=1))
    with pytest.raises(PlaceRefused, match="has lapsed"):
        accept_offer(placement=place)


def test_nobody_comes_up_when_it_is_too_late_to_make_it(waiting):
    TestCall.objects.update(midway_on=days_from_now(-1))
    withdraw_place(placement=waiting)
    assert offered() == []


def test_nobody_comes_up_where_nobody_fits(waiting):
    Application.objects.exclude(name="Wren").update(body_mm={"bust": 1500.0})
    assert fill_place(call=waiting.call, size="M") is None
    withdraw_place(placement=waiting)
    assert offered() == []


def test_whoever_makes_it_is_told_of_other_dates_once(call):
    making = make_place(call)
    done = make_place(call, name="Moss Reed", email="moss@larkmoss.example")
    finish_result(placement=done)
    make_application(call, name="Fern Dale", email="fern@larkmoss.example")
    mail.outbox.clear()
    dates = Schedule(call.apply_by, call.starts_on, call.midway_on, call.finish_by + dt.timedelta(days=9))
    extend_call(call=call, schedule=dates)
    extend_call(call=call, schedule=dates, offer_days=6)
    (letter,) = mail.outbox
    assert letter.to == [making.application.email]
    assert f"your last day is {written_day(dates.finish_by)} now" in str(letter.body)
    give_more_time(placement=making, finish_by=dates.finish_by + dt.timedelta(days=3))
    assert written_day(dates.finish_by + dt.timedelta(days=3)) in str(mail.outbox[-1].body)
    assert "have changed" in str(mail.outbox[-1].body)
    ask_for_time(placement=making, until=dates.finish_by + dt.timedelta(days=8), because="A cold.")
    give_more_time(placement=making, finish_by=dates.finish_by + dt.timedelta(days=8))
    given = " ".join(str(mail.outbox[-1].body).split())
    day = written_day(dates.finish_by + dt.timedelta(days=8))
    assert (
        f"you asked for more time for {call.pattern.title} in size {making.size}: your last day is {day}"
        in given
    )
    assert len(mail.outbox) == 3


def test_offers_hold_as_long_as_the_designer_says(as_designer, call):
    address = reverse("call_extend", args=[call.pattern.slug, call.pk])
    send_form(as_designer, address, offer_days="9", grace_days="4")
    place = give_place(application=apply(call, "Wren", 96, ["M"]), size="M")
    assert place.answer_by - place.offered_at == dt.timedelta(days=9)
