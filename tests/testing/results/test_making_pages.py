import io
import re
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from testing.calls.schedule import finish_day
from testing.models import Entry, Placement, Remark, Result, ResultPhoto, TestCall
from tests.sent_forms import form_on, send_form
from tests.testing.builders import days_from_now, make_call, make_person, make_place, make_version


def address(name, place, *more):
    return reverse(name, args=[place.pk, *more])


def picture(kind="JPEG", colour="teal"):
    target = io.BytesIO()
    Image.new("RGB", (600, 400), colour).save(target, kind)
    return SimpleUploadedFile("front.jpg", target.getvalue(), content_type="image/jpeg")


def entry(part, name=""):
    return Entry.objects.get(part=part, name=name)


QUESTIONS = [
    ("making_gauge", ["main"]),
    ("making_measured", ["chest"]),
    ("making_yarn", []),
    ("making_hours", []),
    ("making_note", []),
    ("making_photo", []),
    ("making_remark", []),
]


def test_the_list_tells_progress_in_words(as_tester, place):
    page = as_tester.get(reverse("my_making")).content.decode()
    assert "Fernhollow Vest, size M" in page
    assert "0 of 7 answers sent" in page


def test_a_garment_shows_its_copy_its_things_and_the_next_question(as_tester, place):
    page = as_tester.get(address("making", place)).content.decode()
    assert "Download your test copy, version 0.1" in page
    assert "Next: Gauge: Stocking stitch" in page
    assert Result.objects.count() == 0


@pytest.mark.parametrize(("name", "more"), QUESTIONS)
def test_each_question_is_a_page_of_its_own(as_tester, place, name, more, django_assert_max_num_queries):
    with django_assert_max_num_queries(20):
        answer = as_tester.get(address(name, place, *more))
    assert answer.status_code == 200
    page = answer.content.decode()
    assert page.count("<h1>") == 1
    assert re.search(r"<div data-question>\s*<form[^>]* autocomplete=\"off\"", page)
    assert Result.objects.count() == 0


@pytest.mark.parametrize(("name", "more"), QUESTIONS)
def test_other_peoples_places_are_not_found(as_tester, place, name, more):
    other = make_place(place.call, name="Moss Reed", email="moss@larkmoss.example")
    assert as_tester.get(address(name, other, *more)).status_code == 404
    assert (
        as_tester.post(address(name, other, *more), {"hours": "1", "text": "x", "length": "9"}).status_code
        == 404
    )
    assert not Entry.objects.exists()


@pytest.mark.parametrize(("name", "more"), QUESTIONS)
def test_nobody_is_asked_to_sign_in(client, place, name, more):
    answer = client.post(address(name, place, *more))
    assert answer.status_code == 302
    assert answer.url.startswith(reverse("account_login"))


@pytest.mark.parametrize(("name", "more"), QUESTIONS)
def test_other_methods_are_refused(as_tester, place, name, more):
    assert as_tester.put(address(name, place, *more)).status_code == 405


def test_gauge_is_kept_as_typed_beside_stitches_and_rows_per_mm(as_tester, place):
    answer = as_tester.post(address("making_gauge", place, "main"), {"stitches": "19,5", "rows": "27"})
    assert answer.url == address("making_gauge", place, "rib")
    assert entry("gauge", "main").typed == {"stitches": "19,5", "rows": "27", "over": "10 cm"}
    assert entry("gauge", "main").meant == {"stitches": pytest.approx(0.195), "rows": pytest.approx(0.27)}
    place.application.refresh_from_db()
    assert place.application.state == "making"


def test_gauge_in_inches_is_counted_over_four_inches(as_tester, place):
    as_tester.post(reverse("my_units"), {"units": "in"})
    as_tester.post(address("making_gauge", place, "main"), {"stitches": "20", "rows": "28"})
    # 4 in = 101.6 mm exactly (International Yard and Pound Agreement, 1959)
    assert entry("gauge", "main").typed["over"] == "4 in"
    assert entry("gauge", "main").meant["stitches"] == pytest.approx(20 / 101.6)


def test_what_is_expected_is_hidden_until_it_was_entered(as_tester, place):
    measure = address("making_measured", place, "chest")
    assert "The pattern gives about" not in as_tester.get(measure).content.decode()
    as_tester.post(address("making_gauge", place, "main"), {"stitches": "19", "rows": "27"})
    as_tester.post(measure, {"length": "105"})
    page = " ".join(as_tester.get(measure).content.decode().split())
    # 200 stitches at 1.9 to the cm (derived)
    assert "You entered 105 cm. The pattern gives about 105.3 cm at your gauge." in page
    assert entry("measured", "chest").typed == {"length": "105", "unit": "cm"}
    assert entry("measured", "chest").meant == {"mm": 1050.0}
    assert "than expected" not in page
    as_tester.post(measure, {"length": "99.3"})
    page = " ".join(as_tester.get(measure).content.decode().split())
    assert "That is 6.0 cm less than expected. Measure once more." in page


