"""In turned work the sides of numbered rows agree with odd and even; what may begin anew is left alone."""

import pytest

from tests.grading.core.audit.test_courses import audited


def verdicts(*steps):
    return [(line.verdict, line.sizes[0].audited.says) for line in audited("Cast on 20 sts.", *steps)]


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (["Row 1 (RS): knit. Row 2: purl. Row 3 (WS): knit."], "row 3 is said to be WS, after row 1 as RS"),
        (["Row 1 (RS): knit. Row 2 (RS): purl."], "row 2 is said to be RS, after row 1 as RS"),
        (["Row 1 (wrong side): knit.", "Row 2 (wrong side): purl."], "row 2 is said to be WS"),
    ],
)
def test_a_row_on_the_wrong_side_disagrees(steps, says):
    verdict, said = verdicts(*steps)[-1]
    assert verdict == "disagrees"
    assert says in said


@pytest.mark.parametrize(
    "steps",
    [
        ["Row 1 (RS): knit. Row 2 (WS): purl. Row 3 (RS): knit."],
        ["Row 1 (RS): knit. Row 2: purl. Row 3: knit. Row 4 (WS): purl."],
        ["Row 1 (RS): knit. Row 2: purl. Row 3: knit.", "Row 1 (WS): purl."],  # numbered anew
        ["Row 1 (RS): knit.", "Work 2 rows straight.", "Row 2 (RS): knit."],  # rows between
        ["Row 1 (RS): knit.", "Fasten off. Rejoin yarn.", "Row 2 (RS): knit."],
        ["Row 1 (RS): knit. Row 2: purl.", "Row 3 and all RS rows: knit."],
        ["Round 1 (RS): knit. Round 2 (RS): knit."],
    ],
)
def test_sides_that_can_be_right_are_no_alarm(steps):
    assert "disagrees" not in {verdict for verdict, _ in verdicts(*steps)}
