"""Rows of one stitch begin with one turning chain."""

from grading.core.grade.turning_chains import turning_chain_findings
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def noticed(*steps):
    pattern = read_pattern(pattern_file(sections=[{"title": "Body", "steps": list(steps)}]))
    return [(one.where, one.says) for one in turning_chain_findings(pattern)]


def test_the_rarer_chain_is_noticed():
    rows = ["Row 1: ch 2 (does not count), 1 dc in each st, turn."] * 2
    says = (
        "This row of dc begins with ch 3 (does not count …), the others with ch 2: make them alike, or say "
        "why this one differs."
    )
    assert noticed(*rows, "Row 3: ch 3 (does not count), 1 dc in each st, turn.") == [
        ("sections[0].steps[2]", says)
    ]


def test_another_stitch_one_that_counts_and_two_as_common_are_not():
    rows = ["Row 1: ch 2 (does not count), 1 dc in each st, turn."] * 2
    assert noticed(*rows, "Row 3: ch 1 (does not count), 1 sc in each st, turn.") == []
    assert noticed(*rows, "Row 3: ch 3 (counts as 1 dc), skip the first st, 1 dc in each st, turn.") == []
    three = ["Row 3: ch 3 (counts as 1 dc), skip the first st, 1 dc in each st, turn."] * 2
    assert noticed(*three, "Row 5: ch 4 (counts as 1 dc and ch 1), skip 1 st, 1 dc in the next st.") == []
    assert noticed(rows[0], "Row 3: ch 3 (does not count), 1 dc in each st, turn.") == []
