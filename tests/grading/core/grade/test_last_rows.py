"""Rows that are said to end on one side. Source: rows of turned work show their sides in turn (derived)."""

import pytest

from tests.grading.core.sheets import found, graded, value

RIB = "Row 1 (WS): p2, *k2, p2; repeat from * to the end. Row 2 (RS): k2, *p2, k2; repeat from * to the end."


def said(*steps, rows=("8", "9", "9"), **more):
    """Size and sentence of what is found in the last of these steps."""
    lines = [
        value("some", kind="rows", list=[int(each) for each in rows]),
        value("sts", "50 stitches", kind="stitches"),
    ]
    more = {"craft": "knitting", **more}
    of = graded(*lines, sections=[{"title": "Yoke", "steps": list(steps)}], **more)
    return [
        (size, says)
        for size, _, says in found(of, f"sections[0].steps[{len(steps) - 1}]")
        if "these" in says or "follows" in says
    ]


def test_rows_that_are_repeated_until_there_are_so_many_end_on_the_side_that_is_said():
    """Row 1 is a wrong-side row: 9 rows end on one, 8 on the other."""
    repeat = "Repeat these two rows until there are {some} rows; the last is a wrong-side row."
    ((size, says),) = said(f"Cast on. {RIB} {repeat}")
    assert size == "S"
    assert says == (
        "The last of these 8 rows is a right-side row, and the words say the other: work one more or fewer."
    )
    assert said(f"Cast on. {RIB} {repeat}", rows=("9", "11", "13")) == []
    assert said(f"Cast on. {RIB} {repeat}", rows=("9", "11", "13"), craft="tunisian") == []


@pytest.mark.parametrize(
    ("words", "sizes"),
    [
        ("Work {some} rows, ending with a WS row.", ["M"]),
        ("Work {some} rows in stocking stitch; the last is a wrong-side row.", ["M"]),
        ("Work {some} rows.", []),
        ("Work {some} rounds, ending with a WS row.", []),
        ("Work {some} rows of the chart, ending with a WS row.", []),
        ("Work until the piece has {some} rows, ending with a WS row.", []),
    ],
)
def test_rows_after_a_row_whose_side_is_told(words, sizes):
    """After a right-side row an even number of rows ends on the right side again."""
    assert [
        size for size, _ in said("Increase row (RS): k to the end. ({sts} sts)", words, rows=("9", "8", "9"))
    ] == sizes


def test_a_row_of_one_side_does_not_follow_one_of_the_same_side():
    steps = ("Increase row (RS): knit. ({sts} sts)", "Work {some} rows. Second increase row (RS): knit.")
    ((size, says),) = said(*steps, rows=("9", "8", "9"))
    assert size == "M"
    assert says == (
        "“Second increase row (RS)” follows a right-side row: one row more or fewer must come before it."
    )
    assert said(*steps, rows=("9", "11", "13")) == []
    # Rows that are only described, one after the other, and rows of more than one row.
    assert said(steps[0], "Second increase row (RS): knit.") == []
    assert said("Increase row (RS): k10, turn, p10.", "Work {some} rows. Next row (RS): knit.") == []
    assert said(steps[0], "Turn the work as you like. Second increase row (RS): knit.") == []
