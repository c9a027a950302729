"""More about the garment: questions that may be left out, and what becomes of the answers."""

import re

import pytest
from django.urls import reverse

from testing.calls.consent import written_day
from testing.models import Entry, Result
from tests.testing.builders import make_call, make_pattern, make_place

OPTIONS = [{"name": "neck", "label": "Neck", "choices": ["round", "deep"], "default": "round"}]
QUESTIONS = [
    ("making_more", []),
    ("making_garment_gauge", ["main"]),
    ("making_worked", []),
    ("making_altered", []),
    ("making_options", []),
    ("making_metres", []),
    ("making_fit", []),
    ("making_tool", []),
    ("making_photo_uses", []),
]
FORMS = QUESTIONS[1:]


@pytest.fixture
def call(studio):
    return make_call(pattern=make_pattern(options=OPTIONS))


def address(name, place, *more):
    return reverse(name, args=[place.pk, *more])


def told(part):
    return {entry.name: entry.meant for entry in Entry.objects.filter(part=part)}


@pytest.mark.parametrize(("name", "more"), QUESTIONS)
def test_each_question_is_a_page_of_its_own(as_tester, place, name, more, django_assert_max_num_queries):
    with django_assert_max_num_queries(20):
        answer = as_tester.get(address(name, place, *more))
    assert answer.status_code == 200
    page = answer.content.decode()
    assert page.count("<h1>") == 1
    is_kept = re.search(r"<div data-question>\s*<form[^>]* autocomplete=\"off\"", page)
    assert bool(is_kept) is (name != "making_more")
    assert not Result.objects.exists()


@pytest.mark.parametrize(("name", "more"), FORMS)
def test_other_peoples_places_are_not_found(as_tester, place, name, more):
    other = make_place(place.call, name="Moss Reed", email="moss@larkmoss.example")
    assert as_tester.get(address(name, other, *more)).status_code == 404
    assert as_tester.post(address(name, other, *more), {"text": "x", "bust": "right"}).status_code == 404
    assert not Entry.objects.exists()


@pytest.mark.parametrize(("name", "more"), FORMS)
def test_other_methods_are_refused(as_tester, place, name, more):
    assert as_tester.put(address(name, place, *more)).status_code == 405


def test_they_are_offered_and_never_missing(as_tester, place):
    page = as_tester.get(address("making", place)).content.decode()
    assert address("making_more", place) in page
    as_tester.post(address("making_tool", place), {"text": "4 mm"})
    assert "0 of 7 answers sent" in as_tester.get(address("making", place)).content.decode()
    listed = as_tester.get(address("making_more", place)).content.decode()
    assert listed.count(">sent<") == 1
    assert "Next: Gauge in the garment: Stocking stitch" in listed


def test_a_question_leads_to_the_next_and_the_last_back_to_the_list(as_tester, place):
    told = f"erased on {written_day(place.call.erase_on)} at the latest"
    assert told in as_tester.get(address("making_fit", place)).content.decode()
    answer = as_tester.post(address("making_fit", place), {"bust": "right", "on": "me"})
    assert answer.url == address("making_tool", place)
    Entry.objects.all().delete()
    for name, sent in (
        ("making_garment_gauge", {"stitches": "20", "rows": "28"}),
        ("making_altered", {"altered_0": "on"}),
        ("making_options", {"option_0": "deep"}),
        ("making_metres", {"colour_0": "230"}),
        ("making_fit", {"bust": "right"}),
        ("making_tool", {"text": "4 mm"}),
    ):
        as_tester.post(address(name, place, *(["main"] if "gauge" in name else [])), sent)
    as_tester.post(address("making_garment_gauge", place, "rib"), {"stitches": "22", "rows": "30"})
    as_tester.post(address("making_worked", place), {"count": "rib_rows", "number": "18"})
    agreed = as_tester.post(address("making_photo_uses", place), {"page": "on", "age": "adult"})
    assert agreed.url == address("making_more", place)


def test_gauge_in_the_garment_stands_beside_that_of_the_swatch(as_tester, place):
    as_tester.post(address("making_gauge", place, "main"), {"stitches": "20", "rows": "28"})
    as_tester.post(address("making_garment_gauge", place, "main"), {"stitches": "19", "rows": "27"})
    assert told("gauge")["main"]["stitches"] == pytest.approx(0.20)
    assert told("garment_gauge")["main"]["stitches"] == pytest.approx(0.19)
    page = as_tester.get(address("making_garment_gauge", place, "main")).content.decode()
    assert 'value="19"' in page
    assert as_tester.get(address("making_garment_gauge", place, "hat")).status_code == 404


def test_a_count_is_chosen_by_its_label_and_can_be_taken_back(as_tester, place):
    worked = address("making_worked", place)
    page = as_tester.get(worked).content.decode()
    # the list of the pattern file, size M
    assert "Body, stitches: the pattern says 200" in page
    assert as_tester.post(worked, {"count": "chest_stitches", "number": "198"}).url == worked
    as_tester.post(worked, {"count": "rib_rows", "number": "18"})
    assert told("worked") == {"chest_stitches": {"count": 198.0}, "rib_rows": {"count": 18.0}}
    assert "Body, stitches: 198 in place of 200" in " ".join(as_tester.get(worked).content.decode().split())
    as_tester.post(worked, {"count": "rib_rows", "number": ""})
    assert set(told("worked")) == {"chest_stitches"}
    as_tester.post(worked, {"count": "chest_stitches", "number": "196"})
    said = as_tester.get(worked).content.decode()
    assert re.search(r"Body, stitches:\s+196 in place of 200\s+<p[^>]*>\s+<del>198</del>, sent on \d", said)
    assert re.search(r"Rib, rows: \d+, as in the pattern\s+<p[^>]*>\s+<del>18</del>, sent on \d", said)


