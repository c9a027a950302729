"""Two pieces that are meant alike and are not: noticed at the second shaping. Source of figures: derived."""

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file

# 18 increases in the first 28 of 30 rows: in every row to row 8, then in every second.
FIRST = {"name": "growth", "from": 42, "to": 78, "over": 30, "each": 2, "plain_end": 2}
DRIFT = (
    "It goes back over the stitches of growth, 5 shaping rows off its mirror. "
    "For two pieces that are alike write {growth reversed} in the step instead."
)
BACK = {**FIRST, "name": "taper", "from": 78, "to": 42}


def says(*shapings):
    found = grade(read_pattern(pattern_file(sizes=["4X"], shapings=list(shapings)))).findings
    return [(one.where, one.weight, one.size, one.says) for one in found if one.where.startswith("shapings")]


def test_a_second_sleeve_that_drifts_from_the_first_is_found():
    # After row 8 the first has 8 increases; read from its end the second has 3 by then, of rows 3, 5 and 7.
    assert says(FIRST, BACK) == [
        (
            "shapings.taper",
            "warn",
            "4X",
            DRIFT,
        )
    ]


@pytest.mark.parametrize(
    "other",
    [
        {**BACK, "from": 76, "to": 40},  # other stitches
        {**BACK, "words": "work the decrease row"},  # the author's own matter
        {**BACK, "over": 32},  # other rows
    ],
)
def test_what_is_no_second_piece_is_left_alone(other):
    assert says(FIRST, other) == []


def test_a_waist_that_is_nearly_even_is_left_alone():
    waist = {"name": "waist", "from": 100, "to": 88, "over": 50, "each": 2}
    assert says(waist, {**waist, "name": "upwards", "from": 88, "to": 100}) == []
