"""Rows told by number and side: odd rows of turned work show one side, even rows the other."""

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def said(*steps, craft="knitting", notes=(), **more):
    sections = [{"title": "Notes", "steps": list(notes)}] if notes else []
    sections.append({"title": "Front", "steps": list(steps)})
    pattern = read_pattern(pattern_file(craft=craft, sections=sections, **more))
    return [
        one.says
        for one in grade(pattern).findings
        if one.where.startswith("sections") and "contradicts" in one.says
    ]


CHANGE = "rows of turned work show their sides in turn. Change one of them."


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (
            ("Row 1 (RS): k40. Work 18 more rows.", "Row 20 (RS): k40."),
            f"“Row 20 (RS)” contradicts “Row 1 (RS)”: {CHANGE}",
        ),
        (
            ("Row 1 (WS): k40.", "Decrease on right-side rows 3, 5 and 7."),
            f"“right-side rows 3, 5 and 7” contradicts “Row 1 (WS)”: {CHANGE}",
        ),
        (
            ("Odd rows are RS rows. Row 1 (WS): k40.",),
            f"“Row 1 (WS)” contradicts “Odd rows are RS”: {CHANGE}",
        ),
        (
            ("Row 1 (RS): k40. Work 9 rows. Row 1 is a wrong-side row.",),
            f"“Row 1 is a wrong-side” contradicts “Row 1 (RS)”: {CHANGE}",
        ),
    ],
)
def test_a_side_that_does_not_follow_from_the_rows_before_is_found(steps, says):
    assert said(*steps)[0] == says


def test_what_is_said_of_all_pieces_holds_in_each():
    assert said("Row 1 (WS): k40.", notes=["Row 1 is a right-side row in every piece."])
    assert said("Row 1 (RS): k40.", notes=["Row 1 is a right-side row in every piece."]) == []


@pytest.mark.parametrize(
    "steps",
    [
        ("Row 1 (RS): k40. Row 2 (WS): p40. Work 9 rows.", "Row 12 (WS): p40."),
        ("Row 1 (WS): k40. Row 1 (RS): k40.",),  # the rib and what is worked above it
        ("Row 1 (RS): k40. Fasten off. Rejoin yarn.", "Row 2 (RS): k40."),
        ("Row 1 (WS): k40.", "Decrease on right-side rows 2, 4 and 6."),
        ("Row 1 (RS): k40. Work right-side rows 3 times.",),
        ("Even rows are WS rows. Odd-numbered rows are right-side rows.",),
    ],
)
def test_sides_that_follow_are_not_found(steps):
    assert said(*steps) == []


def test_work_that_is_never_turned_has_one_side():
    assert said("Row 1 (RS): 40 Tss. Row 2 (RS): 40 Tss.", craft="tunisian") == []


TRELLIS = {"name": "trellis", "label": "Trellis", "rows": ["k2", "p2"], "multiple": 2, "over": []}


def test_a_stitch_pattern_begins_on_its_own_side():
    step = "Work {trellis}, and begin with a wrong-side row."
    says = "“begin with a wrong-side row” contradicts “Trellis”, whose row 1 is a right-side row: "
    assert said(step, stitch_patterns=[TRELLIS]) == [f"{says}change one of them."]
    assert said(step, stitch_patterns=[{**TRELLIS, "first_side": "WS"}]) == []