# 200 stitches are 100 cm at 20 to 10 cm, 105.3 cm at 19 (derived). 19 is near enough to be told, 17 is not.
@pytest.mark.parametrize(
    ("stitches", "says"), [("19", "At its own gauge it says 100.0 cm."), ("20", ""), ("17", "")]
)
def test_the_patterns_own_length_is_told_beside_that_of_a_near_gauge(as_tester, place, stitches, says):
    as_tester.post(address("making_gauge", place, "main"), {"stitches": stitches, "rows": "28"})
    measure = address("making_measured", place, "chest")
    assert "own gauge" not in as_tester.get(measure).content.decode(), "nobody is told before they measured"
    as_tester.post(measure, {"length": "105"})
    as_tester.post(address("making_confirm", place, "chest"))
    page = " ".join(as_tester.get(measure).content.decode().split())
    assert re.findall(r"At its own gauge [^.]*\.[^.]*\.", page) == ([says] if says else [])


def test_without_a_gauge_the_patterns_is_used_and_said(as_tester, place):
    as_tester.post(address("making_measured", place, "chest"), {"length": "101"})
    page = as_tester.get(address("making_measured", place, "chest")).content.decode()
    assert "You have sent no gauge for Stocking stitch" in page


def test_a_likely_slip_is_asked_about_and_saved_all_the_same(as_tester, place):
    measure = address("making_measured", place, "chest")
    page = as_tester.post(measure, {"length": "50"}, follow=True).content.decode()
    assert "Did you measure it lying flat? Twice that is 100.0 cm." in page
    assert "The pattern gives" not in page
    assert entry("measured", "chest").meant == {"mm": 500.0}
    page = as_tester.post(address("making_confirm", place, "chest"), follow=True).content.decode()
    assert entry("measured", "chest").is_confirmed
    assert "lying flat" not in page
    assert "The pattern gives about" in page
    as_tester.post(measure, {"length": "39.5"})
    assert not entry("measured", "chest").is_confirmed


def test_inches_are_read_where_a_person_prefers_them(as_tester, place):
    as_tester.post(reverse("my_units"), {"units": "in"})
    page = as_tester.post(
        address("making_measured", place, "chest"), {"length": "39 3/8"}, follow=True
    ).content.decode()
    assert entry("measured", "chest").meant["mm"] == pytest.approx(39.375 * 25.4)
    assert "The pattern gives about 39¼ in" in page


@pytest.mark.parametrize(
    "sent", [{"length": "39 1/2", "asked_in": "cm"}, {"length": "39 1/2 cm", "asked_in": "in"}]
)
def test_inches_under_centimetres_are_asked_about_whatever_unit_is_set(as_tester, place, sent):
    as_tester.post(reverse("my_units"), {"units": "in"})
    measure = address("making_measured", place, "chest")
    assert as_tester.post(measure, sent).url == measure
    assert "Did you read inches?" in as_tester.get(measure).content.decode()
    assert "Look again: did you read inches?" in as_tester.get(address("making", place)).content.decode()
    as_tester.post(address("making_confirm", place, "chest"))
    assert "Look again" not in as_tester.get(address("making", place)).content.decode()


@pytest.mark.parametrize("typed", ["1e308", "-5", "x", "0", "nan", "1/0", "a\x00", "9" * 60, ""])
def test_a_bad_measurement_gets_a_sentence_and_stays_in_the_form(as_tester, place, typed):
    answer = as_tester.post(address("making_measured", place, "chest"), {"length": typed})
    assert answer.status_code == 200
    assert "is-invalid" in answer.content.decode()
    assert f'value="{typed}"' in answer.content.decode() or not typed
    assert not Entry.objects.exists()


@pytest.mark.parametrize(
    ("name", "more"),
    [("making_gauge", ["hat"]), ("making_measured", ["chest_stitches"]), ("making_confirm", ["hat"])],
)
def test_what_the_pattern_does_not_have_is_not_found(as_tester, place, name, more):
    assert as_tester.post(address(name, place, *more), {"length": "9"}).status_code == 404


