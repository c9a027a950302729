"""Changes spread over a row are even and interleaved."""

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.shaping.spreads import even_gaps, plan_spread
from tests.check_values import check_value
from tests.present import present

GROUP = "5-shaping"


def test_twelve_increases_in_eighty_agree():
    known = check_value(GROUP, "shape-even-increase-80-12")  # derived
    gaps = plan_spread(12, 80).gaps
    assert Counter(gaps) == {7: known["groups_of_7"], 6: known["groups_of_6"]}
    between = [after - before for before, after in pairwise(known["centred_positions_after_stitch"])]
    assert gaps[:-1] == between


def test_sixteen_decreases_in_a_hundred_agree():
    known = check_value(GROUP, "shape-even-decrease-100-16")  # derived; a group is k5, k2tog
    counts = Counter(plan_spread(-16, 100).gaps)
    assert counts == {7: known["k5_k2tog_times"], 6: known["k4_k2tog_times"]}
    assert 100 - sum(counts.values()) == known["end_stitches"]


def test_buttonholes_of_two_stitches_agree():
    known = check_value(GROUP, "shape-buttonholes")  # derived
    gaps = even_gaps(6, 112 - 2 * 4 - 7 * 2)
    assert set(gaps) == {known["gap"]}
    starts = [4 + 1 + sum(gaps[:i]) + 2 * i for i in range(7)]
    assert starts == known["starts"]


def test_runs_stand_in_working_order():
    assert plan_spread(5, 12).runs == ((2, 1), (3, 1), (2, 1), (3, 1), (2, 1))
    assert plan_spread(4, 80).runs == ((20, 4),)


@pytest.mark.parametrize(
    ("change", "stitches", "says"),
    [
        (30, 24, "30 changes do not fit in 24 stitches."),
        (-13, 24, "13 changes do not fit in 24 stitches."),
        (1, 0, "1 change does not fit in 0 stitches."),
        (2, 1, "2 changes do not fit in 1 stitch."),
        (2.5, 24, "“change” must be a whole number, not 2.5."),
        (2, 24.5, "“in” must be a whole number, not 24.5."),
    ],
)
def test_what_cannot_be_spread_is_said(change, stitches, says):
    found = plan_spread(change, stitches)
    assert (found.runs, found.problem) == (None, says)


def test_an_unknown_number_gives_no_plan_and_no_problem():
    for found in (plan_spread(None, 24), plan_spread(3, None), plan_spread(3, float("nan"))):
        assert (found.runs, found.problem) == (None, None)


def test_no_change_gives_no_groups():
    assert plan_spread(0, 24).runs == ()


@given(parts=st.integers(1, 120), total=st.integers(0, 600))
def test_gaps_are_even_and_interleaved(parts, total):
    gaps = even_gaps(parts, total)
    assert len(gaps) == parts
    assert sum(gaps) == total
    assert max(gaps) - min(gaps) <= 1
    reached = 0
    for i, gap in enumerate(gaps, start=1):
        reached += gap
        assert abs(reached - total * i / parts) <= 0.5 + 1e-9


@given(change=st.integers(1, 200), more=st.integers(0, 300))
def test_a_spread_makes_every_change(change, more):
    runs = present(plan_spread(change, change + more).runs)
    assert sum(times for _, times in runs) == change
    assert sum(gap * times for gap, times in runs) == change + more
    assert min(gap for gap, _ in runs) >= 1
    assert all(one[0] != other[0] for one, other in pairwise(runs))
