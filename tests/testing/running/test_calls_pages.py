import datetime as dt
import re

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalogue.drafts.patterns import load_pattern
from catalogue.models import Letter
from testing.asked.figures import call_figures
from testing.calls.calls import latest_test_version, open_call
from testing.calls.consent import consent_text, written_day
from testing.calls.schedule import months_after
from testing.models import Application, Entry, Placement, Result, TestCall
from testing.results import progress
from tests.present import present
from tests.sent_forms import send_form
from tests.testing.builders import (
    days_from_now,
    make_application,
    make_call,
    make_pattern,
    make_person,
    make_place,
    make_version,
    vest_document,
)


def call_form(**changes):
    places = {f"at_least_{i}": "1" for i in range(3)} | {f"at_most_{i}": "2" for i in range(3)}
    return {
        "invitation": "A plain vest.",
        "must_send": "Gauge",
        "in_return": "",
        "rules": "",
        "keep_months": "12",
        "measurements": ["bust"],
        "apply_by": days_from_now(7),
        "starts_on": days_from_now(14),
        "offer_days": "5",
        "grace_days": "3",
        "midway_on": days_from_now(35),
        "finish_by": days_from_now(56),
        **places,
        **changes,
    }


def address(call, name="call", *more):
    return reverse(name, args=[call.pattern.slug, call.pk, *more])


def test_the_list_of_calls_says_what_to_do_first(as_designer):
    pattern = make_pattern()
    page = as_designer.get(reverse("calls", args=[pattern.slug])).content.decode()
    assert "No test call yet" in page
    assert reverse("call_new", args=[pattern.slug]) in page


def test_the_form_of_a_call_proposes_the_usual_dates_and_shows_gauge_and_yarn(as_designer):
    pattern = make_pattern()
    page = as_designer.get(reverse("call_new", args=[pattern.slug])).content.decode()
    assert f'value="{days_from_now(7):%Y-%m-%d}"' in page
    assert "20 stitches and 28 rows to 10 cm" in page
    # 180 × 140 stitch-rows × 9 g / 1200 × 1.08 = 204.12 g: 205 to buy (derived)
    assert re.search(r"<td[^>]*>\s*205\s*</td>", page)


@pytest.mark.parametrize(("terms", "word"), [("UK", "tension"), ("US", "gauge")])
def test_a_call_speaks_in_the_terms_of_its_pattern(as_designer, terms, word):
    pattern = make_pattern(home_terms=terms)
    form = as_designer.get(reverse("call_new", args=[pattern.slug])).context["form"]
    assert form["must_send"].value().startswith(f"{word.capitalize()} of each fabric after washing")
    as_designer.post(reverse("call_new", args=[pattern.slug]), call_form())
    assert f"size, options, {word}, counts" in consent_text(TestCall.objects.get(), "Larkmoss Studio")


def test_a_call_is_stored_with_its_places(as_designer):
    pattern = make_pattern()
    answer = as_designer.post(
        reverse("call_new", args=[pattern.slug]), call_form(at_least_2="0", at_most_2="0")
    )
    call = TestCall.objects.get()
    assert answer.status_code == 302
    assert [(q.size, q.at_least, q.at_most) for q in call.quotas.all()] == [("S", 1, 2), ("M", 1, 2)]
    assert (call.state, call.measurements) == ("draft", ["bust"])


def test_most_left_empty_is_one_spare_for_every_three_places(as_designer):
    wanted = {"at_least_0": "3", "at_most_0": "", "at_least_1": "4", "at_most_1": "", "at_least_2": "0"}
    as_designer.post(reverse("call_new", args=[make_pattern().slug]), call_form(**wanted, at_most_2=""))
    quotas = TestCall.objects.get().quotas.all()
    assert [(q.size, q.at_least, q.at_most) for q in quotas] == [("S", 3, 4), ("M", 4, 6)]


