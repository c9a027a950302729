"""Two phones, one garment: nothing is replaced unseen, and each entry keeps its earlier readings."""

import json

import pytest
from django.urls import reverse

from testing.models import EarlierEntry, Entry, Result
from testing.privacy.erasing import erase_person
from testing.privacy.privacy import held_about
from testing.results.results import save_entry
from tests.sent_forms import send_form


def address(name, place, *more):
    return reverse(name, args=[place.pk, *more])


def typed(part):
    return [entry.typed for entry in Entry.objects.filter(part=part)]


def test_notes_are_added_and_dated_and_never_replaced(as_tester, place):
    for text in ("It grows in the wash.", "The neck is wide.", "The neck is wide."):
        as_tester.post(address("making_note", place), {"text": text})
    assert typed("note") == [{"text": "It grows in the wash."}, {"text": "The neck is wide."}]
    page = as_tester.get(address("making_note", place)).content.decode()
    day = Entry.objects.filter(part="note")[0].changed_at
    assert f"{day.day} {day:%B %Y}" in page
    assert "The neck is wide." in page
    assert "<textarea" in page
    assert "The neck is wide.</textarea>" not in page


ANSWERS: list[tuple[str, list[str], str, dict[str, str], dict[str, str], str]] = [
    ("making_measured", ["chest"], "measured", {"length": "92"}, {"length": "93"}, "<ins>92 cm</ins>"),
    (
        "making_gauge",
        ["main"],
        "gauge",
        {"stitches": "20", "rows": "28"},
        {"stitches": "21", "rows": "28"},
        "<ins>20 stitches and 28 rows over 10 cm</ins>",
    ),
    ("making_yarn", [], "yarn", {"colour_0": "312"}, {"colour_0": "300"}, "<ins>312 g</ins>"),
    ("making_hours", [], "hours", {"hours": "40"}, {"hours": "50"}, "<ins>40</ins>"),
    ("making_tool", [], "tool", {"text": "4 mm"}, {"text": "5 mm"}, "<ins>4 mm</ins>"),
    ("making_fit", [], "fit", {"bust": "right"}, {"bust": "tight"}, "<ins>right</ins>"),
]


@pytest.mark.parametrize(("name", "more", "part", "other", "own", "said"), ANSWERS)
def test_an_answer_from_another_phone_is_shown_before_it_is_replaced(
    as_tester, place, name, more, part, other, own, said
):
    where = address(name, place, *more)
    opened = as_tester.get(where).content.decode()
    send_form(as_tester, where, **other)
    kept = typed(part)
    answer = send_form(as_tester, where, page=opened, **own)
    shown = answer.content.decode()
    assert answer.status_code == 409
    assert said in shown
    assert typed(part) == kept
    assert send_form(as_tester, where, page=shown, **own).status_code == 302
    assert typed(part) != kept
    earlier = EarlierEntry.objects.get()
    assert [earlier.typed] == kept


def test_the_same_answer_sent_again_is_no_other_one(as_tester, place):
    where = address("making_hours", place)
    opened = as_tester.get(where).content.decode()
    for _ in range(2):
        assert send_form(as_tester, where, page=opened, hours="40").status_code == 302
    assert not EarlierEntry.objects.exists()


def test_what_was_sent_before_stands_at_its_question(as_tester, place):
    where = address("making_measured", place, "chest")
    for length in ("92", "93"):
        send_form(as_tester, where, length=length)
    page = as_tester.get(where).content.decode()
    assert "<del>92 cm</del>" in page
    assert "93 cm" in page


def test_what_is_taken_back_is_kept_among_the_earlier_ones(as_tester, place):
    where = address("making_tool", place)
    send_form(as_tester, where, text="4 mm")
    send_form(as_tester, where, text="")
    assert not Entry.objects.exists()
    assert EarlierEntry.objects.get().typed == {"text": "4 mm"}


def test_the_studio_sees_the_earlier_readings_of_a_garment(as_designer, place):
    for length in ("92", "93"):
        typed, meant = {"length": length, "unit": "cm"}, {"mm": float(length) * 10}
        save_entry(placement=place, part="measured", name="chest", typed=typed, meant=meant)
    where = reverse("call_garment", args=[place.call.pattern.slug, place.call.pk, Result.objects.get().pk])
    page = as_designer.get(where).content.decode()
    assert page.index("92 cm") < page.index("replaced or taken back on") < page.index("93 cm")


def test_earlier_readings_are_given_out_and_erased(place):
    for hours in (40, 50):
        save_entry(
            placement=place, part="hours", name="", typed={"hours": str(hours)}, meant={"hours": hours}
        )
    (result,) = held_about(place.person)["results"]
    assert [one["as_typed"] for one in result["earlier_entries"]] == [{"hours": "40"}]
    assert json.dumps(result)
    erase_person(person=place.person)
    assert not EarlierEntry.objects.exists()
    assert Entry.objects.get().typed == {"hours": "50"}
