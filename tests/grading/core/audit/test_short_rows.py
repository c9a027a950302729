"""Short rows keep their stitches; what turns past the end, or on no turn before it, is found.

The runs were worked by hand, place by place; how their stitches are made is common practice.
"""

import pytest

from grading.core.audit.short_rows import ShortRows, work_short_row
from tests.grading.core.audit.test_steps_by_hand import audited

NECK = [
    "Cast on 96 sts and join in the round. Short rows raise the back neck.",
    "Short row 1 (RS): k12, turn.",
    "Short row 2 (WS): make a double stitch, p to the marker, slip the marker, p12, turn.",
    "Short row 3 (RS): make a double stitch, k to the double stitch, k it as one stitch, k4, turn.",
    "Short row 4 (WS): make a double stitch, p to the double stitch, p it as one stitch, p4, turn.",
    "Repeat short rows 3 and 4 twice more. Next row (RS): make a double stitch, k to the marker.",
    "Next round: knit, working each double stitch as one stitch. (96 sts)",
]
SHOULDER = [
    "Cast on 20 sts. Knit 4 rows. Short rows slope the shoulder.",
    "Row 1 (RS): k to the last 5 sts, w&t.",
    "Row 2 (WS): p to the end.",
    "Row 3: k to 5 sts before the wrapped stitch, wrap and turn. Row 4: p to the end.",
    "Row 5 (RS): knit, picking up the wraps as you come to them. (20 sts)",
]


def told(*steps):
    """What is said of each line, in the order of the steps, and the last count."""
    lines = audited(*steps)
    return [line.sizes[0].audited.says for line in lines], lines[-1].sizes[0].stitches


@pytest.mark.parametrize(("steps", "stitches"), [(NECK, 96), (SHOULDER, 20)])
def test_short_rows_keep_their_stitches(steps, stitches):
    said, now = told(*steps)
    assert set(said) == {""}
    assert now == stitches


HOW = "A double stitch: slip 1 with the yarn in front, pull it up."


@pytest.mark.parametrize("between", [HOW, "Each short row now goes 3 sts further than the last."])
def test_a_remark_between_short_rows_leaves_them_as_they_are(between):
    said, now = told(*NECK[:3], between, *NECK[3:])
    assert set(said) == {""}
    assert now == 96
    wrong, _ = told(*NECK[:3], between, NECK[3].replace("k4, turn", "k90, turn"))
    assert wrong[-1] == "its turns overlap by 18 sts in the round"


def test_short_rows_that_go_on_after_other_work_are_not_guessed():
    said, _ = told(*NECK[:3], "Cut the yarn and knit 2 rounds.", NECK[3])
    assert said[-1] == "where the row before it has turned is not known"
    again, _ = told(*NECK[:3], "Cut the yarn and knit 2 rounds.", *NECK[1:])
    assert set(again) == {""}


def test_short_rows_lie_beside_the_rows_of_the_piece():
    rows = [line.sizes[0].rows for line in audited(*SHOULDER)]
    assert rows == [0, 4, 4, 4, 4, 4, 5]


@pytest.mark.parametrize(
    ("steps", "old", "new", "says"),
    [
        (SHOULDER, "k to 5 sts before", "k to 18 sts before", "goes 3 sts past the end of the row"),
        (SHOULDER, "Row 2 (WS): p to the end.", "Row 2 (WS): p16.", "goes 1 st past the end of the row"),
        (
            NECK,
            "Repeat short rows 3 and 4 twice",
            "Repeat short rows 3 and 4 10 times",
            "its turns overlap by 4 sts in the round",
        ),
        (
            NECK,
            "Short row 2 (WS): make a double stitch, p to the marker",
            "Short row 2 (WS): p to the gap",
            "there is no turn",
        ),
        (NECK, "Repeat short rows 3 and 4", "Repeat short rows 5 and 6", "the rows to repeat are not given"),
        (NECK, "p4, turn", "p4, hop, turn", "these words are not known in a short row"),
        (NECK, "stitch. (96 sts)", "stitch. (94 sts)", "says 94, worked 96"),
        (NECK, "k12, turn.", "k12, turn. (12 sts)", "says 12, worked 96"),
        (NECK, " and join in the round", "", "where its marker is, is not known"),
        (NECK, "RS): k12, turn", "RS): k to the marker, sm, k12, turn", "where its marker is, is not known"),
        (SHOULDER, "Row 2 (WS): p to", "Row 2 (WS): yo, p3, turn. Row 2: p to", "these words are not known"),
    ],
)
def test_what_does_not_come_out_in_short_rows_is_said(steps, old, new, says):
    said, _ = told(*[step.replace(old, new) for step in steps])
    assert next(one for one in said if one).endswith(says) or says in next(one for one in said if one)


def test_a_row_that_turns_where_no_short_rows_are_spoken_of_leaves_stitches_over():
    said, _ = told("Cast on 20 sts.", "Row 1 (RS): k to the end. Row 2: p18, turn.")
    assert said[-1] == "2 left over"


def test_a_run_ends_with_a_sentence_of_another_kind():
    assert work_short_row(ShortRows(20, in_round=False), "Knit 4 rows.", lambda _: None) is None
