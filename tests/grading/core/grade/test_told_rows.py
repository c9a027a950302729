"""Numbered rows: as many as is said, and told before they are repeated; no part of a stitch."""

import pytest

from grading.core.grade.told_rows import told_row_findings
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def noticed(*steps):
    pattern = read_pattern(pattern_file(sections=[{"title": "Body", "steps": list(steps)}]))
    return [one.says for one in told_row_findings(pattern)]


@pytest.mark.parametrize(
    ("step", "words", "rows", "told"),
    [
        ("Rounds 2 to 4: k to the end, 4 rounds.", "Rounds 2 to 4", 3, 4),
        ("Rows 1-6: knit (5 rows).", "Rows 1 to 6", 6, 5),
        ("Rows 3 to 8: knit. These four rows make the rib.", "Rows 3 to 8", 6, 4),
        ("Work rows 1 to 4 three times (14 rows in all).", "rows 1 to 4", 4, 14),
        ("Rounds 2 to 4: k to the end, 3 rounds.", "", 0, 0),
        ("Work rows 1 to 4 three times (12 rows in all).", "", 0, 0),
        ("Work rows 1 to 4, then repeat them twice more (12 rows).", "", 0, 0),
        ("Work rows 1 to 4, then knit 2 rows.", "", 0, 0),
        ("Rows 1 to 4: knit, leaving the last 2 rows open.", "", 0, 0),
    ],
)
def test_a_range_of_rows_is_as_many_as_is_said(step, words, rows, told):
    noun = "rounds" if "ounds" in words else "rows"
    says = f"“{words}” are {rows} {noun}, and {told} {noun} are told beside it: change one of them."
    assert noticed(step) == ([says] if words else [])


@pytest.mark.parametrize(
    ("step", "words", "missing"),
    [
        ("Row 1: k. Row 2: p. Repeat rows 1 to 4.", "rows 1 to 4", "row 4"),
        ("Row 1: k. Row 2: p. Repeat row 3 five times.", "row 3", "row 3"),
        ("Round 1: k. Rep rounds 1 and 2.", "rounds 1 and 2", "round 2"),
        ("Row 1: k. Row 2: p. Repeat rows 1 and 2.", "", ""),
        ("Rows 1, 3 and 5: k. Rows 2, 4 and 6: p. Repeat rows 1 to 6.", "", ""),
        ("Row 1 and all odd rows: k. Row 2: p. Repeat rows 1 to 4.", "", ""),
        ("Row 1: k. Work as for the back; repeat rows 1 to 4.", "", ""),
        ("Row 1: k. Repeat rows 1 to 4 of the chart.", "", ""),
        ("Repeat rows 1 to 4.", "", ""),
    ],
)
def test_rows_that_are_repeated_are_told(step, words, missing):
    says = f"“{words}” is to be worked again, and no {missing} is told: write it, or change the number."
    assert noticed(step) == ([says] if words else [])


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("Bind off 12.5 sts.", "12.5 sts"),
        ("Decrease every 4th row 3½ times.", "3½ times"),
        ("The gauge is 17.5 sts to 4 in.", ""),
        ("The gauge is 17.5 sts and 24 rows.", ""),
        ("Leave a tail 2.5 times as long as the seam.", ""),
        ("Sew ½ st from the edge.", ""),
        ("Work rows 1.", ""),
    ],
)
def test_there_is_no_part_of_a_stitch(step, words):
    says = (
        f"“{words}” can't be worked: there is no part of one. Round the number, and say where the rest goes."
    )
    assert noticed(step) == ([says] if words else [])