def test_a_draft_is_shown_and_changed_in_all_it_says(as_designer, studio):
    call = make_call(opened=False)
    assert "Change what it says" in as_designer.get(address(call)).content.decode()
    page = as_designer.get(address(call, "call_change")).content.decode()
    assert "A plain vest.</textarea>" in page
    assert f'value="{call.finish_by:%Y-%m-%d}"' in page
    sent = call_form(
        invitation="A ribbed vest.", at_least_0="0", at_most_0="0", at_most_1="4", keep_months="6"
    )
    assert send_form(as_designer, address(call, "call_change"), **sent).url == address(call)
    call.refresh_from_db()
    assert call.invitation == "A ribbed vest."
    assert [(q.size, q.at_least, q.at_most) for q in call.quotas.all()] == [("M", 1, 4), ("L", 1, 2)]
    assert call.erase_on == months_after(call.finish_by, 6)


def test_a_call_that_was_open_keeps_what_it_said(as_designer, call):
    assert "Change what it says" not in as_designer.get(address(call)).content.decode()
    page = send_form(as_designer, address(call, "call_change"), **call_form(invitation="Another vest."))
    assert "This call was open already, so only its dates can be changed." in page.content.decode()
    assert "Another vest." in page.content.decode()
    assert TestCall.objects.get().invitation == "A plain vest."


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"apply_by": "soon"}, "Enter a valid date"),
        ({"midway_on": days_from_now(1)}, "Midway must lie between"),
        ({"at_least_0": "3"}, "Size S needs at least 3"),
        (
            {f"at_most_{i}": "0" for i in range(3)} | {f"at_least_{i}": "0" for i in range(3)},
            "The call has no places",
        ),
        ({"at_most_1": "1e308"}, "Enter a whole number"),
        ({"invitation": "a\x00b"}, "Null characters are not allowed"),
        ({"measurements": ["hat"]}, "Select a valid choice"),
        ({"yarn_from": "shop"}, "Select a valid choice"),
        ({"yarn_note": "a" * 201}, "at most 200 characters"),
        ({"hours_from": "60", "hours_to": "38"}, "The hours begin at 60: write 60 or more here."),
        ({"hours_from": "many"}, "Enter a whole number"),
        ({"hours_to": "99999"}, "less than or equal to 2000"),
    ],
)
def test_a_call_that_makes_no_sense_is_refused_and_what_was_typed_stays(as_designer, change, says):
    pattern = make_pattern()
    page = as_designer.post(
        reverse("call_new", args=[pattern.slug]), call_form(must_send="My own list", **change)
    )
    assert page.status_code == 200
    assert says in page.content.decode()
    assert "My own list" in page.content.decode()
    assert not TestCall.objects.exists()


def test_the_page_of_a_call_shows_seats_applications_and_progress(as_designer, place):
    make_application(place.call, name="Moss Reed", email="moss@larkmoss.example", sizes=["S"])
    page = as_designer.get(address(place.call)).content.decode()
    assert "0 taken, 0 offered, 1 needed" in page
    assert "1 taken, 0 offered, 0 needed" in page
    assert "0 of 7 answers sent" in page
    assert "Moss Reed" in page
    assert "96 cm" in page
    assert "Nothing is late." in page


def test_what_is_late_is_told(as_designer, place):
    TestCall.objects.update(
        apply_by=days_from_now(-60),
        starts_on=days_from_now(-50),
        midway_on=days_from_now(-30),
        finish_by=days_from_now(-4),
    )
    page = as_designer.get(address(place.call)).content.decode()
    assert "Late: everything was due on" in page
    sent, missing = (progress.Progress([progress.Thing("Gauge", "/", is_sent)]) for is_sent in (True, False))
    assert progress.lateness(place, missing, days_from_now(0)).startswith("Late: ")
    assert progress.lateness(place, sent, days_from_now(0)) == "", "who has sent everything is not late"
    waits = page.split('id="waits"')[1].split('id="places"')[0]
    assert f'href="#time-{place.pk}"' in waits
    assert reverse("place_replace", args=[place.call.pattern.slug, place.call.pk, place.pk]) in waits
    remind = address(place.call, "place_remind", place.pk)
    assert remind in waits
    before = Letter.objects.count()
    for _ in range(2):  # a second time the same day sends nothing
        as_designer.post(remind)
    assert Letter.objects.count() == before + 1
    page = as_designer.get(address(place.call)).content.decode()
    assert f"Last reminded on {written_day(days_from_now(0))}." in page, "a reminder leaves a trace"


