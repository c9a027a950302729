"""A tester's own notes stand on the page of the garment, where they are changed and deleted."""

import pytest
from django.urls import reverse

from testing.models import EarlierEntry, Entry
from testing.results.notes import change_note, delete_note, save_note
from testing.results.results import finish_result, save_entry
from tests.sent_forms import send_form
from tests.testing.builders import make_place


def address(name, place, *more):
    return reverse(name, args=[place.pk, *more])


def notes():
    return [entry.typed["text"] for entry in Entry.objects.filter(part="note")]


def test_a_note_that_was_sent_is_changed_also_when_everything_is_sent(as_tester, place):
    note = save_note(placement=place, text="It grows in the wash.")
    finish_result(placement=place)
    page = as_tester.get(address("making", place)).content.decode()
    where = address("making_note_change", place, note.pk)
    assert "Your notes" in page
    assert "It grows in the wash." in page
    assert where in page
    assert ">\nIt grows in the wash.</textarea>" in as_tester.get(where).content.decode()
    send_form(as_tester, where, text="It keeps its size.")
    assert notes() == ["It keeps its size."]
    said = as_tester.get(address("making_note", place)).content.decode()
    assert "It grows in the wash." in said, "what it said before is shown"


def test_a_note_is_deleted_with_what_it_said_before(as_tester, place):
    note = save_note(placement=place, text="One")
    save_note(placement=place, text="Other")
    change_note(note=note, text="Two")
    assert (
        "This can’t be undone"
        in as_tester.get(address("making_note_change", place, note.pk)).content.decode()
    )
    page = as_tester.post(address("making_note_delete", place, note.pk), follow=True).content.decode()
    assert "The note is deleted." in page
    assert notes() == ["Other"]
    assert not EarlierEntry.objects.exists()
    assert as_tester.post(address("making_note_delete", place, note.pk)).status_code == 302


def test_the_first_words_can_be_sent_again_as_another_note(place):
    note = save_note(placement=place, text="One")
    change_note(note=note, text="Two")
    save_note(placement=place, text="One")
    assert sorted(notes()) == ["One", "Two"]


def test_two_notes_that_come_to_say_the_same_are_one(place):
    note = save_note(placement=place, text="One")
    kept = save_note(placement=place, text="Two")
    change_note(note=note, text="Two")
    assert notes() == ["Two"]
    delete_note(note=kept)
    assert not EarlierEntry.objects.exists()


def test_a_note_changed_to_what_it_says_keeps_its_day(place):
    note = save_note(placement=place, text="One")
    before = Entry.objects.get().changed_at
    change_note(note=note, text="One")
    assert Entry.objects.get().changed_at == before


@pytest.mark.parametrize("text", ["", "x" * 4_001])
def test_a_note_that_cannot_be_kept_is_told_and_stays_as_it_was(as_tester, place, text):
    note = save_note(placement=place, text="One")
    answer = as_tester.post(address("making_note_change", place, note.pk), {"text": text})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "invalid-feedback" in page
    assert notes() == ["One"]
    assert text in page


def test_neither_a_note_of_others_nor_an_answer_that_is_none_is_found(as_tester, place):
    other = make_place(place.call, email="moss@larkmoss.example")
    theirs = save_note(placement=other, text="Theirs")
    hours = save_entry(placement=place, part="hours", name="", typed={"hours": "3"}, meant={"hours": 3.0})
    for pk in (theirs.pk, hours.pk, 10**9):
        assert as_tester.get(address("making_note_change", place, pk)).status_code == 404
        as_tester.post(address("making_note_delete", place, pk))
    assert Entry.objects.count() == 2
