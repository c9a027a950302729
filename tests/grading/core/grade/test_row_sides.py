"""Shaping told for right-side rows must fall on them."""

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern

MENDED = "Let it begin on such a row and shape on every 2nd row."
COUNTED = "count by an even number."


def said(step, craft="knitting", before="", **shaping):
    """What is said of a step that takes 6 stitches off over 24 rows in S and 20 in L."""
    shaped = {
        "name": "v_neck",
        "from": 20,
        "to": 14,
        "over": "rows_worked",
        "each": 1,
        "on_every": 2,
        **shaping,
    }
    typed = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Bank vest",
        "craft": craft,
        "home_units": "cm",
        "home_terms": "US",
        "sizes": ["S", "L"],
        "values": [{"name": "rows_worked", "kind": "rows", "list": [24, 20]}],
        "shapings": [shaped],
        "curves": [{"name": "armhole", "width": 9, "depth": 3, "shape": "straight", "every": 2}],
        "sections": [{"title": "Front", "steps": [before, step] if before else [step]}],
    }
    found = grade(read_pattern(typed)).findings
    where = f"sections[0].steps[{1 if before else 0}]"
    return [(one.size, one.says) for one in found if one.where == where]


def test_shaping_on_every_second_row_is_on_one_side():
    assert said("At the start of right-side rows: {v_neck}") == []


def test_rows_of_both_sides_are_found_with_the_first_that_is_wrong():
    """24 rows, 6 of them shaped on every 4th; 20 rows: 3, 3, 3, 3, 4, 4: row 3, then 6."""
    assert said("At the start of right-side rows: {v_neck}", on_every=1) == [
        (
            "L",
            f"“v neck” is given for right-side rows, and row 6 shows the other side. {MENDED}",
        )
    ]


@pytest.mark.parametrize(
    ("words", "is_found"),
    [
        ("From the first row, at the start of right-side rows: {v_neck}", True),
        ("The next row is a wrong-side row, row 1. At the end of right-side rows: {v_neck}", False),
        ("Row 1 (RS): knit. At the start of RS rows: {v_neck}", True),
        ("Row 2 is a right-side row. At the start of RS rows: {v_neck}", False),
        ("At the start of RS rows, and at the end of WS rows: {v_neck}", False),
    ],
)
def test_every_second_row_from_a_right_side_row_is_a_wrong_side_row(words, is_found):
    """Shaped on rows 4, 8, 12: wrong-side rows where row 1 is a right-side row."""
    assert bool(said(words)) is is_found


def test_beginning_with_the_first_row_puts_it_right():
    assert said("From the first row, at the start of right-side rows: {v_neck}", first=1, plain_end=1) == []


def test_an_odd_number_that_is_typed_is_found():
    found = said("On right-side rows decrease 1 st, every 5th row from here.")
    assert found == [
        (
            None,
            f"“every 5th row” falls on both sides in turn, but this step names right-side rows: {COUNTED}",
        )
    ]


def test_a_curve_is_looked_at_too():
    assert said("At the start of right-side rows: {armhole at start}") == []
    found = said("Row 1 (WS): purl. Row 2 (RS): knit. At the start of right-side rows: {armhole at start}")
    assert [size for size, _ in found] == ["S", "L"]


def test_work_that_is_never_turned_has_no_wrong_side():
    assert said("At the start of right-side rows: {v_neck}", craft="tunisian", on_every=1) == []


@pytest.mark.parametrize(
    ("before", "step", "is_found"),
    [
        ("Knit 8 rows, ending with a RS row.", "At the start of WS rows: {armhole at start}", False),
        ("Knit 8 rows, ending with a WS row.", "At the start of WS rows: {armhole at start}", True),
        ("Knit 8 rows, ending with a WS row.", "At the start of RS rows: {armhole at start}", False),
        ("Knit 8 rows, ending with a RS row.", "At the end of RS rows: {armhole at end}", False),
        ("Knit 8 rows.", "At the start of WS rows: {armhole at start}", False),
    ],
)
def test_the_row_that_a_step_ends_with_tells_the_side_of_the_next(before, step, is_found):
    """Steps of two rows: rows 1, 3, 5 after the step before."""
    assert bool(said(step, before=before)) is is_found