def test_who_waits_stands_above_who_withdrew_and_free_sizes_say_what_to_do_next(as_designer, call):
    make_place(call, size="S", name="Fern Hollow", email="fern@larkmoss.example")
    gone = make_application(call, name="Aster Gone", email="gone@larkmoss.example")
    make_application(call, name="Moss Reed", email="moss@larkmoss.example")
    Application.objects.filter(pk=gone.pk).update(state="withdrawn")
    page = as_designer.get(address(call)).content.decode()
    applications = page.split('id="applications"')[1]
    assert applications.index("Moss Reed") < applications.index("Aster Gone")
    assert f'value="http://testserver{reverse("call_page", args=[call.slug])}"' in page
    assert f"{reverse('testers')}?size=S" in page
    found = as_designer.get(reverse("testers"), {"size": "S"}).content.decode()
    assert "Fern Hollow" in found
    assert "Fern Hollow" not in as_designer.get(reverse("testers"), {"size": "L"}).content.decode()


def test_the_page_of_a_call_needs_no_more_queries_for_more_people(
    as_designer, call, django_assert_max_num_queries
):
    for i, size in enumerate(["S", "S", "M", "M", "L"]):
        make_place(call, size=size, name=f"Maker {i}", email=f"maker{i}@larkmoss.example")
    as_designer.get(address(call))
    with django_assert_max_num_queries(25):
        as_designer.get(address(call))


def test_opening_hands_out_the_newest_test_version(as_designer, studio):
    call = make_call(opened=False)
    newest = make_version(call.pattern, number="0.2")
    assert send_form(as_designer, address(call), action=address(call, "call_open")).status_code == 302
    call.refresh_from_db()
    assert (call.state, call.version) == ("open", newest)


def test_a_draft_says_which_version_testers_will_get_or_that_there_is_none(as_designer, studio):
    call = make_call(version=False, opened=False)
    assert "Waits for a test version" in as_designer.get(address(call)).content.decode()
    make_version(call.pattern)
    page = as_designer.get(address(call)).content.decode()
    assert "Testers get test version 0.1 once the call is open." in page
    assert "Waits for a test version" not in page
    assert "Hand out" not in page


def test_a_call_past_its_last_day_is_not_opened(as_designer, studio):
    call = make_call(opened=False)
    TestCall.objects.update(apply_by=days_from_now(-1))
    send_form(as_designer, address(call), action=address(call, "call_open"))
    page = as_designer.get(address(call)).content.decode()
    assert "choose a later one" in page
    assert TestCall.objects.get().state == "draft"


def test_closing_and_other_dates(as_designer, call):
    as_designer.post(address(call, "call_close"))
    assert TestCall.objects.get().state == "closed"
    kept = ("apply_by", "starts_on", "midway_on", "offer_days")
    dates = {**{name: call_form()[name] for name in kept}, "grace_days": "6"}
    told = send_form(as_designer, address(call, "call_extend"), **dates, finish_by=days_from_now(90))
    changed = TestCall.objects.get()
    start, finish, midway = (getattr(call, name) for name in ("starts_on", "finish_by", "midway_on"))
    moved = changed.starts_on + (changed.finish_by - changed.starts_on) * (
        (midway - start) / (finish - start)
    )
    assert changed.midway_on == moved != midway
    page = as_designer.get(told.url).content.decode()
    assert "Midway moved with the other dates" in page
    assert f"To keep {written_day(midway)}, change the dates once more and type it at Midway." in page
    send_form(as_designer, address(call, "call_extend"), midway_on=midway.isoformat())
    assert TestCall.objects.get().midway_on == midway
    assert (changed.finish_by, changed.grace_days) == (days_from_now(90), 6)
    late = {**dates, "midway_on": days_from_now(85), "finish_by": days_from_now(90)}
    told = send_form(as_designer, address(call, "call_extend"), **late)
    assert "Midway is far from the middle" in as_designer.get(told.url).content.decode()
    page = as_designer.post(address(call, "call_extend"), {**dates, "finish_by": days_from_now(1)})
    assert "Midway must lie between" in page.content.decode()