@pytest.mark.parametrize("number", ["19.5", "-3", "0", "x", "200 sts", "1e9", "9" * 30, "nan"])
def test_a_bad_count_gets_a_sentence_and_stays(as_tester, place, number):
    answer = as_tester.post(address("making_worked", place), {"count": "chest_stitches", "number": number})
    assert answer.status_code == 200
    page = answer.content.decode()
    assert "is-invalid" in page
    assert f'value="{number}"' in page
    assert not Entry.objects.exists()


@pytest.mark.parametrize(
    ("name", "sent"),
    [
        ("making_worked", {"count": "chest", "number": "3"}),
        ("making_options", {"option_0": "square"}),
        ("making_fit", {"bust": "vast"}),
        ("making_fit", {"bust": "right", "on": "nobody"}),
        ("making_metres", {"colour_0": "230 miles"}),
        ("making_metres", {"colour_0": "99999"}),
        ("making_tool", {"text": "4\x00mm"}),
        ("making_tool", {"text": "x" * 81}),
        ("making_photo_uses", {"page": "on"}),
        ("making_photo_uses", {"page": "on", "age": "minor"}),
        ("making_photo_uses", {"page": "on", "age": "adult", "until": "2001-01-01"}),
        ("making_photo_uses", {"page": "on", "age": "adult", "until": "soon"}),
        ("making_photo_uses", {"page": "on", "age": "adult", "credit": "a\nb"}),
    ],
)
def test_what_does_not_fit_is_refused_with_a_sentence(as_tester, place, name, sent):
    answer = as_tester.post(address(name, place), sent)
    assert answer.status_code == 200
    assert "invalid-feedback" in answer.content.decode()
    assert not Entry.objects.exists()


def test_altered_measurements_are_ticked_and_unticked(as_tester, place):
    altered = address("making_altered", place)
    as_tester.post(altered, {"altered_1": "on"})
    assert set(told("altered")) == {"body_length"}
    page = as_tester.get(altered).content.decode()
    assert page.count("checked") == 1
    as_tester.post(altered, {})
    assert not told("altered")


def test_options_are_chosen_where_the_pattern_offers_them(as_tester, place):
    as_tester.post(address("making_options", place), {"option_0": "deep"})
    assert told("option") == {"neck": {"choice": "deep"}}
    page = as_tester.get(address("making_options", place)).content.decode()
    assert '<option value="deep" selected' in page


def test_a_pattern_without_options_asks_for_none(client, studio):
    place = make_place(make_call())
    client.force_login(place.person)
    assert client.get(address("making_options", place)).status_code == 404
    assert "Options" not in client.get(address("making_more", place)).content.decode()


def test_own_yarn_is_told_in_metres_or_yards(as_tester, place):
    as_tester.post(address("making_metres", place), {"colour_0": "230", "colour_1": "250 yd"})
    # 1 yd = 0.9144 m exactly (International Yard and Pound Agreement, 1959)
    assert told("metres") == {"A": {"m": 230.0}, "B": {"m": pytest.approx(228.6)}}
    as_tester.post(reverse("my_units"), {"units": "in"})
    as_tester.post(address("making_metres", place), {"colour_0": "250", "colour_1": ""})
    assert told("metres") == {"A": {"m": pytest.approx(228.6)}}


def test_who_wears_it_is_kept_with_each_area(as_tester, place):
    as_tester.post(address("making_fit", place), {"bust": "loose", "length": "tight", "on": "other"})
    page = as_tester.get(address("making_fit", place)).content.decode()
    assert '<option value="other" selected' in page
    assert told("fit") == {
        "bust": {"fit": "loose", "on": "other"},
        "length": {"fit": "tight", "on": "other"},
    }


def test_fit_by_area_is_tallied_by_size_for_the_studio_alone(client, designer, call):
    sent = [
        ("M", {"bust": "tight", "length": "loose", "on": "me"}),
        ("M", {"bust": "right", "on": "other"}),
        ("L", {"bust": "tight"}),
    ]
    for number, (size, answers) in enumerate(sent):
        place = make_place(call, size=size, name=f"Maker {number}", email=f"maker{number}@larkmoss.example")
        client.force_login(place.person)
        client.post(address("making_fit", place), answers)
    results = reverse("call_results", args=[call.pattern.slug, call.pk])
    assert client.get(results).status_code == 404
    client.force_login(designer)
    table = client.get(results).content.decode().split('id="fit"')[1].split("</table>")[0]
    assert "What 3 testers said" in table
    assert "1 of them made it for somebody else" in table
    rows = [[cell.split("<")[0] for cell in row.split("<td>")[1:]] for row in table.split("<tr>")[2:]]
    assert rows == [
        ["no answer", "1 too tight, 1 right", "1 too tight"],
        ["no answer", "1 too long", "no answer"],
    ]
