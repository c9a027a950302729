"""Stitches that are kept before a marker or the end of a row are worked there."""

import pytest

from grading.core.grade.stretch_ends import stretch_end_findings
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def noticed(step, craft="knitting"):
    pattern = read_pattern(pattern_file(craft=craft, sections=[{"title": "Body", "steps": [step]}]))
    return [one.says for one in stretch_end_findings(pattern)]


@pytest.mark.parametrize(
    ("before", "stretch", "craft", "kept", "where", "worked"),
    [
        ("K ", "to 4 sts before the marker, k2tog, k1, slip the marker", "knitting", 4, "the marker", 3),
        ("K1, ssk, k ", "to the last 4 sts, k2tog, k1", "knitting", 4, "the end", 3),
        ("K1, ssk, k ", "to the last 2 sts, k2tog, k1", "knitting", 2, "the end", 3),
        ("Sc2tog, 1 sc in each st ", "to the last 3 sts, sc2tog, turn", "crochet", 3, "the end", 2),
    ],
)
def test_too_few_are_noticed(before, stretch, craft, kept, where, worked):
    says = f"“{stretch}” keeps {kept} sts before {where} and works {worked} of them: change one of the two."
    assert noticed(f"{before}{stretch}.", craft) == [says]


def test_too_few_before_a_count_are_noticed():
    assert len(noticed("K1, ssk, k to the last 4 sts, k2tog, k1 (40 sts).")) == 1


@pytest.mark.parametrize(
    "step",
    [
        "K to 3 sts before the marker, k2tog, k1, slip the marker, k1, ssk, k to the end.",
        "K to 3 sts before the marker, k2tog, k2, ssk, k to the end.",
        "K2, m1l, k to the last 2 sts, m1r, k2.",
        "Purl to the last 5 sts, work in rib as set.",
        "Work to 6 sts before the end of the needle.",
        "Pick up 3 sts before the marker, turn.",
        "K to the last 5 sts, turn.",
        "Sl 1, p to the last 6 sts, p2tog, p1, turn.",
        "K to 3 sts before the marker, turn.",
        "K2, k to the last 4 sts, (k1, p1) twice.",
        "K2, k to the last 4 sts, *k1, p1; repeat from * once more.",
        "K1, ssk, k to the last 3 sts, k2tog, k1 (40 sts).",
    ],
)
def test_as_many_or_words_not_known_are_not(step):
    assert noticed(step) == []


def test_as_many_in_a_row_of_crochet_and_stitches_left_for_short_rows_are_not():
    assert noticed("Work to the last 3 sts, dc2tog, 1 dc in the last st, turn.", "crochet") == []
    assert noticed("1 sc in each st to the last 3 sts, turn.", "crochet") == []
