"""Acts of a test call that can't be undone, while somebody else changes what they are about."""

import datetime as dt
from typing import Any

import pytest
from django.core import mail
from django.urls import reverse

from catalogue.models import Erratum, Studio
from testing.calls.calls import CallWording, Quota, change_call, close_call, extend_call, hand_out_version
from testing.calls.consent import written_day
from testing.calls.schedule import Schedule
from testing.models import Application, Entry, Placement, Reading, TestCall
from testing.places.places import (
    PlaceRefused,
    end_place,
    give_more_time,
    give_place,
    offer_key,
    put_on_waiting_list,
)
from testing.privacy.erasing import erase_application
from testing.results.results import add_remark, finish_result, save_entry, take_version
from testing.running import place_views
from tests.present import present
from tests.sent_forms import send_form
from tests.testing.builders import (
    application_form,
    days_from_now,
    make_application,
    make_call,
    make_version,
)

MOVED = "This was changed after you opened the page"


def later(call, days):
    """The call's dates, the finish some days later."""
    names = ("apply_by", "starts_on", "midway_on")
    dates = {name: getattr(call, name) for name in names}
    return Schedule(**dates, finish_by=call.finish_by + dt.timedelta(days=days))


def page_of(call):
    return reverse("call", args=[call.pattern.slug, call.pk])


def test_a_call_is_opened_only_with_what_the_designer_saw(as_designer):
    call = make_call(opened=False)
    action = reverse("call_open", args=[call.pattern.slug, call.pk])
    page = as_designer.get(page_of(call)).content.decode()
    terms = CallWording("A striped vest.", call.must_send, call.in_return, call.rules, ["bust"], 12)
    change_call(call=call, terms=terms, schedule=later(call, 0), quotas=[Quota("M", 1, 4)])
    answer = send_form(as_designer, page_of(call), action=action, page=page)
    said = answer.content.decode()
    assert answer.status_code == 409
    assert MOVED in said
    assert "<del>A plain vest.</del>" in said
    assert "<ins>A striped vest.</ins>" in said
    assert "<del>1 to 2</del>" in said
    assert TestCall.objects.get().state == "draft"
    assert send_form(as_designer, page_of(call), action=action, page=said).status_code == 302
    assert TestCall.objects.get().state == "open"


def test_two_who_change_the_dates_do_not_undo_each_other_unseen(as_designer, place):
    call = place.call
    address = reverse("call_extend", args=[call.pattern.slug, call.pk])
    page = as_designer.get(address).content.decode()
    extend_call(call=call, schedule=later(call, 14))
    mail.outbox.clear()
    answer = send_form(as_designer, address, page=page, grace_days="9")
    assert answer.status_code == 409
    assert "Finish: <del>" in answer.content.decode()
    now = TestCall.objects.get()
    assert (now.finish_by, now.grace_days) == (call.finish_by + dt.timedelta(days=14), 3)
    assert not mail.outbox, "no tester is told dates that nobody meant"


@pytest.mark.parametrize("answers", ["offer_accept", "offer_decline"])
def test_the_agreement_that_changed_is_shown_old_and_new(client, call, answers):
    place = give_place(application=make_application(call), size="M")
    address, action = (reverse(name, args=[offer_key(place)]) for name in ("offer", answers))
    page = client.get(address).content.decode()
    extend_call(call=call, schedule=later(call, 14))
    answer = send_form(client, address, action=action, page=page)
    said = answer.content.decode()
    assert answer.status_code == 409
    assert said.index("<del>Everything sent in by") < said.index("<ins>Everything sent in by")
    assert Application.objects.get().state == "offered"
    assert send_form(client, address, action=action, page=said).status_code != 409
    assert Application.objects.get().state != "offered"


def test_whose_place_ended_in_the_same_moment_is_not_told_of_more_time(as_designer, place, monkeypatch):
    """The designer's page is read, the tester gives the place back, the designer's answer goes on."""
    finish_by = place.finish_by

    def end_and_give(*, placement, **given):
        end_place(placement, "withdrawn")
        give_more_time(placement=placement, **given)

    monkeypatch.setattr(place_views, "give_more_time", end_and_give)
    mail.outbox.clear()
    action = reverse("place_more_time", args=[place.call.pattern.slug, place.call_id, place.pk])
    answer = as_designer.post(action, {"finish_by": days_from_now(100)}, follow=True)
    assert "there is nobody to give more time to" in answer.content.decode()
    assert Placement.objects.get().finish_by == finish_by
    assert not mail.outbox


