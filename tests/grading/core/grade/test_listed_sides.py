"""Parts in twos that one row names, bands that go up and down, and sides of rounds."""

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value


def said(*steps, craft="knitting", **more):
    sections = more.pop("sections", [{"title": "Yoke", "steps": list(steps)}])
    rows = value("plain_rows", kind="rows", list=[20, 22, 24])
    pattern = read_pattern(pattern_file(rows, craft=craft, sections=sections, **more))
    ours = ("named twice", "along twice", "rounds that are not turned", "After as many rows")
    return [one.says for one in grade(pattern).findings if any(words in one.says for words in ours)]


def test_a_sleeve_that_is_named_twice_in_a_row_is_found():
    (says,) = said("K20 (back), k8 (right sleeve), k20 (front), k8 (right sleeve).")
    assert says == "The right sleeve is named twice in this row, and the left one never: change one of them."


def test_a_band_up_and_down_the_same_front_is_found():
    (says,) = said(
        "Work 50 sc up the left front, 20 sc along the neck and 50 sc down the left front.", craft="crochet"
    )
    assert says == "The left front is worked along twice, and the right one never: change one of them."


def test_a_side_of_rounds_that_are_not_turned_is_found():
    (says,) = said("Decrease on every wrong-side round.")
    assert says == "“wrong-side round”: rounds that are not turned show one side alone. Leave the side out."
    assert said("Turn after each round. Decrease on every wrong-side round.") == []


@pytest.mark.parametrize(
    "step",
    [
        "K20 (back), k8 (left sleeve), k20 (front), k8 (right sleeve).",
        "Pick up 50 sts up the right front, 20 sts along the neck and 50 sts down the left front.",
        "Slip 8 sts (left sleeve). Work to the end. Slip them back (left sleeve).",
        "Knit every round.",
    ],
)
def test_sides_that_are_both_named_are_not_found(step):
    assert said(step) == []


FACES = "The side that faces you in the next row is the"


@pytest.mark.parametrize(("second", "is_found"), [("right", False), ("wrong", True)])
def test_two_fronts_of_as_many_rows_show_the_same_side(second, is_found):
    sections = [
        {"title": "Left front", "steps": [f"Work {{plain_rows}} rows. {FACES} right side."]},
        {
            "title": "Right front",
            "steps": [f"Work as the left front for {{plain_rows}} rows. {FACES} {second} side."],
        },
    ]
    says = "After as many rows the left front shows the right side in the next row, and here the words"
    assert any(one.startswith(says) for one in said(sections=sections)) is is_found