def test_a_newer_version_is_handed_out_to_those_who_have_not_begun(as_designer, call):
    fresh = make_version(call.pattern, number="0.2")
    page = as_designer.get(address(call)).content.decode()
    assert "Hand out test version 0.2" in page
    as_designer.post(address(call, "call_version", "0.2"))
    assert TestCall.objects.get().version == fresh == latest_test_version(call.pattern)
    page = as_designer.post(address(call, "call_version", "9.9"), follow=True).content.decode()
    assert "Only a finished test version" in page


@pytest.mark.parametrize("name", ["call_open", "call_close"])
def test_looking_at_an_action_does_nothing(as_designer, call, name):
    assert as_designer.get(address(call, name)).status_code == 405


def test_an_editor_reads_a_call_but_runs_none(editor, call, client):
    client.force_login(editor)
    assert client.get(address(call)).status_code == 200
    for name in ("call_open", "call_close", "call_extend"):
        assert client.post(address(call, name)).status_code == 404
    assert "Close applications" not in client.get(address(call)).content.decode()


def test_a_tester_and_nobody_see_no_studio_page(call, client):
    client.force_login(make_person())
    for name in ("call", "call_results"):
        assert client.get(address(call, name)).status_code == 404
        assert Client().get(address(call, name)).status_code == 302


def test_a_call_under_another_patterns_address_is_not_found(as_designer, call):
    other = make_pattern(title="Sedgebank Vest")
    assert as_designer.get(reverse("call", args=[other.slug, call.pk])).status_code == 404
    assert as_designer.get(f"/desk/{call.pattern.slug}/calls/99999999999999999999/").status_code == 404


def test_a_second_call_has_an_address_of_its_own(studio):
    first = make_call()
    second = make_call(pattern=first.pattern, version=False)
    open_call(call=second)
    assert first.slug == "fernhollow-vest"
    assert second.slug == "fernhollow-vest-2"


def test_testers_are_told_which_steps_changed(as_designer, place):
    pattern = place.call.pattern
    document = vest_document()
    document["sections"][0]["steps"][1] = "Work {body_rows} rows of stocking stitch, then rest."
    load_pattern(document=document, by=None, replace=True)
    make_version(pattern, number="0.2")
    mail.outbox.clear()
    as_designer.post(address(place.call, "call_version", "0.2"))
    assert [message.to for message in mail.outbox] == [["wren@larkmoss.example"]]
    assert "- Body, step 2" in mail.outbox[0].body
    assert "Body, step 1" not in mail.outbox[0].body


def test_before_the_first_version_more_testers_need_no_more_queries(
    as_designer, studio, django_assert_max_num_queries
):
    call = make_call(version=False)
    for i in range(4):
        make_place(call, size=["S", "S", "M", "L"][i], name=f"Maker {i}", email=f"maker{i}@larkmoss.example")
    with django_assert_max_num_queries(40):
        page = as_designer.get(address(call)).content.decode()
    assert "Waits for a test version" in page


def test_the_total_of_places_counts_the_spares_that_an_empty_field_means(as_designer):
    address_new = reverse("call_new", args=[make_pattern().slug])
    sizes = {f"at_least_{i}": "4" for i in range(3)} | {f"at_most_{i}": "" for i in range(3)}
    answer = as_designer.post(address_new, call_form(**sizes, show_total="1"))
    # one spare for every three places begun: 4 are 4 and 2 spare, three times
    assert "12 places are needed; with spares there are 18 in all." in answer.content.decode()
    assert not TestCall.objects.exists()


def test_an_open_call_names_its_sizes_without_a_result(as_designer, call):
    assert "No tester’s result yet in any size." in as_designer.get(address(call)).content.decode()
    place = make_place(call, size="M")
    result = Result.objects.create(
        placement=place, call=call, version=present(latest_test_version(call.pattern)), size="M"
    )
    Entry.objects.create(result=result, part="measured", name="chest", typed={}, meant={"mm": 960.0})
    page = as_designer.get(address(call)).content.decode()
    assert "Sizes with no tester’s result yet: S, L." in page