def test_yarn_is_kept_for_each_colour_weighed_and_taken_back_when_emptied(as_tester, place):
    yarn = address("making_yarn", place)
    as_tester.post(yarn, {"colour_0": "312", "colour_1": "2 oz"})
    assert entry("yarn", "A").meant == {"g": 312.0}
    # 1 oz = 28.349523125 g exactly (International Yard and Pound Agreement, 1959)
    assert entry("yarn", "B").meant == {"g": pytest.approx(56.69904625)}
    as_tester.post(yarn, {"colour_0": "310 g", "colour_1": ""})
    assert list(Entry.objects.values_list("name", "typed__weight")) == [("A", "310 g")]
    assert "weigh at least one colour" in as_tester.post(yarn, {}).content.decode()


def test_hours_and_note(as_tester, place):
    as_tester.post(address("making_hours", place), {"hours": "42.5"})
    assert entry("hours").meant == {"hours": 42.5}
    assert 'value="42.5"' in as_tester.get(address("making_hours", place)).content.decode()
    assert as_tester.post(address("making_note", place), {"text": "Wears well."}).status_code == 302
    assert Entry.objects.get(part="note").typed == {"text": "Wears well."}


def test_a_photo_is_cleaned_kept_and_seen_by_its_maker_and_the_studio_alone(
    as_tester, place, designer, client
):
    answer = as_tester.post(address("making_photo", place), {"photo": picture(), "alt": "The front"})
    assert answer.status_code == 302
    photo = ResultPhoto.objects.get()
    file = photo.files[0]
    where = reverse("result_photo", args=[photo.pk, file["width_px"], file["format"]])
    shown = as_tester.get(where)
    assert shown["Content-Type"] in ("image/jpeg", "image/webp")
    assert b"".join(shown.streaming_content)
    assert 'alt="The front"' in as_tester.get(address("making", place)).content.decode()
    assert as_tester.get(reverse("result_photo", args=[photo.pk, 7, "jpg"])).status_code == 404
    client.force_login(designer)
    assert b"".join(client.get(where).streaming_content)
    client.force_login(make_person("other@larkmoss.example"))
    assert client.get(where).status_code == 404
    client.logout()
    assert client.get(where).status_code == 302


@pytest.mark.parametrize("content", [b"", b"not a picture", b"\xff\xd8\xff\xe0broken"])
def test_what_is_no_picture_is_refused_with_a_sentence(as_tester, place, content):
    upload = SimpleUploadedFile("x.jpg", content)
    page = as_tester.post(address("making_photo", place), {"photo": upload, "alt": "The front"})
    assert page.status_code == 200
    assert "invalid-feedback" in page.content.decode()
    assert 'value="The front"' in page.content.decode()
    assert not ResultPhoto.objects.exists()


def test_a_remark_is_anchored_to_a_step_of_the_version(as_tester, place):
    remark = address("making_remark", place)
    as_tester.post(remark, {"place": "sections[0].steps[1]", "text": "Row 7, size M: I end with 38, not 40."})
    stored = Remark.objects.get()
    assert (stored.place, stored.result.version.number) == ("sections[0].steps[1]", "0.1")
    page = as_tester.post(remark, {"place": "sections[9].steps[0]", "text": "Kept words"})
    assert "Select a valid choice" in page.content.decode()
    assert "Kept words" in page.content.decode()


def test_the_page_of_a_photo_says_that_another_is_added_and_where_one_is_replaced(as_tester, place):
    page = as_tester.get(address("making_photo", place)).content.decode()
    assert "It is added to those that you sent before." in page
    for alt, colour in (("The front", "teal"), ("The back", "navy")):
        as_tester.post(address("making_photo", place), {"photo": picture(colour=colour), "alt": alt})
    assert [photo.alt for photo in ResultPhoto.objects.order_by("pk")] == ["The front", "The back"]
    garment = as_tester.get(address("making", place)).content.decode()
    assert garment.count("Change or delete") == 2
    assert "Midway, about half done: " in garment


def test_done_thanks_and_says_what_is_missing(as_tester, place):
    as_tester.post(address("making_hours", place), {"hours": "40"})
    asked = as_tester.get(address("making_done", place)).content.decode()
    assert "Are you done?" in asked
    assert "Yarn used" in asked
    assert re.findall(r'class="btn btn-primary" href="([^"]+)">Send the next', asked) == [
        address("making_gauge", place, "main")
    ]
    assert f'href="{address("making_time", place)}">Ask for more time' in asked
    assert '<button class="btn btn-outline-primary">I am done all the same</button>' in asked
    assert '<button class="btn btn-primary"' not in asked
    assert Result.objects.get().done_at is None
    assert address("making_done", place) in as_tester.get(address("making", place)).content.decode()
    page = as_tester.post(address("making_done", place), follow=True).content.decode()
    assert "Thank you" in page
    assert "1 of 7 answers sent" in page
    assert "Yarn used" in page
    place.application.refresh_from_db()
    assert place.application.state == "finished"
    as_tester.post(address("making_not_done", place))
    place.application.refresh_from_db()
    assert (place.application.state, Result.objects.get().done_at) == ("making", None)


