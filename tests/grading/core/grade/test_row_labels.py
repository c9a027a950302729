"""Labelled rows: each once, in their order, from the first on."""

import pytest

from grading.core.grade.row_labels import row_label_findings
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def noticed(*steps):
    pattern = read_pattern(pattern_file(sections=[{"title": "Body", "steps": list(steps)}]))
    return [one.says for one in row_label_findings(pattern)]


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (["Row 1: k. Row 1 again. Row 3: p."], "After row 1 comes row 3: write row 2, or change the number."),
        (
            ["Row 1 (RS): k. (10 sts) Row 3: p."],
            "After row 1 comes row 3: write row 2, or change the number.",
        ),
        (["Rows 1 and 2: k. Row 2: p."], "Row 2 is told twice here: change the number of the later one."),
        (
            ["Rnd 1: k. Rnds 2–4: p. Rnd 6: k."],
            "After round 4 comes round 6: write round 5, or change the number.",
        ),
        (
            ["Cast on 10 sts.", "Row 2: k."],
            "Row 2 is told, and no row 1 before it: number it 1, or write it.",
        ),
        (
            ["Cast on 10 sts. Front band, row 2: k."],
            "Row 2 is told, and no row 1 before it: number it 1, or write it.",
        ),
    ],
)
def test_rows_out_of_order_are_noticed(steps, says):
    assert noticed(*steps) == [says]


@pytest.mark.parametrize(
    "steps",
    [
        ["Row 1: k. Row 2: p. Row 3: k."],
        ["Row 1: k. Rows 2–5: p. Row 6: k."],
        ["Row 1: k. Row 2: p. Repeat rows 1 and 2 ten times. Row 23: k."],
        ["Row 1: k. Row 2: p. Change to the larger needle. Row 1: k. Row 2: p."],
        ["Row 1: k. Every even row: p. Row 3: k."],
        ["Row 1 and every RS row: k. Row 2: p. Row 4: k1, p1."],
        ["Odd rounds: knit.", "Round 2: k. Round 4: p. Round 6: k."],
        ["Sizes S and M, row 5: k. Size L, row 5: p."],
        ["Cast on 10 sts; this counts as row 1. Row 2: k."],
        ["Work row 1 as on the back.", "Row 2: k."],
        ["Round 1: k. Turn. Row 2: p."],
        ["::: only sizes=S\nRow 1: k. Row 2: p.\n:::\n::: only sizes=M\nRow 1: p. Row 2: k.\n:::"],
        ["Row 5: k. Row 6: p."],
    ],
)
def test_rows_in_their_order_are_not(steps):
    assert noticed(*steps) == []
