"""Pieces against their steps: rows that are longer or shorter than the piece that is drawn."""

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.worked_pieces import worked_piece_findings
from grading.core.instructions.facts import facts_of
from tests.grading.core.sheets import graded, value


def noticed(*steps, height="back_length", title="Back", more=(), label="Back", direction="bottom to top"):
    piece = {
        "name": "back",
        "label": label,
        "direction": direction,
        "outline": [["0 cm", "0 cm"], ["wide", "0 cm"], ["wide", height], ["0 cm", height]],
    }
    of = graded(
        value("back_stitches", "50 cm * main.stitches", kind="stitches"),
        value("back_rows", "50 cm * main.rows", kind="rows"),
        value("hem_rows", "5 cm * main.rows", kind="rows"),
        value("wide", "back_stitches / main.stitches"),
        value("back_length", "back_rows / main.rows"),
        pieces=[piece],
        sections=[{"title": title, "steps": list(steps)}, *more],
    )
    lines = audit_pattern(facts_of(of.pattern, of))
    return [(one.where, one.says) for one in worked_piece_findings(lines, of)]


CAST_ON = "Cast on {back_stitches} sts."


def test_rows_that_miss_the_length_are_noticed():
    says = (
        "The rows of “Back” make 51.4 cm in size S, without borders worked elsewhere. Its drawing is 50.0 cm "
        "long: check both."
    )
    assert noticed(CAST_ON, "Work {back_rows + 4} rows. Bind off all sts.") == [("pieces.back", says)]


@pytest.mark.parametrize("rows", ["{back_rows}", "{back_rows + 1}", "{back_rows - 1}"])
def test_a_row_more_or_fewer_is_not(rows):
    assert noticed(CAST_ON, f"Work {rows} rows. Bind off all sts.") == []


def test_a_hem_that_is_worked_elsewhere_explains_the_rest():
    longer = "(back_rows + hem_rows) / main.rows"
    assert noticed(CAST_ON, "Work {back_rows} rows. Bind off all sts.", height=longer) == []


def test_a_piece_that_goes_on_in_another_section_or_that_is_drawn_with_much_more_is_left_alone():
    steps = (CAST_ON, "Work {back_rows} rows. Bind off all sts.")
    yoke = {"title": "Back yoke", "steps": ["Work 20 rows."]}
    assert noticed(*steps, height="53 cm", more=[yoke]) == []
    assert noticed(*steps, height="70 cm") == []
    assert noticed(*steps, height="53 cm", label="Whole garment") == []


def test_work_to_the_side_is_measured_across():
    assert (
        noticed(CAST_ON, "Work {back_rows} rows. Bind off.", height="20 cm", direction="left to right") == []
    )
