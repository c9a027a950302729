"""Of two mirrored pieces, each prints the plans that the other prints."""

from grading.core.instructions.left_and_right import left_and_right_findings
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value

VALUES = [
    value("wide", "10 cm * main.stitches", kind="stitches"),
    value("deep", "10 cm * main.rows", kind="rows"),
]
SHAPING = {"name": "armhole", "from": "wide", "to": "wide", "each": 1, "over": "deep"}


def noticed(left, right):
    sections = [{"title": "Left front (as worn)", "steps": left}, {"title": "Right front", "steps": right}]
    pattern = read_pattern(pattern_file(*VALUES, sections=sections, shapings=[SHAPING]))
    return [(one.where, one.says) for one in left_and_right_findings(pattern)]


def test_a_plan_that_one_of_them_forgets_is_noticed():
    says = (
        "“Left front (as worn)” prints {armhole}, and “Right front” doesn’t: write it here too, or say how "
        "this piece is worked instead."
    )
    assert noticed(["Work 20 rows. {armhole}"], ["Work 20 rows."]) == [("sections[1]", says)]
    # What it has from another piece is not the shaping.
    assert noticed(["{armhole}"], ["Work row 1 as on the back.", "Work 20 rows."]) == [("sections[1]", says)]


def test_a_piece_that_is_worked_as_the_other_is_not():
    assert noticed(["{armhole}"], ["{armhole}"]) == []
    assert noticed(["{armhole}"], ["Work as the left front, reversing the shaping."]) == []
    assert noticed(["{armhole}"], ["Work as for the left front to the armhole.", "Work 20 rows."]) == []
    assert noticed(["Work 20 rows."], ["Work 20 rows."]) == []