@pytest.mark.parametrize(
    ("least", "most", "said"),
    [
        ("1", "", "1 place is needed; with spares there are 2 in all."),
        ("1", "1", "1 place is needed."),
        ("3", "", "3 places are needed; with spares there are 4 in all."),
    ],
)
def test_the_total_of_places_is_told_for_one_and_for_many(as_designer, least, most, said):
    wanted = {f"{which}_{at}": "0" for which in ("at_least", "at_most") for at in range(3)}
    wanted |= {"at_least_0": least, "at_most_0": most, "show_total": "1"}
    page = as_designer.post(reverse("call_new", args=[make_pattern().slug]), call_form(**wanted))
    assert said in page.content.decode()


@pytest.mark.parametrize(
    ("state", "word", "first"),
    [("open", "open", "Close applications first. "), ("closed", "applications closed", "")],
)
def test_a_call_has_one_word_for_its_state_and_says_what_comes_after_its_last_day(
    as_designer, place, state, word, first
):
    type(place).objects.update(accepted_at=timezone.now())
    last = timezone.localdate() - dt.timedelta(days=1)
    next_step = (
        f"The last day, {written_day(last)}, is past. {first}Remind testers who are late, or give them more "
        "time. Then look at the results and end the call."
    )
    pages = [reverse("calls", args=[place.call.pattern.slug]), address(place.call)]
    for finish_by, is_past in ((last + dt.timedelta(days=1), False), (last, True)):
        type(place.call).objects.update(state=state, finish_by=finish_by)
        for shown in pages:
            page = " ".join(as_designer.get(shown).content.decode().split())
            assert f'<span class="word">{word}</span>' in page
            assert (next_step in page) is is_past
            assert ("You can still give places" in page) is (state == "closed" and not is_past)
    type(place.call).objects.update(state="ended")
    assert "is past." not in as_designer.get(pages[0]).content.decode()


def test_the_list_of_calls_says_which_runs_and_what_is_closed(as_designer, place):
    address = reverse("calls", args=[place.call.pattern.slug])
    type(place).objects.update(accepted_at=timezone.now())
    page = " ".join(as_designer.get(address).content.decode().split())
    assert '<span class="word">open</span>' in page
    now = as_designer.get(reverse("calls_now", args=[place.call.pattern.slug]))
    assert now.url == reverse(
        "call", args=[place.call.pattern.slug, place.call.pk]
    )  # the only one, without results
    assert "1 tester at work or done. People can apply until the day below." in page
    type(place.call).objects.update(state="closed")
    closed = " ".join(as_designer.get(address).content.decode().split())
    assert "Nobody can apply any more. You can still give places, and testers go on." in closed
    type(place).objects.all().delete()
    empty = " ".join(as_designer.get(address).content.decode().split())
    assert '<span class="word">applications closed</span>' in empty


def test_a_draft_is_seen_as_its_testers_would_see_it_and_nothing_can_be_sent(as_designer, studio):
    call = make_call(opened=False)
    page = as_designer.get(address(call, "call_as_testers")).content.decode()
    assert "A plain vest." in page
    applying = page[page.index('id="apply"') :]
    assert applying.count("If you get a place") == page.count("If you get a place") == 1
    assert "Please show no pictures yet." in applying[: applying.index("<fieldset disabled")]
    assert "Needle you have" in page
    assert "hook or needle" not in page.casefold()
    finished = page.partition("Finished measurements, in centimetres")[2].partition("</table>")[0]
    figures = call_figures(call)
    widths = figures.graded.values[figures.measurements[0].name].worked / 10
    assert widths.size > 1
    assert all(f">{width:.1f}".removesuffix(".0") + "</td>" in finished for width in widths)
    told = page.partition("What you are asked once you have a place")[2]
    asked = progress.tester_progress(Placement(pk=1), call_figures(call)).things
    assert re.findall(r"<li>([^<.]+)", told) == [thing.label for thing in asked]
    form = page[page.index("<fieldset disabled") :]
    assert 'name="consent"' in form
    assert "<form" not in form[: form.index("What you are asked")]
    assert (TestCall.objects.get().state, Application.objects.count()) == ("draft", 0)
    assert as_designer.post(address(call, "call_as_testers")).status_code == 405