def test_everything_sent_leaves_nothing_missing(as_tester, place):
    for fabric in ("main", "rib"):
        as_tester.post(address("making_gauge", place, fabric), {"stitches": "20", "rows": "28"})
    for name in ("chest", "body_length"):
        as_tester.post(address("making_measured", place, name), {"length": "100"})
    as_tester.post(address("making_yarn", place), {"colour_0": "312"})
    as_tester.post(address("making_photo", place), {"photo": picture(), "alt": "The front"})
    answer = as_tester.post(address("making_hours", place), {"hours": "40"})
    assert answer.url == address("making", place)
    asked = as_tester.get(address("making_done", place)).content.decode()
    assert '<button class="btn btn-primary">Yes, I am done</button>' in asked
    assert "Ask for more time" not in asked
    as_tester.post(address("making_done", place))
    page = as_tester.get(address("making_thanks", place)).content.decode()
    assert "7 of 7 answers sent" in page
    assert "Everything has arrived." in page


def test_the_test_copy_is_the_testers_own(as_tester, place, monkeypatch):
    asked = {}

    def copy(**options):
        asked.update(options)
        return b"%PDF-1.7 copy"

    monkeypatch.setattr("testing.results.making_views.make_test_copy", copy)
    answer = as_tester.get(reverse("test_copy", args=[place.pk]))
    assert answer["Content-Type"] == "application/pdf"
    assert "no-store" in answer["Cache-Control"]
    assert "fernhollow-vest-01-m-test-copy.pdf" in answer["Content-Disposition"]
    assert (asked["version"].number, asked["size"], asked["name"]) == ("0.1", "M", "Wren Alder")
    other = make_place(place.call, name="Moss Reed", email="moss@larkmoss.example")
    assert as_tester.get(reverse("test_copy", args=[other.pk])).status_code == 404


def test_before_the_first_version_the_page_says_so(client, studio):
    place = make_place(make_call(version=False))
    client.force_login(place.person)
    assert "Your test copy is not ready yet." in client.get(address("making", place)).content.decode()
    assert client.get(reverse("test_copy", args=[place.pk])).status_code == 404
    assert client.get(address("making_hours", place)).status_code == 404


def test_a_result_begun_keeps_its_version_until_the_tester_takes_the_new_one(as_tester, place):
    as_tester.post(address("making_hours", place), {"hours": "40"})
    fresh = make_version(place.call.pattern, number="0.2")
    TestCall.objects.update(version=fresh)
    page = as_tester.get(address("making", place)).content.decode()
    assert "Test version 0.2 is out." in page
    assert "version 0.1 (PDF)" in page
    send_form(as_tester, address("making", place), action=address("making_version", place))
    assert Result.objects.get().version == fresh


def test_giving_the_place_back(as_tester, place):
    asked = address("making_withdraw", place)
    send_form(as_tester, asked, action=asked)
    place = Placement.objects.get()
    assert place.ended_at
    assert as_tester.get(address("making", place)).status_code == 404
    assert "You have no place in a test call now." in as_tester.get(reverse("my_making")).content.decode()


def test_late_is_said_kindly(as_tester, place):
    TestCall.objects.update(finish_by=days_from_now(-2), midway_on=days_from_now(-20))
    assert "within the 3 days of grace" in as_tester.get(address("making", place)).content.decode()
    leave = as_tester.get(address("making_withdraw", place)).content.decode()
    assert "You need not give the place back" in leave
    assert "btn-outline-danger" not in leave


def test_the_real_test_copy_has_the_testers_name_on_each_page(as_tester, place):
    content = as_tester.get(reverse("test_copy", args=[place.pk])).content
    pages = PdfReader(io.BytesIO(content)).pages
    assert len(pages) >= 1
    assert all("Wren Alder" in page.extract_text() for page in pages)
    # Size M has 200 stitches, size S 180 (the pattern's own list)
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "Cast on 200 sts" in text
    assert "Cast on 180" not in text


