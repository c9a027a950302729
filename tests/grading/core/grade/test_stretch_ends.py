"""Stitches that are kept before a marker or the end of a row are worked there."""

import pytest

from grading.core.grade.stretch_ends import stretch_end_findings
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def noticed(step):
    pattern = read_pattern(pattern_file(sections=[{"title": "Body", "steps": [step]}]))
    return [one.says for one in stretch_end_findings(pattern)]


@pytest.mark.parametrize(
    ("before", "stretch", "kept", "where", "worked"),
    [
        ("K ", "to 4 sts before the marker, k2tog, k1, slip the marker", 4, "the marker", 3),
        ("K1, ssk, k ", "to the last 4 sts, k2tog, k1", 4, "the end", 3),
        ("K1, ssk, k ", "to the last 2 sts, k2tog, k1, turn", 2, "the end", 3),
        ("Sc2tog, 1 sc in each st ", "to the last 3 sts, sc2tog, turn", 3, "the end", 2),
    ],
)
def test_too_few_are_noticed(before, stretch, kept, where, worked):
    says = f"“{stretch}” keeps {kept} sts before {where} and works {worked} of them: change one of the two."
    assert noticed(f"{before}{stretch}.") == [says]


@pytest.mark.parametrize(
    "step",
    [
        "K to 3 sts before the marker, k2tog, k1, slip the marker, k1, ssk, k to the end.",
        "K to 3 sts before the marker, k2tog, k2, ssk, k to the end.",
        "K2, m1l, k to the last 2 sts, m1r, k2.",
        "Purl to the last 5 sts, work in rib as set.",
        "Work to the last 3 sts, dc2tog, 1 dc in the last st, turn.",
        "Work to 6 sts before the end of the needle.",
        "Pick up 3 sts before the marker, turn.",
    ],
)
def test_as_many_or_words_not_known_are_not(step):
    assert noticed(step) == []
