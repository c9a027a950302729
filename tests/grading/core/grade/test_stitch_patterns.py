"""Stitch patterns in a graded pattern: every size's count is its edges and whole repeats, or it is found."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grading.core.audit.patterns import audit_pattern
from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade, regrade
from grading.core.instructions.facts import facts_of
from grading.core.instructions.steps import render_step
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import StitchPatternEntry
from grading.core.printing.edition import PrintForm
from grading.core.stitch_patterns.fits import (
    misfit_sentence,
    multiple_words,
    repeats_in,
    stitches_over,
)

TRELLIS = {
    "name": "trellis",
    "label": "Trellis",
    "multiple": 6,
    "plus": 3,
    "rows": ["K2, *yo, ssk, k1, k2tog, yo, k1; repeat from * to last st, k1.", "Purl."],
    "over": ["back_stitches"],
}


def pattern(counts=(27, 33, 39), **changes):
    """A back in a stitch pattern, in three sizes."""
    return {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Trellis vest",
        "craft": "knitting",
        "home_units": "cm",
        "home_terms": "US",
        "sizes": ["S", "M", "L"],
        "yarns": [{"colour": "A", "label": "Ground"}],
        "values": [{"name": "back_stitches", "label": "Back", "kind": "stitches", "list": list(counts)}],
        "stitch_patterns": [TRELLIS],
        **changes,
    }


def found_in(made):
    """What is found at the stitch pattern."""
    return [
        (one.weight, one.size, one.says)
        for one in grade(read_pattern(made)).findings
        if one.where == "stitch_patterns.trellis"
    ]


def test_a_size_whose_count_does_not_fit_is_a_stop_that_names_the_counts_that_would():
    assert found_in(pattern()) == []
    assert found_in(pattern((27, 35, 3))) == [
        ("stop", "M", "Trellis needs a multiple of 6 sts plus 3, and Back has 35: 33 or 39 would fit."),
        ("stop", "L", "Trellis needs a multiple of 6 sts plus 3, and Back has 3: 9 would fit."),
    ]


def test_stitches_left_over_are_settled_by_a_sentence_of_the_designer():
    settled = {**TRELLIS, "left_over": "Work the stitches beyond the last repeat in stockinette stitch."}
    assert found_in(pattern((27, 35, 40), stitch_patterns=[settled])) == []


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, 200), min_size=3, max_size=3), st.integers(1, 20), st.integers(0, 10))
def test_every_count_is_edges_and_whole_repeats_or_a_finding(counts, multiple, plus):
    entry = {**TRELLIS, "multiple": multiple, "plus": plus, "rows": ["Knit."]}
    wrong = {
        size
        for weight, size, _ in found_in(pattern(counts, stitch_patterns=[entry]))
        if size and weight == "stop"
    }
    for size, count in zip("SML", counts, strict=True):
        repeats = repeats_in(count, multiple, plus)
        assert (size in wrong) == (repeats is None)
        assert repeats is None or count == plus + repeats * multiple
        over = stitches_over(count, multiple, plus)
        assert (over == 0) == (repeats is not None or count in (0, plus))
        assert 0 <= over <= count


def test_any_number_says_above_how_many():
    one = StitchPatternEntry("plain", "Plain", 1, 1)
    assert misfit_sentence(one, "Back", 1) == (
        "Plain needs any number of sts above 1, and Back has 1: 2 would fit."
    )
    assert multiple_words(StitchPatternEntry("plain", "Plain", 1)) == "any number of sts"


@pytest.mark.parametrize(
    ("change", "weight", "says"),
    [
        ({"over": ["back_sts"]}, "stop", "back_sts"),
        ({"rows": ["K to marker.", "Purl."]}, "warn", "Row 1 is printed in words and not in the chart"),
        ({"rows": ["K2, *yo, k2tog; rep from * to end.", "Purl."]}, "stop", "are left over"),
        ({"rows": ["K1, Mxb, k to end.", "Purl."]}, "stop", "“Mxb” is in no list of abbreviations"),
    ],
)
def test_what_is_wrong_in_a_stitch_pattern_is_found(change, weight, says):
    found = found_in(pattern(stitch_patterns=[{**TRELLIS, **change}]))
    assert any(one[0] == weight and says in one[2] for one in found), found


def test_a_letter_of_a_grid_that_is_no_colour_is_found():
    grid = {"name": "trellis", "label": "Trellis", "multiple": 2, "grid": ["AB", "AA"]}
    assert [(weight, says[:29]) for weight, _, says in found_in(pattern(stitch_patterns=[grid]))] == [
        ("stop", "The grid has the letter B, wh")
    ]


def test_an_edit_of_the_counts_or_rows_is_found_as_in_a_sheet_worked_out_anew():
    before = grade(read_pattern(pattern()))
    for changed in (pattern((27, 35, 39)), pattern(stitch_patterns=[{**TRELLIS, "rows": ["K to marker."]}])):
        after = read_pattern(changed)
        assert regrade(before, after).findings == grade(after).findings


@pytest.mark.parametrize(
    ("changed", "path"),
    [
        ({"rows": [""]}, "$.stitch_patterns[0].rows[0]"),
        ({"grid": ["AB"]}, "$.stitch_patterns[0]"),
        ({"multiple": 0}, "$.stitch_patterns[0].multiple"),
        ({"name": "back_stitches"}, "$.stitch_patterns[0].name"),
    ],
)
def test_a_stitch_pattern_that_does_not_fit_the_file_is_refused_with_its_place(changed, path):
    with pytest.raises(PatternFileError) as refused:
        read_pattern(pattern(stitch_patterns=[{**TRELLIS, **changed}]))
    assert refused.value.path == path


def test_a_step_names_it_and_the_count_audit_goes_on_over_its_rows():
    step = "Cast on {back_stitches} sts. Work 12 rows in {trellis}. ({back_stitches} sts)"
    made = read_pattern(pattern(sections=[{"title": "Back", "steps": [step]}]))
    graded = grade(made)
    facts = facts_of(made, graded)
    printed = render_step(step, facts, PrintForm())[0].text
    assert "Work 12 rows in Trellis (see Stitch patterns)." in printed
    lines = audit_pattern(facts)
    assert {line.verdict for line in lines} == {"agrees"}
    assert any("{trellis}" in line.text for line in lines)
    assert [counted.rows for counted in lines[-1].sizes] == [12, 12, 12]


def test_rows_said_of_a_stitch_pattern_are_those_it_has():
    def said(step):
        sections = [{"title": "Back", "steps": [step]}]
        made = grade(read_pattern(pattern(sections=sections)))
        return [one.says for one in made.findings if one.where == "sections[0].steps[0]"]

    told = "“3 rows” is said of “Trellis”, which has 2. Change one of them."
    assert said("Cast on {back_stitches} sts. Work the 3 rows of {trellis}.") == [told]
    assert said("Cast on {back_stitches} sts. Work the 2 rows of {trellis}.") == []
    assert said("Cast on {back_stitches} sts. Work 20 rows of {trellis}.") == []
