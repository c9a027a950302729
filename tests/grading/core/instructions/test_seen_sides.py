"""Left and right in work that is turned: named by the edge, or said to be as worn."""

import pytest

from grading.core.instructions.seen_sides import seen_side_findings
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def noticed(step, craft="knitting"):
    pattern = read_pattern(pattern_file(craft=craft, sections=[{"title": "Body", "steps": [step]}]))
    return [one.says for one in seen_side_findings(pattern)]


def says(words):
    return (
        f"“{words}” can be read as worn or as seen, and turned work shows both sides. Write “(as worn)” "
        "behind it, or name the edge, such as “the armhole edge” or “the start of right-side rows”."
    )


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("Join the yarn at the left edge.", "left edge"),
        ("Mark the right-hand side.", "right-hand side"),
        ("Work the left side of the neck.", "left side"),
        ("Hold the sts on the right.", "on the right"),
        ("Place a marker on the left of the back.", "on the left"),
        ("Close the gap at the right side of the heel.", "right side of the heel"),
        ("Bind off the right 12 sts.", "right 12 sts"),
    ],
)
def test_a_bare_side_of_turned_work_is_asked_for(step, words):
    assert noticed(step) == [says(words)]
    assert noticed(step, "crochet") == [says(words)]


@pytest.mark.parametrize(
    "step",
    [
        "Join the yarn at the left edge (as worn).",
        "With the right side facing you, join at the right edge.",
        "Place right sides together.",
        "The next row is on the right side.",
        "Begin with a right-side row; the right side of the work faces you.",
        "Knit the left sleeve.",
        "Sew the left side seam.",
        "Slip the st to the right needle.",
        "Pick up sts from the left front neck edge.",
        "With 2 rows left end with a purl row.",
        "Leave a tail on the wrong side.",
        "Begin at the left edge of the chart.",
    ],
)
def test_sides_that_are_clear_are_not(step):
    assert noticed(step) == []


def test_work_that_is_never_turned_has_its_own_words():
    assert noticed("Mark the left edge.", "tunisian") == []
