"""Giving a place back asks first, tells everybody kindly, and can be undone for seven days."""

import datetime as dt
import re
from typing import Any

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from testing.calls.calls import close_call, end_call
from testing.models import Application, Entry, Placement
from testing.places.dropouts import fill_place, replace_place, withdraw_place
from testing.places.places import accept_offer, put_on_waiting_list
from testing.places.returning import return_to_place
from testing.results.results import save_entry
from tests.sent_forms import send_form
from tests.testing.builders import make_application, make_place

HOURS: dict[str, Any] = {"part": "hours", "name": "", "typed": {"hours": "40"}, "meant": {"hours": 40.0}}


def address(name, place):
    return reverse(name, args=[place.pk])


def now(place):
    return Placement.objects.select_related("application").get(pk=place.pk)


@pytest.fixture
def given_back(designer, place):
    save_entry(placement=place, **HOURS)
    mail.outbox.clear()
    withdraw_place(placement=now(place))
    return place


def test_giving_back_asks_on_a_page_what_goes_and_what_stays(as_tester, place):
    save_entry(placement=place, **HOURS)
    assert address("making_withdraw", place) in as_tester.get(address("making", place)).content.decode()
    page = as_tester.get(address("making_withdraw", place)).content.decode()
    assert [words in page for words in ("What goes", "What stays", "What you sent")] == [True] * 3
    assert now(place).ended_at is None
    asked = address("making_withdraw", place)
    assert send_form(as_tester, asked, action=asked).url == reverse("my_making")
    assert now(place).ended_at


def test_the_maker_gets_a_kind_mail_and_the_designers_are_told(given_back):
    to_maker, to_designer = sorted(mail.outbox, key=lambda message: message.to, reverse=True)
    assert to_maker.to == ["wren@larkmoss.example"]
    assert "You can take your place back until" in " ".join(to_maker.body.split())
    assert to_designer.to == ["designer@larkmoss.example"]
    assert "Wren Alder gave a place back: Fernhollow Vest, size M" in to_designer.subject
    assert "The place is free, and nobody is on the waiting list." in to_designer.body


def test_the_studio_reads_that_a_place_was_given_back_and_is_free(as_designer, given_back):
    call, since = given_back.call, f"{now(given_back).ended_at:%B}"
    page = as_designer.get(reverse("call", args=[call.pattern.slug, call.pk])).content.decode()
    assert "A place in size M is free: Wren Alder gave it back on" in " ".join(page.split())
    where = reverse("call_garment", args=[call.pattern.slug, call.pk, given_back.result.pk])
    page = " ".join(as_designer.get(where).content.decode().split())
    assert (
        f"{since} {now(given_back).ended_at:%Y}. It can be taken back until"
        in page.split("Gave the place back on")[1]
    )
    assert "Not done yet" not in page


def test_no_more_given_back_places_are_listed_than_are_free_the_latest_first(as_designer, given_back):
    call = given_back.call
    withdraw_place(placement=make_place(call, name="Moss Linnet", email="moss@larkmoss.example"))
    where = reverse("call", args=[call.pattern.slug, call.pk])
    listed = r"A place in size M is free: (\w+)"
    for at_most, names in ((2, ["Moss", "Wren"]), (1, ["Moss"])):
        call.quotas.filter(size="M").update(at_least=1, at_most=at_most)
        page = " ".join(as_designer.get(where).content.decode().split())
        assert re.findall(listed, page) == names


def test_a_place_that_the_studio_took_back_is_not_said_to_be_somebody_elses(as_designer, place):
    save_entry(placement=place, **HOURS)
    replace_place(placement=place)
    where = reverse("call_garment", args=[place.call.pattern.slug, place.call.pk, place.result.pk])
    page = as_designer.get(where).content.decode()
    assert "The studio took the place back on" in page
    assert "somebody else" not in page


def test_the_designers_are_told_who_comes_up(designer, place):
    place.call.quotas.update(at_most=1)
    put_on_waiting_list(application=make_application(place.call, name="Moss", email="moss@larkmoss.example"))
    withdraw_place(placement=place)
    (told,) = [message for message in mail.outbox if message.to == [designer.email]]
    assert "Moss comes up from the waiting list" in told.body


