"""The dates of test calls stand among all that is to be done by when."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from catalogue.selling.dates import due_dates
from testing.models import TestCall
from tests.testing.builders import make_call, make_person, make_place, make_studio

pytestmark = pytest.mark.django_db


def dates(today):
    return [(one.on, one.what) for one in due_dates(today=today, with_support=False)]


def test_what_is_to_come_of_a_call_is_listed_and_its_finish_stays_while_somebody_is_making():
    call, today = make_call(), timezone.localdate()
    assert dates(today) == [
        (call.apply_by, "Last day to apply for the test"),
        (call.starts_on, "The test starts: give the places before"),
        (call.midway_on, "Half of the test is over"),
        (call.finish_by, "Results of the test are due"),
    ]
    place = make_place(call)
    later = call.finish_by + dt.timedelta(days=2)
    (late,) = due_dates(today=later, with_support=False)
    assert (late.what, late.when, late.is_overdue) == (
        "Results of the test are due",
        "overdue by 2 days",
        True,
    )
    place.ended_at = timezone.now()
    place.save()
    assert dates(later) == []


def test_calls_that_nobody_sees_or_that_are_over_have_no_dates():
    call = make_call()
    TestCall.objects.update(state="closed")
    assert "Last day to apply for the test" not in dict(map(reversed, dates(timezone.localdate())))
    for state in ("draft", "ended"):
        TestCall.objects.update(state=state)
        assert dates(timezone.localdate()) == []
    assert call.pk


def test_the_page_of_dates_leads_to_the_call(client):
    make_studio()
    call = make_call()
    client.force_login(make_person("designer@larkmoss.example", "designer"))
    page = client.get(reverse("studio_dates")).content.decode()
    assert f'href="{reverse("call", args=[call.pattern.slug, call.pk])}"' in page
    assert f"{call.pattern.title}: Results of the test are due" in page
