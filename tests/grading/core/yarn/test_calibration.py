"""Yarn is corrected by what testers used, with a bound that few makers pass."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from grading.core.yarn.calibration import (
    CONFIDENCE,
    CONTENT,
    calibrate_yarn,
    non_negative_least_squares,
    one_sided_tolerance_factor,
)
from tests.check_values import check_value, check_values
from tests.present import present

GROUP = "8-statistics"


@pytest.mark.parametrize("name", ["stat-nnls", "stat-nnls_active"])
def test_least_squares_agree_with_the_known_solution(name):
    known = check_value(GROUP, name)  # computed by scipy
    matrix, target = np.array(known["A"]), np.array(known["b"])
    found = non_negative_least_squares(matrix, target)
    assert found == pytest.approx(np.array(known["x"]), abs=1e-5)
    assert np.linalg.norm(matrix @ found - target) == pytest.approx(known["rnorm"], abs=1e-5)


@given(st.integers(0, 2**32 - 1), st.integers(1, 12), st.integers(1, 6))
def test_least_squares_agree_with_scipy(seed, rows, columns):
    random = np.random.default_rng(seed)
    matrix, target = random.normal(size=(rows, columns)), random.normal(size=rows)
    found = non_negative_least_squares(matrix, target)
    _, known = optimize.nnls(matrix, target)
    assert (found >= 0).all()
    assert np.linalg.norm(matrix @ found - target) == pytest.approx(known, abs=1e-8)


def test_tolerance_factor_agrees_with_the_handbook():
    entry = check_values(GROUP)["stat-tol-nist"]  # NIST/SEMATECH e-Handbook 7.2.6.3
    found = one_sided_tolerance_factor(43, 0.90, 0.99)
    assert found == pytest.approx(entry["value"]["k1_noncentral_t"], abs=entry["tolerance"])
    assert found == pytest.approx(entry["value"]["k1"], abs=2e-3)  # Natrella's approximation


@pytest.mark.parametrize("count", [5, 8, 10, 20, 30])
@pytest.mark.parametrize("content", [0.9, 0.95])
def test_tolerance_factors_agree_with_the_table(count, content):
    entry = check_values(GROUP)["stat-tol-table"]  # computed by quadrature
    known = entry["value"][f"k1_exact_n{count}_p{content}_g0.95"]
    assert one_sided_tolerance_factor(count, content, 0.95) == pytest.approx(known, abs=entry["tolerance"])


@pytest.mark.parametrize("count", [2, 3, 7, 50, 400])
@pytest.mark.parametrize(("content", "confidence"), [(0.95, 0.95), (0.9, 0.5), (0.99, 0.9), (0.5, 0.05)])
def test_tolerance_factors_agree_with_scipy(count, content, confidence):
    shift = stats.norm.ppf(content) * math.sqrt(count)
    known = stats.nct.ppf(confidence, count - 1, shift) / math.sqrt(count)
    assert one_sided_tolerance_factor(count, content, confidence) == pytest.approx(known, rel=1e-6, abs=1e-6)


def test_factors_of_two_fabrics_are_found():
    computed = np.array([[300.0, 40], [350, 45], [410, 60], [280, 30], [500, 55]])
    found = calibrate_yarn(computed, computed @ np.array([1.08, 0.9]))
    assert found.factors == pytest.approx((1.08, 0.9))
    assert found.testers == 5
    assert found.allowance == pytest.approx(0, abs=1e-9)


def test_the_spread_sets_the_allowance():
    used = np.array([104.0, 96, 110, 101, 93, 99])
    found = calibrate_yarn(np.full((6, 1), 100.0), used)
    ratios = used / (100 * present(found.factors[0]))
    k = one_sided_tolerance_factor(6, CONTENT, CONFIDENCE)
    assert found.allowance == pytest.approx(ratios.mean() + k * ratios.std(ddof=1) - 1)
    assert present(found.allowance) > 0.15


def test_a_fabric_nobody_worked_has_no_factor():
    found = calibrate_yarn(np.array([[100.0, 0], [200, 0], [150, 0]]), np.array([105.0, 212, 155]))
    assert found.factors[1] is None
    assert found.factors[0] == pytest.approx(1.05, abs=0.02)


def test_testers_with_an_unknown_number_are_left_out():
    computed = np.array([[100.0], [np.nan], [200], [150], [0]])
    found = calibrate_yarn(computed, np.array([110.0, 200, np.nan, 165, 10]))
    assert found.testers == 2
    assert found.factors == pytest.approx((1.1,))
    assert found.allowance is None


def test_no_testers_give_no_numbers():
    found = calibrate_yarn(np.empty((0, 2)), np.empty(0))
    assert (found.factors, found.testers, found.allowance) == ((None, None), 0, None)
