"""What the choices of one maker leave out is told nowhere: pieces, measurements, colours and choices."""

import pytest

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import edition_context, graded_as_frozen
from grading.core.pattern.wordings import WIDE_WORDING
from tests.catalogue.builders import make_pattern, make_record

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]

SLEEVE = {"Sleeve seam", "Sleeve width at the top", "Sleeve width at the wrist"}


def context_of(name, size, options, wording=None):
    """What an edition of one size prints, with these options."""
    record = make_record(make_pattern(name), kind="release", number="1.0")
    if wording is not None:
        record = {**record, "wording": wording}
    choices = {**home_choices(record), "sizes": size, "options": options}
    return edition_context(record=record, graded=graded_as_frozen(record), choices=choices)


def labels_of(context):
    """The finished measurements that are told, and those in the drawing of the garment."""
    drawn = {line.label for line in context["garment"].key}
    return {label for label, _ in context["how_to_measure"]}, drawn


def test_a_garment_without_sleeves_has_none_drawn_and_none_measured():
    told, drawn = labels_of(context_of("brackenmere_pullover", "4X", "sleeves=none"))
    assert not SLEEVE & (told | drawn)
    assert {"Chest", "Neck width", "Armhole depth", "Length from shoulder"} == told == drawn


def test_a_garment_with_sleeves_keeps_their_measurements():
    """All are told; drawn are those whose length has room in the drawing of this size."""
    told, drawn = labels_of(context_of("brackenmere_pullover", "4X", "sleeves=long"))
    assert told >= SLEEVE
    assert SLEEVE & drawn == SLEEVE - {"Sleeve width at the top"}


def test_what_was_frozen_in_the_second_wording_goes_on_telling_them():
    told, drawn = labels_of(context_of("brackenmere_pullover", "4X", "sleeves=none", WIDE_WORDING))
    assert told >= SLEEVE <= drawn


@pytest.mark.parametrize(("colours", "letters"), [("solid", "A"), ("striped", "ABC")])
def test_yarns_that_the_choices_do_not_take_are_not_listed(colours, letters):
    context = context_of("thistledrift_waistcoat", "M", f"colours={colours};pockets=no")
    assert "".join(letter for letter, _ in context["yarns"]) == letters


@pytest.mark.parametrize(
    ("size", "told"), [("2y", ""), ("4y", "with buttons and ties"), ("12y", "with buttons and ties")]
)
def test_a_choice_that_changes_nothing_in_a_size_is_not_told(size, told):
    assert context_of("puffinbay_child", size, "fastening=buttons and ties")["for_choices"] == told