def test_for_seven_days_it_is_taken_back_with_everything_sent(client, given_back):
    client.force_login(given_back.person)
    assert "Take my place back" in client.get(reverse("my_making")).content.decode()
    mail.outbox.clear()
    assert client.post(address("making_return", given_back)).url == address("making", given_back)
    place = now(given_back)
    assert (place.ended_at, place.application.state) == (None, "making")
    assert Entry.objects.get(result__placement=place).typed == {"hours": "40"}
    assert ["took the place back" in message.subject for message in mail.outbox] == [True]


@pytest.mark.parametrize("why", ["late", "ended", "replaced"])
def test_after_that_it_is_not(client, given_back, why):
    if why == "late":
        Placement.objects.update(ended_at=timezone.now() - dt.timedelta(days=7, seconds=1))
    elif why == "ended":
        close_call(call=given_back.call)
        end_call(call=given_back.call)
    else:
        Application.objects.update(state="replaced")
    client.force_login(given_back.person)
    assert "Take my place back" not in client.get(reverse("my_making")).content.decode()
    page = client.post(address("making_return", given_back), follow=True).content.decode()
    assert "can’t be taken back any more" in page.replace("&#x27;", "’")
    assert now(given_back).ended_at


def test_who_comes_back_to_a_full_size_takes_it_from_nobody(designer, place):
    place.call.quotas.update(at_most=1)
    put_on_waiting_list(application=make_application(place.call, name="Moss", email="moss@larkmoss.example"))
    withdraw_place(placement=place)
    moss = Placement.objects.get(application__name="Moss")
    accept_offer(placement=moss)
    put_on_waiting_list(application=make_application(place.call, name="Fell", email="fell@larkmoss.example"))
    return_to_place(placement=now(place))
    assert Placement.objects.filter(ended_at=None, size="M").count() == 2
    assert fill_place(call=place.call, size="M") is None
    assert Placement.objects.filter(ended_at=None, size="M").count() == 2
    withdraw_place(placement=now(moss))
    assert not Placement.objects.filter(application__name="Fell").exists()


def test_what_was_typed_for_a_place_that_is_over_leads_to_a_page_that_says_so(client, given_back):
    client.force_login(given_back.person)
    for name in ("making", "making_hours", "making_note", "making_time", "making_withdraw"):
        answer = client.get(address(name, given_back))
        assert answer.status_code == 404
        assert address("making_return", given_back) in answer.content.decode(), name
    replaced = make_place(given_back.call, email="moss@larkmoss.example")
    replace_place(placement=replaced)
    client.force_login(replaced.person)
    page = client.get(address("making_hours", replaced)).content.decode()
    assert "You no longer have this place" in page
    assert "Take my place back" not in page
    assert (
        "You no longer have this place"
        not in client.get(address("making_hours", given_back)).content.decode()
    )


def test_what_was_typed_for_a_question_of_an_earlier_version_leads_back_to_the_garment(as_tester, place):
    for name, more in (
        ("making_measured", "sleeve"),
        ("making_gauge", "lace"),
        ("making_garment_gauge", "lace"),
    ):
        answer = as_tester.get(reverse(name, args=[place.pk, more]))
        assert answer.status_code == 404
        assert "This is not asked any more" in answer.content.decode()


def test_ending_a_call_asks_on_a_page_who_is_told_and_what_stays(as_designer, place):
    close_call(call=place.call)
    end = reverse("call_end", args=[place.call.pattern.slug, place.call.pk])
    page = as_designer.get(end).content.decode()
    assert [words in page for words in ("Wren Alder, accepted", "What goes", "What stays")] == [True] * 3
    place.call.refresh_from_db()
    assert place.call.state == "closed"
    assert send_form(as_designer, end, action=end).status_code == 302
    place.call.refresh_from_db()
    assert place.call.state == "ended"


def test_erasing_asks_on_a_page_what_goes_and_what_stays(as_tester, place):
    save_entry(placement=place, **HOURS)
    page = as_tester.get(reverse("my_data_erase")).content.decode()
    assert "Your application for Fernhollow Vest" in page
    assert "Your place for Fernhollow Vest, size M: it is given back." in page
    assert "What stays, without your name" in page
    assert Application.objects.exists()