def test_the_same_remark_or_photo_sent_again_is_kept_once(as_tester, place):
    for _ in range(2):
        as_tester.post(
            address("making_remark", place), {"place": "sections[0].steps[1]", "text": "38, not 40."}
        )
        photo = {"photo": picture(), "alt": "The front", "remark": "The edge curls."}
        as_tester.post(address("making_photo", place), photo)
    as_tester.post(address("making_remark", place), {"place": "sections[0].steps[0]", "text": "38, not 40."})
    assert Remark.objects.count() == 2
    assert ResultPhoto.objects.count() == 1
    assert Entry.objects.get(part="note").typed == {"text": "Photo “The front”: The edge curls."}


def test_who_is_done_reads_what_would_still_be_welcome(as_tester, place):
    as_tester.post(address("making_hours", place), {"hours": "40"})
    as_tester.post(address("making_done", place))
    page = as_tester.get(address("making", place)).content.decode()
    assert (
        "You said you are done, thank you. 1 of 7 answers sent. Still welcome: Gauge: Stocking stitch" in page
    )
    assert "to send</span>" not in page
    assert "Give my place back" not in page


def test_the_script_that_keeps_questions_is_a_script_for_everybody(client, studio):
    answer = client.get(reverse("making_worker"))
    assert answer["Content-Type"].startswith("text/javascript")
    assert '.startsWith("/static/")' in answer.content.decode()


def test_what_was_typed_is_echoed_as_it_was_typed(as_tester, place):
    answer = send_form(as_tester, address("making_measured", place, "chest"), length="40 3/8 in")
    told = f"{address('making_measured', place, 'body_length')}?after=chest"
    assert answer.url == told, "the next question is led to at once, and tells what was measured"
    page = " ".join(as_tester.get(told).content.decode().split())
    assert "</a>: you entered 40 3/8 in. The pattern gives about" in page


def test_units_are_switched_on_the_question_and_what_was_sent_keeps_its_meaning(as_tester, place):
    question = address("making_measured", place, "chest")
    page = as_tester.get(question).content.decode()
    assert 'inputmode="decimal"' in page
    send_form(as_tester, question, page=page, length="103")
    answer = send_form(as_tester, question, action=reverse("my_units"))
    assert answer.url == question
    page = as_tester.get(question).content.decode()
    assert "I measure in centimetres" in page
    assert "You entered 103 cm." in page
    assert form_on(page, "")["length"] == ["103 cm"]
    assert 'inputmode="text"' in page  # “18 1/2” needs a space and a stroke


def test_a_gauge_stands_over_the_square_that_is_asked_about(as_tester, place):
    question = address("making_gauge", place, "main")
    send_form(as_tester, question, stitches="20", rows="28")
    send_form(as_tester, question, action=reverse("my_units"))
    page = as_tester.get(question).content.decode()
    assert "Stitches over 4 in" in page
    # 4 in are 101.6 mm: 20 × 1.016 = 20.32 stitches, 28 × 1.016 = 28.448 rows
    assert (form_on(page, "")["stitches"], form_on(page, "")["rows"]) == (["20.3"], ["28.4"])


@pytest.mark.parametrize(
    "back", ["https://elsewhere.example/", "//elsewhere.example", "/making/../desk/", "x"]
)
def test_the_switch_leads_back_to_a_testers_page_only(as_tester, back):
    answer = as_tester.post(reverse("my_units"), {"units": "in", "back": back})
    assert answer.url == reverse("my_data")


def test_thanks_are_for_who_is_done(as_tester, place):
    assert as_tester.get(address("making_thanks", place)).url == address("making", place)


@pytest.mark.parametrize("until", ["9999-12-31", None])
def test_more_time_is_a_year_at_most(as_tester, place, until):
    last = finish_day(place)
    asked = until or (last + timedelta(days=366)).isoformat()
    page = as_tester.post(address("making_time", place), {"until": asked}).content.decode()
    latest = last + timedelta(days=365)
    assert f"Choose a day until {latest.day} {latest:%B %Y}: that is a year more." in page
    assert asked in page
    assert as_tester.post(address("making_time", place), {"until": latest.isoformat()}).status_code == 302


def test_what_a_form_refuses_is_said_in_our_words(as_tester, place):
    page = as_tester.post(address("making_note", place), {"text": "x" * 4_001}).content.decode()
    assert "Please shorten this: at most 4000 characters fit, and it has 4001." in page
    empty = {"photo": SimpleUploadedFile("front.jpg", b""), "alt": "y" * 301}
    page = as_tester.post(address("making_photo", place), empty).content.decode()
    assert "The file is empty: choose the picture again." in page
    assert "at most 300 characters fit, and it has 301." in page
    assert "Ensure this value" not in page
