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


def shaped(*steps):
    """What is said of the sides of a shaping on every 2nd row, after these steps."""
    taper = {"name": "taper", "from": "sts", "to": 40, "over": 20, "each": 2, "on_every": 2}
    of = graded(
        value("some", kind="rows", list=[8, 8, 8]),
        value("sts", "50 stitches", kind="stitches"),
        craft="knitting",
        shapings=[taper],
        sections=[{"title": "Yoke", "steps": [*steps, "Raglan: {taper} (40 sts)"]}],
    )
    return [says for _, _, says in found(of, f"sections[0].steps[{len(steps)}]") if "described" in says]


@pytest.mark.parametrize(
    ("before", "is_wrong"),
    [
        ("Rep rows 1 and 2 until you have {some} rows of rib.", False),
        ("Rep rows 1 and 2 until you have {some} rows. Work one WS row.", True),
        (
            "Rep rows 1 and 2 until you have {some} rows. Cast off 4 sts at the start of the next 2 rows.",
            False,
        ),
        ("Repeat these two rows until there are {some} rows. Work 3 rows.", True),
        ("Work as you like. With RS facing, knit across all sts. Purl 1 row.", True),
        ("Work as you like. With WS facing, purl across all sts. Knit 1 row.", False),
        ("Work as you like.", False),
    ],
)
def test_a_described_row_has_the_side_of_the_rows_of_its_shaping(before, is_wrong):
    """Row 8 of a rib that begins on the wrong side shows the right side, as row 2 of the raglan does then."""
    row = "Decrease row (RS): k2, k2tog, knit to last 4 sts, ssk, k2."
    says = shaped(f"Cast on {{sts}} sts. {RIB}", f"{before} ({{sts}} sts)", row)
    assert bool(says) == is_wrong
    if is_wrong:
        assert says[0] == (
            "The row that is described is a right-side row, and the rows of this shaping are "
            "wrong-side rows: row 1 is a right-side row here. Work one row more or fewer before it."
        )


def test_the_row_that_is_said_to_come_next_has_the_side_that_comes_next():
    rib = f"Cast on {{sts}} sts. {RIB} Rep rows 1 and 2 until you have {{some}} rows of rib."
    further = "Continue in stocking stitch for 4 rows, so that the next row is"
    sections = [
        {"title": "Back", "steps": [rib, f"{further} a RS row."]},
        {"title": "Front", "steps": [rib, f"{further} a WS row."]},
    ]
    lines = (
        value("some", kind="rows", list=[8, 8, 8]),
        value("sts", "50 stitches", kind="stitches"),
    )
    of = graded(*lines, craft="knitting", sections=sections)
    says = (
        "The last row is a right-side row, so the next is of the other side than the words say: "
        "correct one of them."
    )
    assert [one for _, _, one in found(of, "sections[0].steps[1]")] == [says]
    assert found(of, "sections[1].steps[1]") == []
