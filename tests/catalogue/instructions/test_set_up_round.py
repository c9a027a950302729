"""A set-up round that is not counted: the account of rows says the same number as the words."""

import re

import pytest

from catalogue.instructions.row_accounts import account_rows, lines_of
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.builders import sample

pytestmark = pytest.mark.any_database


def test_rows_so_far_of_the_yoke_are_the_rounds_that_its_words_name():
    pattern = read_pattern(sample("cinderfell_raglan"))
    graded = grade(pattern)
    rows = account_rows(facts_of(pattern, graded), lines_of(graded))
    yoke = [row for row in rows if row.title == "Yoke"]
    after = next(row for row in yoke if "After" in "".join(piece.text for piece in row.pieces))
    rounds = [f"{number:g}" for number in graded.values["yoke_rounds"].worked]
    found = re.findall(r"\d+", after.rows_so_far)
    assert found == rounds
