"""Stripes give each row its colour and each colour its share of the yarn."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.yarn.stripes import StripeRepeat, neighbours, plan_stripes, row_colours
from tests.present import present

DRIFT = (("A", 6), ("B", 2), ("A", 2), ("C", 4), ("B", 2))


def test_rows_follow_the_sequence_and_begin_where_told():
    assert "".join(row_colours(StripeRepeat(DRIFT), 18)) == "AAAAAABBAACCCCBBAA"
    assert "".join(row_colours(StripeRepeat(DRIFT), 5, start=15)) == "BAAAA"
    assert row_colours(StripeRepeat(DRIFT), 4, start=16 + 3) == row_colours(StripeRepeat(DRIFT), 4, start=3)


def test_a_change_at_the_row_start_is_hard():
    plan = plan_stripes(StripeRepeat((("A", 2), ("B", 1))), 6)
    assert not any(row.blended for row in present(plan.rows))
    assert plan.shares == pytest.approx({"A": 4 / 6, "B": 2 / 6})
    assert plan.row_counts == {"A": 4, "B": 2}


def test_a_change_on_the_return_pass_blends_the_last_row_of_a_stripe():
    plan = plan_stripes(StripeRepeat((("A", 2), ("B", 2)), "return pass", 0.46), 5)
    assert [(row.colour, row.return_colour) for row in present(plan.rows)] == [
        ("A", "A"), ("A", "B"), ("B", "B"), ("B", "A"), ("A", "A"),
    ]  # fmt: skip
    # derived: A has rows 1 and 5 whole, 0.46 of row 2 and 0.54 of row 4
    assert plan.shares == pytest.approx({"A": 3 / 5, "B": 2 / 5})
    plan = plan_stripes(StripeRepeat((("A", 2), ("B", 2)), "return pass", 0.46), 4)
    assert plan.shares == pytest.approx({"A": (1 + 0.46) / 4, "B": (2 + 0.54) / 4})


def test_a_colour_not_reached_has_no_share():
    assert plan_stripes(StripeRepeat(DRIFT), 6).shares == {"A": 1.0, "B": 0.0, "C": 0.0}


@pytest.mark.parametrize(
    ("sequence", "rows", "start", "says"),
    [
        (DRIFT, 0, 0, "“rows” must be 1 or more, not 0."),
        (DRIFT, 2.5, 0, "“rows” must be a whole number, not 2.5."),
        (DRIFT, 4, -1, "“start” must be 0 or more, not -1."),
        ((), 4, 0, "Each colour of a stripe sequence needs 1 row or more."),
        ((("A", 0),), 4, 0, "Each colour of a stripe sequence needs 1 row or more."),
    ],
)
def test_what_cannot_be_striped_is_said(sequence, rows, start, says):
    plan = plan_stripes(StripeRepeat(sequence), rows, start)
    assert (plan.rows, plan.problem) == (None, says)


def test_a_share_outside_0_to_1_is_said():
    plan = plan_stripes(StripeRepeat(DRIFT, "return pass", 1.2), 4)
    assert "“forward_share”" in present(plan.problem)


def test_unknown_rows_give_no_plan_and_no_problem():
    plan = plan_stripes(StripeRepeat(DRIFT), None)
    assert (plan.rows, plan.problem) == (None, None)


def test_neighbours_are_named_once():
    assert neighbours(plan_stripes(StripeRepeat(DRIFT), 32)) == [("A", "B"), ("A", "C"), ("B", "C")]


SEQUENCES = st.lists(st.tuples(st.sampled_from("ABCD"), st.integers(1, 6)), min_size=1, max_size=6)


@given(
    runs=SEQUENCES,
    rows=st.integers(1, 120),
    start=st.integers(0, 60),
    share=st.floats(0, 1),
    change=st.sampled_from(["row start", "return pass"]),
)
def test_shares_add_up_to_one(runs, rows, start, share, change):
    plan = plan_stripes(StripeRepeat(tuple(runs), change, share), rows, start)
    assert sum(plan.shares.values()) == pytest.approx(1)
    assert all(-1e-12 <= of_colour <= 1 + 1e-12 for of_colour in plan.shares.values())
    assert sum(plan.row_counts.values()) == rows
    last = present(plan.rows)[-1]
    assert last.return_colour == last.colour
