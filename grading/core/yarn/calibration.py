"""Yarn amounts corrected by what testers really used."""

import math
from dataclasses import dataclass
from statistics import NormalDist, fmean, stdev

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

# 95 of 100 makers do not run out; so sure that this holds in 95 of 100 such tests.
CONTENT = 0.95
CONFIDENCE = 0.95

_NORMAL = NormalDist()


@dataclass(frozen=True)
class Calibration:
    """What the testers' yarn says; `allowance` is None where there are too few testers.

    `factors`: for each fabric, yarn used per yarn computed, None where no tester worked it.
    `allowance`: share to add to the corrected weights.
    """

    factors: tuple[float | None, ...]
    testers: int
    mean_ratio: float | None = None
    spread: float | None = None
    allowance: float | None = None


def calibrate_yarn(computed_g: Numbers, used_g: Numbers) -> Calibration:
    """Correct computed yarn by the yarn used.

    Args:
        computed_g: Weight computed at each tester's own gauge, one row per tester, one column per
            fabric, 0 or more. Rows with an unknown number are left out.
        used_g: Weight each tester really used, above 0.

    Returns:
        One factor per fabric, and the allowance on top of them: the one-sided tolerance bound of
        the ratio used / corrected, less 1, never below 0. At least two testers more than factors
        are needed for an allowance.

    Source: non-negative least squares, Lawson & Hanson, Solving Least Squares Problems, 1974;
    tolerance bound, NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3.

    >>> found = calibrate_yarn(np.array([[100.0], [200.0], [150.0]]), np.array([110.0, 220.0, 165.0]))
    >>> [round(factor, 6) for factor in found.factors], found.testers, round(found.allowance, 6)
    ([1.1], 3, 0.0)
    """
    known = np.isfinite(computed_g).all(axis=1) & np.isfinite(used_g) & (used_g > 0)
    known &= computed_g.sum(axis=1, where=np.isfinite(computed_g)) > 0
    matrix, used = computed_g[known], used_g[known]
    worked = np.asarray((matrix > 0).any(axis=0))
    # Each tester counts alike, a large size no more than a small one.
    solved = non_negative_least_squares(matrix[:, worked] / used[:, None], np.ones(len(used)))
    by_fabric = iter(solved.tolist())
    factors = tuple(next(by_fabric) if is_worked else None for is_worked in worked)
    corrected = matrix[:, worked] @ solved
    if len(used) < len(solved) + 2 or not (corrected > 0).all():
        return Calibration(factors, len(used))
    return _with_allowance(factors, (used / corrected).tolist())


def _with_allowance(factors: tuple[float | None, ...], ratios: list[float]) -> Calibration:
    """Add the tolerance bound of the testers' ratios."""
    mean, spread = fmean(ratios), stdev(ratios)
    bound = mean + one_sided_tolerance_factor(len(ratios), CONTENT, CONFIDENCE) * spread
    return Calibration(factors, len(ratios), mean, spread, max(0.0, bound - 1))


def non_negative_least_squares(matrix: Numbers, target: Numbers) -> Numbers:
    """Solve least squares with no factor below 0.

    Args:
        matrix: One row per observation, one column per factor.
        target: One number per observation.

    Returns:
        One factor per column, 0 or more, for which the squares of matrix @ factors − target add up
        to the least.

    Source: Lawson & Hanson, Solving Least Squares Problems, 1974, chapter 23.

    >>> non_negative_least_squares(np.array([[1.0, 0], [0, 1]]), np.array([2.0, -1])).tolist()
    [2.0, 0.0]
    """
    columns = matrix.shape[1]
    free = np.zeros(columns, dtype=bool)
    solved = np.zeros(columns)
    limit = 1e-12 * max(1.0, float(np.abs(matrix).max(initial=0.0)) * float(np.abs(target).max(initial=0.0)))
    for _ in range(3 * columns + 10):  # Lawson & Hanson's bound; it ends much earlier
        pull = matrix.T @ (target - matrix @ solved)
        pull[free] = -np.inf
        if free.all() or pull.max(initial=-np.inf) <= limit:
            break
        free[int(pull.argmax())] = True
        solved = _settle(matrix, target, free, solved)
    return solved


def _settle(matrix: Numbers, target: Numbers, free: NDArray[np.bool_], solved: Numbers) -> Numbers:
    """Solve for the free factors, taking out those that would fall below 0 (changes `free`)."""
    while True:
        wanted = np.zeros_like(solved)
        wanted[free] = np.linalg.lstsq(matrix[:, free], target, rcond=None)[0]
        below = free & (wanted <= 0)
        if not below.any():
            return wanted
        step = float((solved[below] / (solved[below] - wanted[below] + 1e-300)).min())
        solved = solved + step * (wanted - solved)
        free &= solved > 1e-14
        solved = np.where(free, solved, 0.0)


def one_sided_tolerance_factor(count: int, content: float, confidence: float) -> float:
    """Return the factor k of a one-sided tolerance bound mean + k · standard deviation.

    Args:
        count: Observations, 2 or more.
        content: Share of makers that the bound holds, between 0 and 1.
        confidence: How sure that is, between 0 and 1.

    Returns:
        k such that, for normal observations, the bound covers `content` with this confidence.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3: noncentral t with count − 1
    degrees of freedom and noncentrality z · sqrt(count), divided by sqrt(count).

    >>> round(one_sided_tolerance_factor(10, 0.95, 0.95), 3)
    2.911
    """
    root = math.sqrt(count)
    shift = _NORMAL.inv_cdf(content) * root
    low, high = 0.0, 1.0
    while _noncentral_t_below(low * root, count - 1, shift) > confidence:
        low -= 1.0 + abs(low)
    while _noncentral_t_below(high * root, count - 1, shift) < confidence:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        if _noncentral_t_below(middle * root, count - 1, shift) < confidence:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _noncentral_t_below(bound: float, freedom: int, shift: float) -> float:
    """Return the chance that (Z + shift) / sqrt(chi-square / freedom) lies below a bound.

    The chance of Z given s = sqrt(chi-square / freedom) is integrated over the density of s.
    """
    width = 10 / math.sqrt(2 * freedom)
    nodes, weights = _nodes(max(0.0, 1 - width), 1 + width)
    log_scale = math.log(2) + freedom / 2 * math.log(freedom / 2) - math.lgamma(freedom / 2)
    total = 0.0
    for s, weight in zip(nodes, weights, strict=True):
        log_density = log_scale + (freedom - 1) * math.log(s) - freedom * s * s / 2
        total += weight * math.exp(log_density) * 0.5 * math.erfc((shift - bound * s) / math.sqrt(2))
    return total


_GAUSS_NODES, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(160)


def _nodes(low: float, high: float) -> tuple[list[float], list[float]]:
    """Return the nodes and weights of a Gauss–Legendre integral from low to high."""
    half = (high - low) / 2
    return (low + half * (_GAUSS_NODES + 1)).tolist(), (half * _GAUSS_WEIGHTS).tolist()