def test_who_was_given_more_time_sees_it_before_the_place_is_given_back(as_tester, place):
    address = action = reverse("making_withdraw", args=[place.pk])
    page = as_tester.get(address).content.decode()
    give_more_time(placement=place, finish_by=days_from_now(100))
    answer = send_form(as_tester, address, action=action, page=page)
    said = answer.content.decode()
    assert answer.status_code == 409
    assert f"<ins>{written_day(days_from_now(100))}</ins>" in said
    assert Placement.objects.get().ended_at is None
    assert send_form(as_tester, address, action=action, page=said).status_code == 302
    assert Placement.objects.get().ended_at is not None


def test_whom_a_colleague_has_decided_about_is_not_offered_a_place_unseen(as_designer, call):
    one = make_application(call)
    action = reverse("place_give", args=[call.pattern.slug, call.pk, one.pk])
    page = as_designer.get(page_of(call)).content.decode()
    put_on_waiting_list(application=one)
    answer = send_form(as_designer, page_of(call), action=action, page=page)
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "Wren Alder: <del>applied</del>" in said
    assert not Placement.objects.exists()
    assert send_form(as_designer, page_of(call), action=action, page=said).status_code == 302
    assert Placement.objects.get().size == "M"


def test_an_application_that_was_taken_back_gets_no_offer(studio):
    one = make_application(make_call())
    read_before = Application.objects.get()
    erase_application(application=one)
    with pytest.raises(PlaceRefused, match="was taken back"):
        give_place(application=read_before, size="M")


def test_what_a_remark_is_about_is_shown_anew_before_its_erratum_is_filed(as_designer, place):
    remark = add_remark(placement=place, place="sections[0].steps[1]", text="I end with 38.")
    address = reverse("remark_erratum", args=[place.call.pattern.slug, place.call.pk, remark.pk])
    page = as_designer.get(address).content.decode()
    hand_out_version(call=place.call, version=make_version(place.call.pattern, number="0.2"))
    take_version(placement=place, number="0.2")
    typed: dict[str, Any] = {"says": "rows of stocking stitch", "should_say": "38 stitches"}
    answer = send_form(as_designer, address, page=page, **typed)
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "Test version: <del>0.1</del>" in said
    assert "38 stitches" in said
    assert not Erratum.objects.exists()
    assert send_form(as_designer, address, page=said).status_code == 302
    erratum = Erratum.objects.get()
    assert (present(erratum.found_in).number, erratum.should_say) == ("0.2", "38 stitches")


def test_an_applicant_consents_to_what_they_read(client, call):
    address = reverse("apply", args=[call.slug])
    page = client.get(address).content.decode()
    Studio.objects.update(name="Heronsford Studio")
    answer = send_form(client, address, page=page, **application_form())
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "<del>Larkmoss Studio may use" in said
    assert "<ins>Heronsford Studio may use" in said
    assert 'value="Wren Alder"' in said
    assert not Application.objects.exists()
    unticked = send_form(client, address, page=said)
    assert "Without your consent" in unticked.content.decode()
    assert send_form(client, address, page=said, consent="on").status_code == 302
    assert Application.objects.get().consent_text.startswith("Heronsford Studio")


def test_a_place_is_not_taken_from_a_tester_who_was_heard_of_meanwhile(as_designer, place):
    call = place.call
    action = reverse("place_replace", args=[call.pattern.slug, call.pk, place.pk])
    page = as_designer.get(page_of(call)).content.decode()
    save_entry(placement=place, part="hours", name="", typed={"hours": "40"}, meant={"hours": 40.0})
    answer = send_form(as_designer, page_of(call), action=action, page=page)
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "Answers sent: <del>0</del>" in said
    assert "<ins>1</ins>" in said
    assert Placement.objects.get().ended_at is None
    assert send_form(as_designer, page_of(call), action=action, page=said).status_code == 302
    assert Placement.objects.get().ended_at is not None


