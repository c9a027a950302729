"""The error of each size with its interval: all measurements and all fabric factors solved jointly.

The kinds of error are taken as judged; what is left is linear and Gaussian. Errors of several measurements
and the fabric of all testers are fitted at once, so that an error in one line that makes every tester's
fabric uncertain widens the interval of the others as it must.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from testing.assessment.beliefs import ERROR_IN_TOLERANCES, GARMENT_GAUGE_SD, HOLDS, SIZES, SLOPE, Z90
from testing.assessment.evidence import Bools, Evidence, Floats, Whole
from testing.assessment.fabric import predict_entries, swatch_variance
from testing.assessment.kinds import size_ranks
from testing.assessment.rounds import Fitted

STEPS = 3  # Newton's, on a nearly straight line


@dataclass(frozen=True)
class Joint:
    """What all testers of a size say together about the errors of all measurements, fabric taken out."""

    hold: Floats  # (S, M, M)
    pull: Floats  # (S, M)


@dataclass(frozen=True)
class Design:
    """What a measurement's error may be: columns over the sizes, and the precision of the belief in each."""

    columns: Floats  # (S, D)
    precision: Floats  # (D,)


@dataclass(frozen=True)
class Others:
    """All measurements as they are while another is judged: one system and its inverse."""

    owner: Whole  # (D,) whose each column is
    basis: Floats  # (S, D)
    inverse: Floats  # (D, D)
    pull: Floats  # (D,)


@dataclass(frozen=True)
class LikelyEntries:
    """Each entry at its likeliest reading: what is left of it, and how it hangs on the fabric factors."""

    left: Floats  # (T, M) mm, without the known part of the fabric factors
    precision: Floats  # (T, M) 0 where nothing was sent
    slope: Floats  # (T, M, K) mm by log of the fabric factor
    firmness: Floats  # (T, K) precision of the belief about the factors


def estimate_errors(evidence: Evidence, fitted: Fitted, kind: Whole) -> tuple[Floats, Floats]:
    """Error and its standard deviation for every measurement and size, each (M, S), mm."""
    joint = _joint(evidence, fitted)
    sizes, columns = evidence.planned.shape
    chosen = fitted.fits[SIZES].chosen
    others = _all_others(joint, [_other_design(evidence, kind, chosen, column) for column in range(columns)])
    error, spread = np.zeros((columns, sizes)), np.zeros((columns, sizes))
    for column in range(columns):
        own = _own_design(evidence, kind, chosen, column)
        error[column], spread[column] = _solve(joint, others, own, column)
    return error, spread


def predict_beside(
    evidence: Evidence, fitted: Fitted, kind: Whole, estimate: tuple[Floats, Floats]
) -> Floats:
    """Foretell each entry from the garment's other entries, less the errors told of those, (T, M) in mm.

    The rounds end once the verdicts settle, before the errors have: what they foretold would leave a part of
    the error in every garment's fabric, and all garments would seem less wrong than the error told of them.
    `estimate` is what `estimate_errors` found. A measurement not judged wrong is taken to be right, with the
    doubt that the rounds left.
    """
    error, spread = estimate
    wrong, state = kind != HOLDS, fitted.state
    state = replace(
        state,
        error=np.where(wrong, error.T, 0.0),
        doubt=np.where(wrong, spread.T**2, state.doubt),
    )
    for _ in range(STEPS):
        prediction = predict_entries(evidence, state, fitted.variance)
        state = replace(state, factor=prediction.factor)
    return prediction.predicted


def interval(error: Floats, spread: Floats) -> tuple[Floats, Floats]:
    """The 90 % interval, mm."""
    return error - Z90 * spread, error + Z90 * spread


def _joint(evidence: Evidence, fitted: Fitted) -> Joint:
    """Add up what the testers say, each tester's fabric marginalised."""
    entries = _best_read(evidence, fitted)
    weighted = entries.precision[..., None] * entries.slope
    inner = np.einsum("tmk,tml->tkl", weighted, entries.slope)
    inner += entries.firmness[:, :, None] * np.eye(inner.shape[1])
    taken = np.einsum("tmk,tkl,tnl->tmn", weighted, np.linalg.inv(inner), weighted, optimize=True)
    precision = entries.precision[:, :, None] * np.eye(taken.shape[1]) - taken
    precision = precision * evidence.scale[:, :, None]
    pull = np.einsum("tmn,tn->tm", precision, entries.left)
    hold = precision * evidence.scale[:, None, :]
    one_hot = evidence.one_hot
    return Joint(np.einsum("ts,tmn->smn", one_hot, hold), one_hot.T @ pull)


