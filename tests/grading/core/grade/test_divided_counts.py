"""Stitches that are told by their parts add up in every size."""

import pytest

from tests.grading.core.sheets import graded, value


def noticed(step, sleeve="18 cm * main.stitches"):
    of = graded(
        value("all", "bust * main.stitches", kind="stitches"),
        value("body", "30 % * bust * main.stitches", kind="stitches"),
        value("sleeve", sleeve, kind="stitches"),
        sections=[{"title": "Yoke", "steps": [step]}],
    )
    return [(one.size, one.says) for one in of.findings if "The parts make" in one.says]


def test_parts_that_miss_the_whole_are_noticed_in_the_first_size():
    says = "The parts make 2 × 48 + 2 × 36 = 168 sts, and 160 are told: change one of the numbers."
    assert noticed(
        "There are {all} sts: {body} for the back and for the front, {sleeve} for each sleeve."
    ) == [("S", says)]


@pytest.mark.parametrize(
    "step",
    [
        "There are 100 sts: 30 for the back and for the front, 20 for each sleeve.",
        "There are {body} sts: the first is marked.",
        "There are {all} sts: {body} for the back.",
    ],
)
def test_parts_that_make_it_and_other_lists_are_not(step):
    assert noticed(step) == []


def test_parts_that_fit_in_every_size_are_not():
    step = "There are {all} sts: {body} for the back and for the front, {sleeve} for each sleeve."
    assert noticed(step, "20 % * bust * main.stitches") == []
