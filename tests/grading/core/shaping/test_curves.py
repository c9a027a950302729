"""Curves are worked in steps that add up and stay near the curve, on one edge of the piece."""

import math
from itertools import accumulate, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, special

from grading.core.shaping.curves import (
    CurvePlan,
    EdgeGauge,
    default_rows_per_step,
    edge_length_mm,
    opposite,
    place_curve_rows,
    plan_curve,
    quarter_ellipse_mm,
    share_taken,
)
from tests.check_values import check_value
from tests.present import present

SHAPES = ("quarter ellipse", "straight")


def test_a_shoulder_in_four_steps_agrees():
    known = check_value("5-shaping", "shape-shoulder-26-4")  # derived
    drops = present(plan_curve(26, 4, "straight").drops)
    assert list(drops) == known["steps"]
    assert len(drops) * default_rows_per_step("knitting") == known["rows"]


def test_a_neck_takes_off_its_half():
    known = check_value("5-shaping", "shape-neck-curve")  # derived
    drops = present(plan_curve(known["per_side"], 7, "quarter ellipse").drops)
    assert 12 + 2 * sum(drops) == known["total"]


def test_a_quarter_circle_follows_its_formula():
    # derived: 10 · sqrt(1 − (1 − i/5)²) = 6, 8, 9.165, 9.798, 10
    assert plan_curve(10, 5, "quarter ellipse").drops == (6, 2, 1, 1, 0)


@pytest.mark.parametrize(
    ("width", "depth", "says"),
    [
        (12, 0, "12 stitches cannot be taken off in 0 steps: the depth must be 1 or more."),
        (1, 0, "1 stitch cannot be taken off in 0 steps: the depth must be 1 or more."),
        (-1, 4, "“width” must be 0 or more, not -1."),
        (4, -1, "“depth” must be 0 or more, not -1."),
        (4.5, 4, "“width” must be a whole number, not 4.5."),
        (4, 4.5, "“depth” must be a whole number, not 4.5."),
    ],
)
def test_what_cannot_be_worked_is_said(width, depth, says):
    assert plan_curve(width, depth, "straight") == CurvePlan(None, says)


def test_an_unknown_number_gives_no_plan_and_no_problem():
    for width, depth in ((None, 4), (4, None), (math.nan, 4), (4, math.inf)):
        assert plan_curve(width, depth, "straight") == CurvePlan(None)


def test_nothing_in_no_steps_is_fine():
    assert plan_curve(0, 0, "straight") == CurvePlan(())
    assert plan_curve(0, 3, "straight") == CurvePlan((0, 0, 0))


@given(width=st.integers(0, 200), depth=st.integers(1, 80), shape=st.sampled_from(SHAPES))
def test_steps_never_grow_again_and_keep_sum_length_and_curve(width, depth, shape):
    drops = present(plan_curve(width, depth, shape).drops)
    assert len(drops) == depth
    assert sum(drops) == width
    assert sorted(drops) == sorted(present(plan_curve(width, depth, shape, shrinking=False).drops))
    for i, reached in enumerate(accumulate(drops), start=1):
        assert abs(reached - width * share_taken(i / depth, shape)) <= 1 + width / 60
    at = [i for i, drop in enumerate(drops) if drop]
    falls = all(drops[one] >= drops[other] for one, other in pairwise(at))
    if shape == "straight":  # even is straight
        assert max(drops) - min(drops) <= 1
    else:
        gaps = [other - one for one, other in pairwise(at)]
        assert falls
        assert gaps == sorted(gaps)


@pytest.mark.parametrize(
    ("width", "depth", "drops"),
    [(14, 7, (7, 3, 2, 1, 1, 0, 0)), (26, 12, (10, 4, 3, 2, 2, 2, 1, 1, 1, 0, 0, 0))],
)
def test_a_neck_shrinks_towards_its_end(width, depth, drops):
    assert plan_curve(width, depth, "quarter ellipse").drops == drops


@given(width=st.integers(0, 200), depth=st.integers(1, 80), shape=st.sampled_from(SHAPES))
def test_drops_that_are_nearest_to_the_curve_stay_within_half_a_stitch(width, depth, shape):
    drops = present(plan_curve(width, depth, shape, shrinking=False).drops)
    assert len(drops) == depth
    assert sum(drops) == width
    assert min(drops) >= 0
    for i, reached in enumerate(accumulate(drops), start=1):
        assert abs(reached - width * share_taken(i / depth, shape)) <= 0.5 + 1e-6


@pytest.mark.parametrize(
    ("craft", "every", "sides"),
    [
        ("crochet", 1, ["end", "start", "end"]),
        ("crochet", 2, ["end", "end", "end"]),
        ("tunisian", 1, ["end", "end", "end"]),
        ("knitting", 2, ["end", "end", "end"]),
        ("knitting", 1, ["end", "start", "end"]),
    ],
)
def test_steps_stay_on_the_same_edge(craft, every, sides):
    rows = place_curve_rows((3, 2, 1), every, at="end", craft=craft)
    assert [row.side for row in rows] == sides
    assert [row.row for row in rows] == [1, 1 + every, 1 + 2 * every]
    mirrored = place_curve_rows((3, 2, 1), every, at="start", craft=craft)
    assert [opposite(row.side) for row in mirrored] == sides


def test_rows_per_step_follow_the_craft():
    crafts = {craft: default_rows_per_step(craft) for craft in ("crochet", "tunisian", "knitting")}
    assert crafts == {"crochet": 1, "tunisian": 1, "knitting": 2}


@given(across=st.floats(0.01, 1000), down=st.floats(0.01, 1000))
def test_a_quarter_of_an_ellipse_agrees_with_scipy(across, down):
    longer, shorter = max(across, down), min(across, down)
    known = longer * special.ellipe(1 - (shorter / longer) ** 2)
    assert quarter_ellipse_mm(across, down) == pytest.approx(known, rel=1e-9)


def test_a_quarter_of_an_ellipse_agrees_with_its_integral():
    known, _ = integrate.quad(lambda t: math.hypot(70 * math.cos(t), 160 * math.sin(t)), 0, math.pi / 2)
    assert quarter_ellipse_mm(70, 160) == pytest.approx(known, rel=1e-10)
    assert quarter_ellipse_mm(70, 0) == 70


def test_the_edge_is_measured_at_its_gauge():
    gauge = EdgeGauge(stitches_per_mm=0.2, rows_per_mm=0.25)
    assert edge_length_mm(60, 100, "straight", gauge) == pytest.approx(500)  # 300, 400, 500 mm
    assert edge_length_mm(60, 75, "quarter ellipse", gauge) == pytest.approx(150 * math.pi)


@pytest.mark.parametrize(
    ("width", "rows", "gauge"),
    [
        (None, 10, EdgeGauge(0.2, 0.2)),
        (10, None, EdgeGauge(0.2, 0.2)),
        (10, 10, None),
        (10, 10, EdgeGauge(0, 0.2)),
        (math.nan, 10, EdgeGauge(0.2, 0.2)),
        (-1, 10, EdgeGauge(0.2, 0.2)),
    ],
)
def test_no_length_without_its_numbers(width, rows, gauge):
    assert edge_length_mm(width, rows, "straight", gauge) is None
