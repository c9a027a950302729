import datetime as dt

import pytest
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape

from catalogue.models import Person
from testing.access.long_lists import ON_A_PAGE
from testing.calls.calls import CallRefused, close_call, end_call, owed_to
from testing.models import Application, Placement, Result, TestCall, TesterNote
from testing.places.dropouts import replace_place, withdraw_place
from testing.results.results import finish_result
from testing.testers.testers import find_testers, records_of_testers, reliability
from tests.sent_forms import send_form
from tests.site.ten_years import copy_row
from tests.testing.builders import days_from_now, make_application, make_call, make_pattern, make_place


def note(client, place, text):
    return client.post(reverse("tester_note", args=[place.person.pk]), {"text": text}, follow=True)


def ask(client, place, call):
    address = reverse("tester_ask", args=[place.person.pk])
    return client.post(address, {"call": call.pk}, follow=True).content.decode()


def the_record():
    (record,) = records_of_testers(find_testers())
    return record


def second_call():
    return make_call(pattern=make_pattern(title="Second Vest"))


def test_what_somebody_made_and_how_reliably(as_designer, place):
    page = as_designer.get(reverse("testers")).content.decode()
    assert "Fernhollow Vest, size M. 1 garment on the way." in page
    folded = page.partition("<details>")[2].partition("</details>")[0]
    assert f'id="note-{place.person.pk}"' in folded
    finish_result(placement=place)
    assert the_record().says == "1 garment finished in time."
    TestCall.objects.update(finish_by=days_from_now(-4))
    assert the_record().says == "1 garment finished late."
    Result.objects.update(done_at=None)
    assert the_record().says == "1 garment overdue."
    TestCall.objects.update(finish_by=days_from_now(-3))
    assert the_record().says == "1 garment on the way."  # within the days of grace


def take_places(place, call, number):
    """Places of many people in a call, each as that of somebody who has one."""
    for at in range(number):
        email = f"maker{at}@larkmoss.example"
        person = Person.objects.create(email=email, name=f"Maker {at:02}")
        own = {"name": person.name, "email": email, "token": f"{at:016d}"}
        application = copy_row(place.application, call=call, **own)
        copy_row(place, call=call, application=application, person=person)


def queries_of(client, address):
    client.get(address)
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
    return len(queries)


def test_many_testers_come_page_by_page_and_are_found_by_words(as_designer, place):
    address = reverse("testers")
    few = queries_of(as_designer, address)
    take_places(place, second_call(), ON_A_PAGE)
    assert queries_of(as_designer, address) == few
    page = as_designer.get(address).content.decode()
    assert f"{ON_A_PAGE + 1} testers" in page
    assert (page.count("Keep the note"), "Wren Alder" in page) == (ON_A_PAGE, False)
    found = reverse("testers") + "?words=wren+FERNHOLLOW"
    page = as_designer.get(found).content.decode()
    assert (page.count("Keep the note"), "1 tester found." in page) == (1, True)
    page = as_designer.get(f"{address}?words=second+vest&page=2").content.decode()
    assert f"{ON_A_PAGE} testers found." in page
    page = as_designer.get(f"{address}?words=nobody").content.decode()
    assert "0 testers found." in page


def test_pages_of_what_was_found_and_what_is_done_there_stay_with_it(as_designer, place):
    take_places(place, second_call(), ON_A_PAGE)
    last = f"{reverse('testers')}?words=larkmoss&page=2"
    page = as_designer.get(last).content.decode()
    assert 'href="?words=larkmoss&amp;page=1#testers"' in page
    action = f"{reverse('tester_note', args=[place.person.pk])}?words=larkmoss&page=2"
    assert f'action="{escape(action)}"' in page
    answer = as_designer.post(action, {"text": "Quick."})
    assert answer["Location"] == f"{last}#tester-{place.person.pk}"
    assert "Quick." in as_designer.get(last).content.decode()


@pytest.mark.parametrize(
    ("drop", "says"),
    [(withdraw_place, "1 place given back."), (replace_place, "1 place taken back by the studio.")],
)
def test_a_place_that_was_not_kept(place, drop, says):
    drop(placement=place)
    assert the_record().says == says


def test_several_garments_are_counted_together(place):
    make_place(second_call(), size="L")
    places = Placement.objects.select_related("call", "application")
    assert reliability(places, timezone.localdate()) == "2 garments on the way."
    record = the_record()
    assert record.made == ["Fernhollow Vest, size M", "Second Vest, size L"]


def test_notes_are_the_designers_alone(as_designer, client, place, editor):
    assert "The note is saved." in note(as_designer, place, "Sends lovely <photos>.").content.decode()
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
    given = reverse("places_given", args=parts)
    assert "Noted" not in as_designer.post(given, follow=True).content.decode()
    assert owed_to(place.call) == [place]
    send_form(as_designer, end, action=given)
    assert "Noted for 1 tester." in as_designer.get(end).content.decode()
    assert not owed_to(place.call)
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
    again = as_tester.get(address).content.decode()
    assert "You asked for time until" in again
    assert f'value="{until.isoformat()}"' in again
    assert 'value="The yarn came late"' in again
    type(place.call).objects.update(finish_by=timezone.localdate() - dt.timedelta(days=30))
    making = as_tester.get(reverse("making", args=[place.pk])).content.decode()
    assert "You asked for time until" in making
    assert "Late:" not in making
    type(place.call).objects.update(finish_by=place.call.finish_by)
    as_tester.force_login(designer)
    base = [place.call.pattern.slug, place.call.pk]
    page = as_tester.get(reverse("call", args=base)).content.decode()
    assert "The yarn came late" in page
    assert f'value="{until.isoformat()}"' in page
    as_tester.post(reverse("place_more_time", args=[*base, place.pk]), {"finish_by": until})
    place.refresh_from_db()
    assert (place.finish_by, place.asks_until, place.asks_because) == (until, None, "")