def test_a_call_ends_only_for_those_whom_the_designer_saw(as_designer, place):
    call = place.call
    close_call(call=call)
    action = reverse("call_end", args=[call.pattern.slug, call.pk])
    page = as_designer.get(action).content.decode()
    Application.objects.update(state="making")
    mail.outbox.clear()
    answer = send_form(as_designer, action, action=action, page=page)
    assert answer.status_code == 409
    assert "<ins>Wren Alder, making</ins>" in answer.content.decode()
    assert TestCall.objects.get().state == "closed"
    assert not mail.outbox
    finish_result(placement=place)
    owed = as_designer.get(action).content.decode()
    answer = send_form(as_designer, action, action=action, page=owed)
    assert TestCall.objects.get().state == "closed", "what was promised is still owed"


def test_nobody_goes_on_the_waiting_list_unseen(as_designer, call):
    make_application(call)
    address, action = (
        reverse(name, args=[call.pattern.slug, call.pk]) for name in ("proposal", "proposal_send")
    )
    page = as_designer.get(address).content.decode()
    make_application(call, name="Moss Reed", email="moss@larkmoss.example")
    mail.outbox.clear()
    wren = Application.objects.get(name="Wren Alder")
    answer = send_form(as_designer, address, action=action, page=page, early="on", **{f"size-{wren.pk}": ""})
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "<del>nothing</del>" in said
    assert "<ins>Moss Reed. Size" in said
    assert "Waiting list, chosen by hand." in said, "what was chosen stands there still"
    assert set(Application.objects.values_list("state", flat=True)) == {"applied"}
    assert not mail.outbox
    assert send_form(as_designer, address, action=action, page=said, early="on").status_code == 302
    assert [place.application.name for place in Placement.objects.all()] == ["Moss Reed"]


def test_a_version_that_is_older_or_the_same_is_not_handed_out_again(as_designer, place):
    call = place.call
    for number in ("0.2", "0.3"):
        make_version(call.pattern, number=number)
    hand_out_version(call=call, version=call.pattern.versions.get(minor=3))
    mail.outbox.clear()
    for number in ("0.2", "0.3"):
        address = reverse("call_version", args=[call.pattern.slug, call.pk, number])
        said = as_designer.post(address, follow=True).content.decode()
        assert "Test version 0.3 is handed out already" in said
    assert present(TestCall.objects.get().version).number == "0.3"
    assert not mail.outbox


def test_a_tester_takes_the_version_that_they_read_of(as_tester, place):
    save_entry(placement=place, part="hours", name="", typed={"hours": "40"}, meant={"hours": 40.0})
    address, action = (reverse(name, args=[place.pk]) for name in ("making", "making_version"))
    hand_out_version(call=place.call, version=make_version(place.call.pattern, number="0.2"))
    page = as_tester.get(address).content.decode()
    hand_out_version(call=place.call, version=make_version(place.call.pattern, number="0.3"))
    answer = as_tester.get(send_form(as_tester, address, action=action, page=page).url).content.decode()
    assert "Another test version came out meanwhile" in answer
    place.result.refresh_from_db()
    assert place.result.version.number == "0.1"
    send_form(as_tester, address, action=action, page=answer)
    place.result.refresh_from_db()
    assert place.result.version.number == "0.3"


def test_an_entry_that_its_tester_has_changed_is_not_decided_about(as_designer, place):
    entry = save_entry(
        placement=place, part="measured", name="chest", typed={"length": "40"}, meant={"mm": 400.0}
    )
    call = place.call
    address = reverse("entry_right", args=[call.pattern.slug, call.pk, entry.result_id, "chest"])
    save_entry(placement=place, part="measured", name="chest", typed={"length": "100"}, meant={"mm": 1000.0})
    for seen in ("400.0", "", "nonsense"):
        said = as_designer.post(address, {"seen": seen}, follow=True).content.decode()
        assert "nothing was decided" in said
    assert not Reading.objects.exists()
    as_designer.post(address, {"seen": str(Entry.objects.get(part="measured").meant["mm"])})
    assert Reading.objects.get().seen == 1000.0