def _best_read(evidence: Evidence, fitted: Fitted) -> LikelyEntries:
    """Take every entry at its likeliest reading, as far as that is believed."""
    weight, lines, factor = fitted.weight, fitted.lines, fitted.state.factor
    best = weight.argmax(axis=-1)[..., None]
    trust, residual, variance = (
        np.take_along_axis(part, best, axis=-1)[..., 0].T for part in (weight, lines.residual, lines.variance)
    )
    variance = fitted.variance + variance - lines.variance[..., 0].T
    predicted = evidence.expected * np.exp(np.einsum("tmk,tk->tm", evidence.sensitivity, factor))
    slope = predicted[..., None] * evidence.sensitivity
    counted = np.isfinite(evidence.known_factor)
    firmness = counted / GARMENT_GAUGE_SD**2 + 1 / swatch_variance(evidence, fitted.state.fabric_sd)
    known = np.where(counted, evidence.known_factor, 0.0) / GARMENT_GAUGE_SD**2 / firmness
    left = residual + fitted.predicted - predicted + np.einsum("tmk,tk->tm", slope, factor - known)
    return LikelyEntries(
        left=np.where(evidence.sent, left, 0.0),
        precision=np.where(evidence.sent, trust, 0.0) / variance,
        slope=slope,
        firmness=firmness,
    )


def _own_design(evidence: Evidence, kind: Whole, chosen: Bools, column: int) -> Design:
    """A judged measurement as it is reported: one that holds might still be off everywhere alike."""
    if kind[column] == HOLDS:
        return _common(evidence, column, 1, with_grain=False)
    if kind[column] == SIZES:
        apart = np.eye(len(evidence.planned))[:, chosen[column]]
        rest = (~chosen[column]).astype(float)[:, None]
        columns = np.hstack([apart, rest]) if rest.any() else apart
        return Design(columns, np.full(columns.shape[1], _looseness(evidence, column)))
    return _other_design(evidence, kind, chosen, column)


def _other_design(evidence: Evidence, kind: Whole, chosen: Bools, column: int) -> Design:
    """A measurement while another is judged: one that holds is right."""
    if kind[column] == HOLDS:
        return Design(np.zeros((len(evidence.planned), 0)), np.zeros(0))
    if kind[column] == SIZES:
        apart = np.eye(len(evidence.planned))[:, chosen[column]]
        return Design(apart, np.full(apart.shape[1], _looseness(evidence, column)))
    return _common(evidence, column, 2 if kind[column] == SLOPE else 1, with_grain=True)


def _common(evidence: Evidence, column: int, numbers: int, *, with_grain: bool) -> Design:
    """A shift (and slope), each size straying by its rounding to whole stitches or rows."""
    sizes = len(evidence.planned)
    columns = np.column_stack([np.ones(sizes), size_ranks(sizes)])[:, :numbers]
    precision = np.full(numbers, _looseness(evidence, column))
    if not with_grain or evidence.grain[column] <= 0:
        return Design(columns, precision)
    stray = np.full(sizes, 12 / evidence.grain[column] ** 2)
    return Design(np.hstack([columns, np.eye(sizes)]), np.concatenate([precision, stray]))


def _looseness(evidence: Evidence, column: int) -> float:
    """Precision of the belief about an error: a few tolerances."""
    return float(1 / (ERROR_IN_TOLERANCES * evidence.tolerance[column]) ** 2)


def _all_others(joint: Joint, designs: Sequence[Design]) -> Others:
    """Put the designs of all measurements, each as while another is judged, into one system, solved once."""
    owner = np.concatenate([np.full(design.columns.shape[1], at) for at, design in enumerate(designs)])
    basis = np.hstack([design.columns for design in designs])
    owner = owner.astype(np.int64)
    rows = [_crossed(joint, design, at, basis, owner) for at, design in enumerate(designs)]
    hold = np.vstack(rows) + np.diag(np.concatenate([design.precision for design in designs]))
    pull = np.einsum("sd,sd->d", basis, joint.pull[:, owner])
    return Others(owner, basis, np.asarray(np.linalg.inv(hold), dtype=np.float64), pull)


def _crossed(joint: Joint, design: Design, column: int, basis: Floats, owner: Whole) -> Floats:
    """How a design of one measurement hangs together with all others, (d, D)."""
    return np.asarray(design.columns.T @ (joint.hold[:, column][:, owner] * basis))


def _solve(joint: Joint, others: Others, design: Design, column: int) -> tuple[Floats, Floats]:
    """Error and standard deviation of one measurement by its own design, (S,) each; the others taken out.

    The inverse without the measurement's own place in it comes from the whole inverse (Schur complement).
    """
    place = others.owner == column
    cross = _crossed(joint, design, column, others.basis, others.owner)
    known = np.column_stack([cross.T, others.pull])
    known[place] = 0.0
    solved = others.inverse @ known
    if place.any():
        own = others.inverse[np.ix_(place, place)]
        solved -= others.inverse[:, place] @ np.linalg.solve(own, solved[place])
    taken = known[:, :-1].T @ solved
    hold = design.columns.T @ (joint.hold[:, column, column][:, None] * design.columns)
    covariance = np.linalg.inv(hold + np.diag(design.precision) - taken[:, :-1])
    error = design.columns @ (covariance @ (design.columns.T @ joint.pull[:, column] - taken[:, -1]))
    variance = np.einsum("sd,de,se->s", design.columns, covariance, design.columns)
    return error, np.sqrt(np.maximum(variance, 0.0))
