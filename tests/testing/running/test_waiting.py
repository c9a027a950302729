"""Who waits for the studio, for all patterns of a list at once; applicants in the reader's units."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from testing.models import Application, TestCall
from testing.running.overview import overview_of
from testing.running.waiting import people_waiting
from tests.testing.builders import make_application, make_call, make_pattern, make_place

pytestmark = pytest.mark.django_db


def test_nobody_waits_where_there_is_no_call(django_assert_max_num_queries):
    pattern = make_pattern()
    with django_assert_max_num_queries(3):
        assert people_waiting([pattern]) == {}


def said(call):
    return [one.says for one in people_waiting([call.pattern])[call.pattern.pk]]


def test_applications_and_testers_are_counted():
    call = make_call()
    make_application(call)
    make_application(call, name="Ida Moor", email="ida@larkmoss.example")
    assert said(call) == ["2 applications"]
    place = make_place(call, name="Bo Fen", email="bo@larkmoss.example")
    assert said(call) == ["2 applications", "1 tester making"]
    place.asks_until = timezone.localdate() + dt.timedelta(days=9)
    place.save()
    TestCall.objects.update(finish_by=timezone.localdate() - dt.timedelta(days=1))
    assert said(call) == [
        "2 applications",
        "1 tester asking for more time",
        "1 tester making, 1 past the date",
    ]
    tasks = [task for one in people_waiting([call.pattern])[call.pattern.pk] for task in one.tasks]
    assert [one.says for one in tasks] == [
        "2 applications to answer",
        "1 tester asking for more time",
        "1 tester past the date",
    ]
    assert {one.address for one in tasks} == {reverse("call", args=[call.pattern.slug, call.pk])}


def test_who_was_given_more_time_is_not_past_the_date():
    place = make_place(make_call())
    TestCall.objects.update(finish_by=timezone.localdate() - dt.timedelta(days=1))
    assert said(place.call) == ["1 tester making, 1 past the date"]
    place.finish_by = timezone.localdate() + dt.timedelta(days=9)
    place.save()
    assert said(place.call) == ["1 tester making"]


def test_nobody_waits_in_a_call_that_has_ended():
    call = make_call()
    make_application(call)
    TestCall.objects.update(state="ended")
    assert people_waiting([call.pattern]) == {}


def test_bodies_are_told_in_the_readers_units():
    call = make_call()
    make_application(call)  # typed in cm
    make_application(
        call,
        name="Ida Moor",
        email="ida@larkmoss.example",
        units="in",
        typed_body={"bust": "38"},
        body_mm={"bust": 965.2},
    )

    def busts(units):
        shown = overview_of(call, timezone.localdate(), units=units).applicants
        return {one.application.name: next(iter(dict(one.body).values())) for one in shown}

    assert busts("cm")["Ida Moor"] == "96.5 cm (typed 38 in)"
    assert busts("in")["Ida Moor"] == "38 in"
    Application.objects.filter(name="Ida Moor").update(typed_body={"bust": "37½"})
    assert busts("cm")["Ida Moor"] == "96.5 cm (typed 37½ in)"
    assert busts("cm")["Wren Alder"].endswith(" cm")
    assert "(typed" in busts("in")["Wren Alder"]
