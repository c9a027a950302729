import datetime as dt

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from testing.calls.calls import CallRefused, close_call, end_call
from testing.models import Application, Placement, Result, TestCall, TesterNote
from testing.places.dropouts import replace_place, withdraw_place
from testing.places.places import mark_given
from testing.results.results import finish_result
from testing.testers.testers import records_of_testers, reliability
from tests.sent_forms import send_form
from tests.testing.builders import days_from_now, make_application, make_call, make_pattern, make_place


def note(client, place, text):
    return client.post(reverse("tester_note", args=[place.person.pk]), {"text": text}, follow=True)


def ask(client, place, call):
    address = reverse("tester_ask", args=[place.person.pk])
    return client.post(address, {"call": call.pk}, follow=True).content.decode()


def second_call():
    return make_call(pattern=make_pattern(title="Second Vest"))


def test_what_somebody_made_and_how_reliably(as_designer, place):
    page = as_designer.get(reverse("testers")).content.decode()
    assert "Fernhollow Vest, size M. 1 garment on the way." in page
    folded = page.partition("<details>")[2].partition("</details>")[0]
    assert f'id="note-{place.person.pk}"' in folded
    finish_result(placement=place)
    assert records_of_testers()[0].says == "1 garment finished in time."
    TestCall.objects.update(finish_by=days_from_now(-4))
    assert records_of_testers()[0].says == "1 garment finished late."
    Result.objects.update(done_at=None)
    assert records_of_testers()[0].says == "1 garment overdue."
    TestCall.objects.update(finish_by=days_from_now(-3))
    assert records_of_testers()[0].says == "1 garment on the way."  # within the days of grace


@pytest.mark.parametrize(
    ("drop", "says"),
    [(withdraw_place, "1 place given back."), (replace_place, "1 place given to somebody else.")],
)
def test_a_place_that_was_not_kept(place, drop, says):
    drop(placement=place)
    assert records_of_testers()[0].says == says


def test_several_garments_are_counted_together(place):
    make_place(second_call(), size="L")
    places = Placement.objects.select_related("call", "application")
    assert reliability(places, timezone.localdate()) == "2 garments on the way."
    (record,) = records_of_testers()
    assert record.made == ["Fernhollow Vest, size M", "Second Vest, size L"]


def test_notes_are_the_designers_alone(as_designer, client, place, editor):
    assert "The note is kept." in note(as_designer, place, "Sends lovely <photos>.").content.decode()
    assert "lovely &lt;photos&gt;" in as_designer.get(reverse("testers")).content.decode()
    for person in (editor, place.person):
        client.force_login(person)
        assert client.get(reverse("testers")).status_code == 404
        assert note(client, place, "x").status_code == 404
    client.force_login(editor)
    base = [place.call.pattern.slug, place.call.pk]
    for name in ("call", "call_results"):
        assert "lovely" not in client.get(reverse(name, args=base)).content.decode()
    assert "lovely" not in client.get(reverse("call_file", args=[*base, "json"])).content.decode()


def test_a_note_goes_when_it_is_emptied_and_too_long_ones_are_refused(as_designer, place):
    note(as_designer, place, "x" * 2_000)
    assert "at most 2,000 characters" in note(as_designer, place, "x" * 2_001).content.decode()
    assert TesterNote.objects.get().text == "x" * 2_000
    note(as_designer, place, "")
    assert not TesterNote.objects.exists()


def test_only_who_agreed_is_asked_again_and_once(as_designer, place):
    call = second_call()
    mail.outbox.clear()
    assert "has not agreed to be asked again" in ask(as_designer, place, call)
    Application.objects.update(may_ask_again=True)
    assert f"The e-mail to {place.person} is on its way." in ask(as_designer, place, call)
    assert [message.subject for message in mail.outbox] == ["Would you make Second Vest?"]
    assert reverse("call_page", args=[call.slug]) in mail.outbox[0].body
    assert "was asked about Second Vest before" in ask(as_designer, place, call)
    assert len(mail.outbox) == 1


def test_who_applied_already_and_calls_that_are_closed_are_refused(as_designer, place):
    Application.objects.update(may_ask_again=True)
    assert "has applied for Fernhollow Vest already" in ask(as_designer, place, place.call)
    TestCall.objects.update(state="closed")
    assert "Choose a call that is open" in ask(as_designer, place, place.call)


def test_agreement_to_be_asked_can_be_taken_back(as_tester, place):
    Application.objects.update(may_ask_again=True)
    assert "Stop asking me" in as_tester.get(reverse("my_data")).content.decode()
    as_tester.post(reverse("my_asking"))
    assert not Application.objects.filter(may_ask_again=True).exists()
    assert "Stop asking me" not in as_tester.get(reverse("my_data")).content.decode()


def test_a_call_ends_when_everybody_was_given_what_was_promised(as_designer, place):
    parts = [place.call.pattern.slug, place.call.pk]
    call, end = (reverse(name, args=parts) for name in ("call", "call_end"))
    waiting = make_application(place.call, name="Moss", email="moss@larkmoss.example")
    close_call(call=place.call)
    finish_result(placement=place)
    send_form(as_designer, end, action=end)
    page = as_designer.get(call).content.decode()
    assert "Not yet given what was promised: Wren Alder." in page
    mark_given(placement=place)
    mail.outbox.clear()
    seen = as_designer.get(end).content.decode()
    for _ in range(2):
        send_form(as_designer, end, action=end, page=seen)
    place.call.refresh_from_db()
    assert (place.call.state, bool(place.call.ended_at)) == ("ended", True)
    assert sorted(message.to[0] for message in mail.outbox) == [waiting.email, place.application.email]
    assert "the test is over" in mail.outbox[0].subject
    as_designer.post(reverse("call_open", args=[place.call.pattern.slug, place.call.pk]))
    place.call.refresh_from_db()
    assert place.call.state == "ended"


def test_who_is_still_making_holds_no_call_open(place):
    end_call(call=place.call)
    assert TestCall.objects.get().state == "ended"


def test_what_is_owed_is_named(place):
    finish_result(placement=place)
    with pytest.raises(CallRefused, match="Wren Alder"):
        end_call(call=place.call)


def test_a_tester_asks_for_time_and_the_designer_gives_it(as_tester, place, designer):
    address = reverse("making_time", args=[place.pk])
    until = place.call.finish_by + dt.timedelta(days=14)
    page = as_tester.post(address, {"until": place.call.finish_by, "because": ""}).content.decode()
    assert "Choose a day after" in page
    as_tester.post(address, {"until": until, "because": "The yarn came late"})
    assert "You asked for time until" in as_tester.get(reverse("making", args=[place.pk])).content.decode()
    as_tester.force_login(designer)
    base = [place.call.pattern.slug, place.call.pk]
    page = as_tester.get(reverse("call", args=base)).content.decode()
    assert "The yarn came late" in page
    assert f'value="{until.isoformat()}"' in page
    as_tester.post(reverse("place_more_time", args=[*base, place.pk]), {"finish_by": until})
    place.refresh_from_db()
    assert (place.finish_by, place.asks_until, place.asks_because) == (until, None, "")
