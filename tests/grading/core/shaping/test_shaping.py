"""Shaping is spaced evenly, fits its rows, and says why where it cannot."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.shaping.shaping import (
    ShapingInput,
    event_rows,
    merge_event_rows,
    mirrored_plan,
    plan_shaping,
)
from tests.check_values import check_value

GROUP = "5-shaping"


def plan(start, end, rows, each, **more):
    return plan_shaping(ShapingInput(start=start, end=end, rows=rows, each=each, **more))


def test_a_long_taper_agrees_with_enumeration():
    known = check_value(GROUP, "shape-taper-140-36")  # derived
    found = plan(0, known["total_stitches_changed"], 140, 2)
    assert found.runs == ((3, known["every 3rd row"]), (4, known["every 4th row"]))
    assert found.event_rows[-1] == known["last_row"]


def test_a_published_sleeve_agrees():
    known = check_value(GROUP, "shape-taper-176-42")  # public worked example, 2007
    found = plan(72, known["end_stitches"], 176, 2)
    assert found.runs == ((4, known["every 4th row"]), (5, known["every 5th row"]))


def test_runs_name_their_rows():
    known = check_value(GROUP, "shape-taper-4x5-6x3")  # derived
    rows = event_rows([(4, 5), (6, 3)])
    assert rows == known["event_rows"]
    assert len(rows) == known["events"]
    assert rows[-1] == known["rows_used"]


def test_shaping_on_every_second_row_agrees():
    known = check_value(GROUP, "shape-taper-even-rows")  # public inputs, derived plan
    found = plan(38, known["end_stitches"], 108, 2, on_every=2)
    assert found.runs == ((8, known["every 8th row"]), (10, known["every 10th row"]))
    assert found.event_rows[-1] == known["rows_used"]


def test_a_raglan_of_equal_gaps_agrees():
    known = check_value(GROUP, "shape-raglan-simple")  # derived
    found = plan(80, 280, known["rounds"], 8, on_every=2)
    assert found.runs == ((2, known["increase_rounds"]),)
    assert found.event_rows[-1] == known["rounds"]


def test_a_compound_raglan_agrees():
    known = check_value(GROUP, "shape-raglan-compound")  # derived
    body, sleeve = plan(0, known["front/back gain"], 60, 2), plan(0, known["sleeve gain"], 60, 2)
    assert body.runs == ((2, known["body every 2nd"]),)
    assert sleeve.runs == ((2, known["sleeve every 2nd"]), (3, known["sleeve every 3rd"]))


def test_a_crown_agrees():
    known = check_value(GROUP, "shape-crown-96")  # derived
    found = plan(96, 8, 2 * known["decrease_rounds"], 8, on_every=2)
    assert found.runs == ((2, known["decrease_rounds"]),)


def test_a_triangle_agrees():
    known = check_value(GROUP, "shape-triangle-shawl")  # derived
    found = plan(7, known["stitches"], known["total_rows"], 4, on_every=2)
    assert found.runs == ((2, 60),)


@pytest.mark.parametrize(
    ("numbers", "says"),
    [
        ({"start": 80, "end": 22, "rows": 24, "each": 2}, "29 shaping rows do not fit in 24."),
        ({"start": 4, "end": 2, "rows": 0, "each": 2}, "1 shaping row does not fit in 0."),
        ({"start": 80, "end": 61, "rows": 40, "each": 2}, "A change of 19 stitches is not a whole number"),
        ({"start": 5, "end": 4, "rows": 40, "each": 2}, "A change of 1 stitch is not a whole number"),
        ({"start": 80, "end": 60, "rows": 40.5, "each": 2}, "“over” must be a whole number, not 40.5."),
        ({"start": 80, "end": 60, "rows": 40, "each": 0}, "“each” must be 1 or more, not 0."),
        ({"start": 80, "end": 60, "rows": 40, "each": 2, "first": 0}, "“first” must be 1 or more"),
        ({"start": 80, "end": 60, "rows": 40, "each": 2, "plain_end": -1}, "“plain_end” must be 0 or more"),
        ({"start": 80, "end": 60, "rows": -4, "each": 2}, "“over” must be 0 or more, not -4."),
    ],
)
def test_what_cannot_be_shaped_is_said(numbers, says):
    found = plan_shaping(ShapingInput(**numbers))
    assert found.runs is None
    assert says in (found.problem or "")


@pytest.mark.parametrize("missing", ["start", "end", "rows", "each", "plain_end"])
def test_an_unknown_number_gives_no_plan_and_no_problem(missing):
    numbers: dict[str, Any] = {"start": 80, "end": 60, "rows": 40, "each": 2, missing: None}
    found = plan_shaping(ShapingInput(**numbers))
    assert (found.runs, found.problem) == (None, None)
    numbers[missing] = math.nan
    assert plan_shaping(ShapingInput(**numbers)) == found


def test_no_change_is_worked_straight():
    found = plan(60, 60, 40, 2)
    assert found.runs == ()
    assert found.straight_rows == 40


def test_the_first_row_moves_all_others():
    assert plan(60, 64, 20, 2, first=5).event_rows == [12, 20]
    assert plan(60, 64, 9, 2, first=1, on_every=2).event_rows == [3, 9]


def test_first_defaults_to_on_every():
    assert plan(60, 80, 40, 2, on_every=2) == plan(60, 80, 40, 2, on_every=2, first=2)


def test_shapings_that_run_at_once_are_merged_row_by_row():
    merged = merge_event_rows({"raglan": [2, 4, 6], "body": [4, 5]})
    assert merged == [(2, ("raglan",)), (4, ("raglan", "body")), (5, ("body",)), (6, ("raglan",))]


@given(
    start=st.integers(0, 300),
    times=st.integers(0, 80),
    each=st.integers(1, 8),
    rows=st.integers(0, 300),
    on_every=st.integers(1, 4),
    first=st.integers(1, 12),
    plain_end=st.integers(0, 12),
)
def test_shaping_adds_up_is_even_and_fits(start, times, each, rows, on_every, first, plain_end):
    found = plan(start, start + times * each, rows, each, on_every=on_every, first=first, plain_end=plain_end)
    slots = range(first, rows - plain_end + 1, on_every)
    if times > len(slots):
        assert found.runs is None
        assert "not fit in" in found.problem
        return
    assert sum(count for _, count in found.runs) == times
    gaps = [every for every, _ in found.runs]
    assert max(gaps, default=0) - min(gaps, default=0) in (0, on_every)
    assert set(found.event_rows) <= set(slots)
    assert len(set(found.event_rows)) == times
    assert found.straight_rows >= (plain_end if times else 0)


def widths(of, begun):
    """The stitches after each row."""
    each = of.each if of.change > 0 else -of.each
    return [begun + each * sum(row <= at for row in of.event_rows) for at in range(1, of.rows + 1)]


def test_a_sleeve_worked_in_reverse_mirrors_the_first():
    # Derived: increases in rows 1 to 8, then every second to 28, of 30; row 31 − n is as wide as row n.
    first = plan(42, 78, 30, 2, plain_end=2)
    second = mirrored_plan(first, 1)
    assert second.event_rows == [*range(4, 23, 2), *range(23, 31)]
    assert widths(second, 78)[-1] == 42
    assert max(abs(a - b) for a, b in zip(widths(first, 42), widths(second, 78)[::-1], strict=True)) == 2


@given(
    slots=st.sets(st.integers(0, 12), min_size=1),
    on_every=st.integers(1, 4),
    first=st.integers(1, 4),
    plain=st.integers(0, 5),
)
def test_a_mirrored_plan_keeps_to_the_rows_that_may_be_shaped(slots, on_every, first, plain):
    rows = first + 12 * on_every + plain
    one = plan(40, 40 + 2 * len(slots), rows, 2, on_every=on_every, first=first, plain_end=plain)
    other = mirrored_plan(one, on_every)
    assert len(other.event_rows) == len(one.event_rows)
    assert sorted(set(other.event_rows)) == other.event_rows
    assert {(row - first) % on_every for row in other.event_rows} == {0}
    assert other.event_rows[0] >= 1
    assert other.event_rows[-1] <= rows
    if on_every == 1 and one.event_rows[0] > 1:
        assert widths(other, 40 + one.change)[::-1] == widths(one, 40)
