"""Pick-ups are counted by their ratio and spread evenly."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.shaping.pick_ups import (
    Ratio,
    edge_problem,
    exact_pick_up,
    half_up_counts,
    parse_ratio,
    plan_pick_up,
    spread_evenly,
)
from tests.check_values import check_value
from tests.present import present


def test_stocking_stitch_agrees_with_its_tip():
    known = check_value("5-shaping", "shape-pickup-stockinette")  # common practice, several public pages
    ratio = present(parse_ratio(known["ratio"].replace("/", " per ")))
    assert exact_pick_up(120, ratio) == known["pick_up"]


def test_the_ratio_of_two_gauges_agrees():
    known = check_value("5-shaping", "shape-pickup-general")  # derived: 20 sts to 28 rows
    exact = present(exact_pick_up(120, present(parse_ratio("20 per 28"))))
    assert exact == pytest.approx(known["exact"], abs=1e-6)
    assert half_up_counts(exact) == known["rounded"]


@pytest.mark.parametrize(
    ("stitch", "text"), [("sc", "1 per 1"), ("hdc", "3 per 2"), ("dc", "2 per 1"), ("tr", "3 per 1")]
)
def test_crochet_row_ends_agree(stitch, text):
    known = check_value("6-pickup", "rowend-crochet")  # sc and dc confirmed, the others from memory
    ratio = present(parse_ratio(text))
    assert ratio.stitches / ratio.per == known[stitch]


@pytest.mark.parametrize(
    ("fabric", "text"), [("stockinette", "3 per 4"), ("alt", "2 per 3"), ("garter", "1 per 2")]
)
def test_knitted_row_ends_agree(fabric, text):
    known = check_value("6-pickup", "rowend-knit")  # stocking stitch confirmed, garter from memory
    ratio = present(parse_ratio(text))
    assert ratio.stitches / ratio.per == pytest.approx(known[fabric], abs=1e-6)


@pytest.mark.parametrize(
    "text", ["3 to 4", "0 per 4", "3 per 0", "-3 per 4", "3per4", "1.5 per 2", "", "3 per 4 5"]
)
def test_what_is_no_ratio_is_refused(text):
    assert parse_ratio(text) is None


def test_an_edge_more_than_eight_in_a_hundred_off_is_named():
    # derived: 90 sts at 20 to 10 cm make 45 cm
    assert "10 % too few" in present(edge_problem(90, 0.2, 500))
    assert "12 % too many" in present(edge_problem(90, 0.2, 400))
    assert "make 17.7 in along an edge of 19.7 in" in present(edge_problem(90, 0.2, 500, "in"))
    assert edge_problem(90, 0.2, 450 / 0.92) is None
    assert edge_problem(90, 0.2, 450 / 1.08) is None
    assert edge_problem(None, 0.2, 450) is None
    assert edge_problem(90, 0.2, None) is None


def test_an_unknown_count_gives_no_plan():
    assert exact_pick_up(None, Ratio(3, 4)) is None
    assert plan_pick_up(None, 40, Ratio(3, 4)) is None
    assert plan_pick_up(30, float("nan"), Ratio(3, 4)) is None
    assert plan_pick_up(-3, 40, Ratio(3, 4)) is None
    assert plan_pick_up(3, 0, Ratio(3, 4)) is None


@given(count=st.integers(0, 400), p=st.integers(1, 12), q=st.integers(1, 12))
def test_a_plan_by_ratio_adds_up(count, p, q):
    ratio = Ratio(p, q)
    plan = present(plan_pick_up(half_up_counts(present(exact_pick_up(count, ratio))), count, ratio))
    assert not plan.even
    assert plan.groups * q + plan.rest_places == count
    assert plan.groups * p + plan.rest_stitches == plan.stitches
    assert 0 <= plan.rest_places < q
    assert 0 <= plan.rest_stitches <= p


@given(stitches=st.integers(0, 400), count=st.integers(1, 200))
def test_stitches_are_spread_within_one(stitches, count):
    each = spread_evenly(stitches, count)
    assert len(each) == count
    assert sum(each) == stitches
    assert max(each) - min(each) <= 1


@given(stitches=st.integers(0, 400), count=st.integers(1, 200))
def test_a_plan_moved_by_rounding_still_adds_up_evenly(stitches, count):
    plan = present(plan_pick_up(stitches, count, Ratio(3, 4)))
    if not plan.even:
        return
    assert plan.base * count + plan.extra * len(plan.gaps) == stitches
    assert sum(plan.gaps) in (0, count)
    assert all(gap >= 1 for gap in plan.gaps)
    assert max(plan.gaps, default=0) - min(plan.gaps, default=0) <= 1


def test_stitches_along_an_edge_of_no_length_are_too_many():
    assert edge_problem(4, 0.2, 0) == "The 4 stitches picked up make 2 cm along an edge of 0 cm: too many."
    assert edge_problem(0, 0.2, 0) is None
