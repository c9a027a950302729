"""Side words that a left-hand edition can't exchange are found."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from grading.core.instructions.sides import unmarked_sides
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile, SectionEntry

SAMPLES = Path(__file__).parents[4] / "catalogue/site/demo"


def tunisian(step: str) -> PatternFile:
    """Return the waistcoat of the samples with one step."""
    text = (SAMPLES / "thistledrift_waistcoat.json").read_text(encoding="utf-8")
    return replace(read_pattern(json.loads(text)), sections=(SectionEntry("Back", (step,)),))


@pytest.mark.parametrize(
    ("step", "columns"),
    [
        ("At the start of the rows.", [8]),
        ("At the {side start} of the rows.", []),
        ("One at each end of the row, then the end of every row", [38]),
        ("along the left edge; the right-hand side", [11, 26]),
        ("Left front. Right side facing. Work to the end.", []),
        ("`start of the row`", []),
        ("Armhole: {armhole_curve at start} The first {shoulder_stitches} sts are the shoulder.", [39]),
        ("Armhole: {armhole_curve at both ends} The first {shoulder_stitches} sts are one shoulder.", []),
        ("Beginning at the hem of the right front, work up the right and down the left front.", [29, 73]),
        ("Beginning at the hem, work up the right front.", []),
        ("Work as the left front, with the marker at the {side end} of the rows.", []),
        ("Work beside the left front, with the marker at the {side end} of the rows.", [17]),
    ],
)
def test_unmarked_side_words_are_found_with_their_place(step: str, columns: list[int]) -> None:
    findings = unmarked_sides(tunisian(step))
    assert [(one.where, one.line, one.column) for one in findings] == [
        ("sections[0].steps[0]", 1, column) for column in columns
    ]


def test_work_that_is_turned_has_none() -> None:
    pattern = replace(tunisian("At the start of the rows."), craft="crochet")
    assert unmarked_sides(pattern) == []
