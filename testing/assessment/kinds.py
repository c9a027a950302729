"""The kinds of error that a line of a pattern can have, each fitted to all measurements at once."""

from dataclasses import dataclass

import numpy as np

from testing.assessment.beliefs import ERROR_IN_TOLERANCES, LOG_PRIOR, SIZES, SLOPE
from testing.assessment.evidence import Bools, Evidence, Floats
from testing.assessment.readings import Lines, pulls, weigh_readings
from testing.assessment.robust import medians_by_size, theil_sen

STEPS = 6


@dataclass(frozen=True)
class FittedKind:
    """One kind of error fitted to every measurement; lengths in mm at the pattern's gauge."""

    evidence: Floats  # (M,) log
    error: Floats  # (M, S)
    mean: Floats  # (M, S) with the doubt whether a size is wrong at all
    second: Floats  # (M, S) expected square, with the same doubt
    weight: Floats  # (M, T, B) how much each reading of an entry counts
    chosen: Bools  # (M, S) the sizes that are wrong


@dataclass(frozen=True)
class Model:
    """An error that is linear in a few numbers: what each does to the sizes, and how large it may be."""

    basis: Floats  # (S, D)
    precision: Floats  # (M, D) of the belief about each number


def fit_kinds(evidence: Evidence, lines: Lines) -> tuple[Floats, list[FittedKind]]:
    """Fit all kinds; the belief in each, (4, M), and the fits."""
    sizes = len(evidence.planned)
    sd = ERROR_IN_TOLERANCES * evidence.tolerance
    medians = medians_by_size(
        np.where(evidence.sent, lines.residual[..., 0].T / evidence.scale, np.nan), evidence.one_hot
    )
    fits = [
        _no_error(lines, sizes),
        _fit_linear(lines, _common_model(evidence, sd, 1), _start_shift(medians)),
        _fit_linear(lines, _common_model(evidence, sd, 2), _start_slope(medians)),
        _fit_single_sizes(lines, sd, medians),
    ]
    logs = np.array(LOG_PRIOR)[:, None] + np.array([fit.evidence for fit in fits])
    known = (evidence.seen > 0).sum(axis=0)
    logs[SLOPE, known < 3] = -np.inf
    logs[SIZES, known < 2] = -np.inf
    return np.exp(logs - np.logaddexp.reduce(logs, axis=0)), fits


def size_ranks(sizes: int) -> Floats:
    """Where each size stands between the smallest, −1, and the largest, 1."""
    return np.linspace(-1.0, 1.0, sizes) if sizes > 1 else np.zeros(1)


def _common_model(evidence: Evidence, sd: Floats, numbers: int) -> Model:
    """A shift (and a slope) of all sizes, each size straying by its rounding to whole stitches or rows."""
    sizes = len(evidence.planned)
    basis = np.column_stack([np.ones(sizes), size_ranks(sizes)])[:, :numbers]
    grain = np.maximum(evidence.grain, 0.1)
    common = np.repeat(1 / sd[:, None] ** 2, numbers, axis=1)
    stray = np.repeat(12 / grain[:, None] ** 2, sizes, axis=1)
    return Model(np.hstack([basis, np.eye(sizes)]), np.hstack([common, stray]))


def _start_shift(medians: Floats) -> Floats:
    """The median of the sizes, (M, 1)."""
    known = np.isfinite(medians).any(axis=1)
    start = np.zeros((len(medians), 1))
    start[known, 0] = np.nanmedian(medians[known], axis=1)
    return start


def _start_slope(medians: Floats) -> Floats:
    """A line through medians, (M, 2)."""
    ranks = size_ranks(medians.shape[1])
    start = np.hstack([_start_shift(medians), np.zeros((len(medians), 1))])
    for row, of_sizes in enumerate(medians):
        slope, intercept = theil_sen(ranks, of_sizes)
        if np.isfinite(slope):
            start[row] = intercept, slope
    return start


