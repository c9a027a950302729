import datetime as dt
import re
from typing import Any

import pytest
from django.core import mail
from django.core.management import call_command
from django.db import transaction
from django.utils import timezone

from catalogue.models import Letter
from catalogue.studio.letters import sweep_letters
from testing.mails.mails import post_once
from testing.models import Placement, SentMail, TestCall
from testing.results.results import finish_result
from testing.running.tending import tend_calls
from tests.testing.builders import days_from_now, make_place


def set_dates(**days):
    TestCall.objects.update(**{name: days_from_now(left) for name, left in days.items()})
    Placement.objects.update(accepted_at=timezone.now() - dt.timedelta(days=60))


def subjects():
    mail.outbox.clear()
    tend_calls()
    return [message.subject for message in mail.outbox]


@pytest.mark.parametrize(
    ("left", "is_sent"), [(8, False), (7, True), (5, True), (2, True), (0, True), (-1, False)]
)
@pytest.mark.parametrize("date", ["starts_on", "midway_on", "finish_by"])
def test_a_reminder_goes_out_before_each_date(place, date, left, is_sent):
    far = {"starts_on": -50, "midway_on": -40, "finish_by": 90}
    set_dates(**{**far, date: left})
    if date == "finish_by" and left < 0:
        TestCall.objects.update(grace_days=30)
    assert len(subjects()) == is_sent
    assert subjects() == []


def test_seven_and_two_days_before_are_two_reminders(place):
    day = days_from_now(6)
    set_dates(starts_on=-50, midway_on=-40, finish_by=6)
    assert subjects() == [f"Fernhollow Vest: the finish is on {day.day} {day:%B %Y}"]
    day = days_from_now(1)
    set_dates(finish_by=1)
    assert len(subjects()) == 1
    assert subjects() == []
    assert SentMail.objects.filter(kind="reminder").count() == 2


def test_who_took_the_place_within_the_week_is_not_reminded_of_its_start_at_once(place):
    set_dates(starts_on=6, midway_on=30, finish_by=60)
    Placement.objects.update(accepted_at=timezone.now())
    assert subjects() == []


def test_late_once_after_the_days_of_grace(place):
    set_dates(starts_on=-60, midway_on=-30, finish_by=-3)
    assert subjects() == []
    set_dates(finish_by=-4)
    assert subjects() == ["Fernhollow Vest: how far are you?"]
    assert subjects() == []


def test_a_tester_who_was_given_more_time_is_not_late(place):
    set_dates(starts_on=-60, midway_on=-30, finish_by=-10)
    Placement.objects.update(finish_by=days_from_now(20))
    assert subjects() == []


@pytest.mark.parametrize("how", ["done", "ended", "over"])
def test_who_is_done_or_gone_hears_nothing(place, how):
    set_dates(starts_on=-60, midway_on=-30, finish_by=-10)
    if how == "done":
        finish_result(placement=place)
    elif how == "ended":
        Placement.objects.update(ended_at=timezone.now())
    else:
        TestCall.objects.update(state="ended")
    assert subjects() == []


def test_the_command_says_what_it_did(place, capsys):
    set_dates(starts_on=-60, midway_on=-30, finish_by=-10)
    call_command("tend")
    assert capsys.readouterr().out == "0 offers lapsed, 1 reminders, 0 applications erased.\n"


def test_no_mail_of_a_call_carries_measurements(place):
    """Not as typed, not in mm, not in inches; the numbers within an address are not measurements."""
    set_dates(starts_on=1, midway_on=2, finish_by=1)
    tend_calls()
    finish_result(placement=place)
    assert len(mail.outbox) >= 5
    letters: list[Any] = mail.outbox
    for message in letters:
        whole = message.subject + message.body + "".join(str(part[0]) for part in message.alternatives)
        assert message.alternatives
        figures = set(re.findall(r"(?<![\w/.:])\d+(?:\.\d+)?(?![\w/:])", whole))
        assert figures, whole
        assert not figures & {"96", "96.0", "960", "960.0", "37", "37.8", "37.80"}


def test_an_undone_edit_sends_nothing_and_forgets_that_it_did(place, settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}

    with transaction.atomic():
        post_once(application=place.application, kind="late", occasion="x", values={"date": "today"})
        transaction.set_rollback(True)
    assert not SentMail.objects.filter(kind="late").exists()
    assert not Letter.objects.exclude(state="sent").exists()


def test_what_was_sent_is_not_sent_anew_when_calls_are_tended_again(place):
    set_dates(starts_on=-60, midway_on=-30, finish_by=-10)
    mail.outbox.clear()
    tend_calls()
    sweep_letters()
    tend_calls()
    assert len(mail.outbox) == 1


def test_two_who_tend_at_once_send_once(place):
    values = {"date": "today"}
    assert post_once(application=place.application, kind="late", occasion="y", values=values)
    assert not post_once(application=place.application, kind="late", occasion="y", values=values)


def test_the_place_of_somebody_else_changes_nothing(place):
    make_place(place.call, size="L", name="Moss", email="moss@larkmoss.example")
    set_dates(starts_on=-60, midway_on=-30, finish_by=-10)
    assert len(subjects()) == 2