def _no_error(lines: Lines, sizes: int) -> FittedKind:
    """The line is right."""
    zero = np.zeros((len(lines.scale), sizes))
    weight, density = weigh_readings(lines, zero)
    return FittedKind(density.sum(axis=1), zero, zero, zero, weight, np.zeros_like(zero, dtype=bool))


def _fit_linear(lines: Lines, model: Model, robust: Floats) -> FittedKind:
    """Fit a linear error from a robust start and from none, keep the better, weigh it by Laplace's method."""
    numbers = model.basis.shape[1]
    start = np.zeros((2, len(robust), numbers))
    start[0, :, : robust.shape[1]] = robust
    for _ in range(STEPS):
        pull, hold = pulls(lines, start @ model.basis.T)
        curvature = _curvature(model, hold)
        start = np.asarray(np.linalg.solve(curvature, (pull @ model.basis)[..., None])[..., 0], dtype=float)
    error = start @ model.basis.T
    weight, density = weigh_readings(lines, error)
    logs = density.sum(axis=-1) - 0.5 * (model.precision * start**2).sum(axis=-1)
    logs += 0.5 * np.log(model.precision).sum(axis=-1) - 0.5 * np.linalg.slogdet(curvature)[1]
    best, rows = logs.argmax(axis=0), np.arange(len(robust))
    spread = np.linalg.inv(curvature[best, rows])
    variance = np.einsum("sd,mde,se->ms", model.basis, spread, model.basis)
    error = error[best, rows]
    everywhere = np.ones_like(error, dtype=bool)
    return FittedKind(logs[best, rows], error, error, error**2 + variance, weight[best, rows], everywhere)


def _curvature(model: Model, hold: Floats) -> Floats:
    """Second derivative of a fit in its numbers, (…, M, D, D)."""
    inner = model.basis.T @ (hold[..., None] * model.basis)
    return np.asarray(inner + model.precision[:, :, None] * np.eye(model.basis.shape[1]))


def _fit_single_sizes(lines: Lines, sd: Floats, medians: Floats) -> FittedKind:
    """Errors in some sizes only: each size is right or wrong on its own, and all choices are summed."""
    sizes = medians.shape[1]
    evidence, error, variance = _fit_each_size(lines, sd, medians)
    _, density = weigh_readings(lines, np.zeros_like(medians))
    share = min(0.3, 1.5 / sizes)
    is_right = np.log1p(-share) + density @ lines.one_hot
    is_wrong = np.log(share) + evidence
    each = np.logaddexp(is_right, is_wrong)
    belief = np.exp(is_wrong - each)
    # At least one size is wrong, or it would be no error.
    none, total = is_right.sum(axis=1), each.sum(axis=1)
    logs = total + np.log(-np.expm1(np.minimum(none - total, -1e-12)))
    logs -= np.log(-np.expm1(sizes * np.log1p(-share)))
    chosen = belief > 0.5
    weight, _ = weigh_readings(lines, np.where(chosen, error, 0.0))
    second = belief * (error**2 + variance)
    return FittedKind(logs, np.where(chosen, error, 0.0), belief * error, second, weight, chosen)


def _fit_each_size(lines: Lines, sd: Floats, medians: Floats) -> tuple[Floats, Floats, Floats]:
    """Fit every size on its own: log evidence, error and variance, each (M, S)."""
    error = np.stack([np.nan_to_num(medians), np.zeros_like(medians)])
    belief = 1 / sd[:, None] ** 2
    for _ in range(STEPS):
        pull, hold = pulls(lines, error)
        hold = hold + belief
        error = pull / hold
    _, density = weigh_readings(lines, error)
    logs = density @ lines.one_hot - 0.5 * belief * error**2 + 0.5 * np.log(belief) - 0.5 * np.log(hold)
    better = logs[0] >= logs[1]
    return (
        np.where(better, logs[0], logs[1]),
        np.where(better, error[0], error[1]),
        np.where(better, 1 / hold[0], 1 / hold[1]),
    )
