"""Is it the pattern, the gauge or the tape? Arrays in, verdicts out.

What a tester measured differs from what their counts give at their own gauge for four reasons, fitted together:

* the pattern is wrong by some millimetres in some sizes (a shift, a slope over the sizes, or single sizes);
* the garment's real fabric differs from the swatch: one factor per tester, fabric and direction, shared by all
  measurements of that direction, as strongly as each depends on that gauge;
* the tape: a spread with a fixed part and a part that grows with the length, estimated from the data;
* blunders: inches for centimetres, a width laid flat, doubled, the neighbouring line, digits swapped.

Each measurement is judged with the fabric factors that the tester's *other* measurements give, so that a wrong
line cannot explain itself away. Everything is linear and Gaussian once the blunders are weighed, so the evidence
of each kind of error is a closed expression.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

VERDICTS = ("holds", "shift", "slope", "sizes")
BLUNDERS = ("inches", "flat", "doubled", "digits")

# What is believed before any result is seen, in words: most lines of a pattern are right; a wrong one is wrong by
# a few tolerances; a tape is read to about half a centimetre; a swatch is a few per cent off the garment.
PRIOR_OF_VERDICT = np.log([0.85, 0.05, 0.05, 0.05])
ERROR_IN_TOLERANCES = 3.0
TAPE_MM = 5.0
TAPE_SHARE = 0.003
FABRIC_SD = 0.02
BLUNDER_SHARE = 0.03
JUNK_SHARE = 0.002
ROUNDS = 12
SURE = 0.9


@dataclass(frozen=True)
class Evidence:
    """What the testers of one call sent in, beside what was expected of each.

    T testers, M measurements, K gauges (fabric and direction), S sizes; lengths in mm, NaN where nothing was sent.
    """

    size: NDArray[np.int64]  # (T,) index of the size made
    measured: Floats  # (T, M) as sent in
    expected: Floats  # (T, M) the counts of the pattern at the tester's own gauge
    planned: Floats  # (S, M) the same counts at the pattern's gauge
    sensitivity: Floats  # (T, M, K) change of log expected with log gauge; -1 for stitches / gauge
    tolerance: Floats  # (M,)
    around: NDArray[np.bool_]  # (M,) measured round the body
    swapped: Floats | None = None  # (T, M) the entry with two digits swapped, nearest to what was expected
    known_factor: Floats | None = None  # (T, K) log of garment gauge over swatch gauge, where it was measured

    @property
    def scale(self) -> Floats:
        """How many mm an error of 1 mm at the pattern's gauge makes at the tester's, (T, M)."""
        with np.errstate(invalid="ignore", divide="ignore"):
            scale = self.expected / self.planned[self.size]
        return np.where(np.isfinite(scale) & (scale > 0), scale, 1.0)


@dataclass(frozen=True)
class Verdict:
    """What the results say about one finished measurement; lengths in mm at the pattern's gauge, one per size."""

    verdict: str
    sizes: tuple[int, ...]
    error: Floats
    low: Floats
    high: Floats
    rests_on: int
    probability: float


@dataclass(frozen=True)
class Doubt:
    """An entry that looks like something else."""

    tester: int
    measurement: int
    looks_like: str
    meant: float


@dataclass(frozen=True)
class Assessment:
    """Verdict per measurement, doubtful entries, and the gauge factor of each tester's garment."""

    verdicts: list[Verdict]
    doubts: list[Doubt]
    factor: Floats  # (T, K) log of garment gauge over swatch gauge
    tape_mm: float
    tape_share: float
    fabric_sd: float


@dataclass
class _Line:
    """One measurement as it stands in a round: its entries, their readings, and what the models say."""

    who: NDArray[np.int64]
    size: NDArray[np.int64]
    scale: Floats
    residual: Floats  # (n, B) entry under each reading minus what is expected of the tester
    variance: Floats  # (n, B)
    log_share: Floats  # (n, B) log prior of the reading, with its change of scale
    junk: Floats  # (n,) log density of an entry that is none of these


@dataclass
class _Fit:
    """One kind of error fitted to a line."""

    evidence: float
    error: Floats  # (S,)
    spread: Floats  # (S,)
    weight: Floats  # (n, B) how much each reading of an entry counts
    chosen: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, bool))


def _log_normal(residual: Floats, variance: Floats) -> Floats:
    """Log density of a centred normal."""
    return -0.5 * (np.log(2 * np.pi * variance) + residual**2 / variance)


def _readings(line: _Line, error: Floats) -> tuple[Floats, Floats]:
    """Weight of each reading (n, B) and log density (n,) given the error in mm for each entry's size."""
    logs = line.log_share + _log_normal(line.residual - (line.scale * error)[:, None], line.variance)
    top = np.maximum(logs.max(axis=1), line.junk)
    parts = np.exp(logs - top[:, None])
    total = parts.sum(axis=1) + np.exp(line.junk - top)
    return parts / total[:, None], top + np.log(total)


def _fit_design(line: _Line, design: Floats, over_sizes: Floats, sd: float, start: Floats) -> _Fit:
    """Fit errors that are linear in a few numbers (n, d) and weigh the fit by Laplace's method."""
    coefficients = start.astype(float)
    prior = np.eye(design.shape[1]) / sd**2
    for _ in range(6):
        weight, _ = _readings(line, design @ coefficients)
        share = weight / line.variance
        pull = line.scale * (share * line.residual).sum(axis=1)
        hold = line.scale**2 * share.sum(axis=1)
        curvature = prior + (design * hold[:, None]).T @ design
        coefficients = np.linalg.solve(curvature, design.T @ pull)
    weight, density = _readings(line, design @ coefficients)
    spread = np.linalg.inv(curvature)
    evidence = (
        density.sum()
        - 0.5 * coefficients @ prior @ coefficients
        - len(coefficients) * np.log(sd)
        - 0.5 * np.linalg.slogdet(curvature)[1]
    )
    variance = np.einsum("sd,de,se->s", over_sizes, spread, over_sizes)
    return _Fit(float(evidence), over_sizes @ coefficients, np.sqrt(variance), weight)


def _fit_each_size(line: _Line, count: int, sd: float, start: Floats) -> tuple[Floats, _Fit]:
    """Fit every size on its own; log evidence per size, (S,), beside the fit."""
    error = start.copy()
    for _ in range(6):
        weight, _ = _readings(line, error[line.size])
        share = weight / line.variance
        pull = np.bincount(line.size, line.scale * (share * line.residual).sum(axis=1), count)
        hold = np.bincount(line.size, line.scale**2 * share.sum(axis=1), count) + 1 / sd**2
        error = pull / hold
    weight, density = _readings(line, error[line.size])
    evidence = (
        np.bincount(line.size, density, count) - 0.5 * (error / sd) ** 2 - np.log(sd) - 0.5 * np.log(hold)
    )
    return evidence, _Fit(float(evidence.sum()), error, 1 / np.sqrt(hold), weight)


def _medians(line: _Line, count: int) -> Floats:
    """Median residual per size as a robust start, (S,); 0 where a size has no entry."""
    ratio = line.residual[:, 0] / line.scale
    return np.array(
        [np.median(ratio[line.size == s]) if (line.size == s).any() else 0.0 for s in range(count)]
    )


def _fit_single_sizes(line: _Line, count: int, sd: float, nothing: Floats) -> _Fit:
    """Errors in some sizes only: each size is in or out, and all choices are summed."""
    starts = (_medians(line, count), np.zeros(count))
    fits = [_fit_each_size(line, count, sd, start) for start in starts]
    better = fits[0][0] >= fits[1][0]
    evidence = np.where(better, fits[0][0], fits[1][0])
    error = np.where(better, fits[0][1].error, fits[1][1].error)
    spread = np.where(better, fits[0][1].spread, fits[1][1].spread)
    share = min(0.3, 1.5 / count)
    out, in_ = np.log1p(-share) + nothing, np.log(share) + evidence
    each = np.logaddexp(out, in_)
    belief = np.exp(in_ - each)
    chosen = belief > 0.5
    none = out.sum()
    total = each.sum()
    rest = total + np.log(-np.expm1(min(none - total, -1e-12))) - np.log(-np.expm1(count * np.log1p(-share)))
    expected = np.where(chosen, error, 0.0)
    weight, _ = _readings(line, expected[line.size])
    return _Fit(float(rest), expected, np.where(chosen, spread, 0.0), weight, chosen)


def _fit_line(line: _Line, count: int, tolerance: float) -> tuple[Floats, list[_Fit]]:
    """Fit the four kinds of verdict to one measurement; log posterior (4,) and the fits."""
    sd = ERROR_IN_TOLERANCES * tolerance
    weight, density = _readings(line, np.zeros(len(line.size)))
    nothing = np.bincount(line.size, density, count)
    zero = np.zeros(count)
    fits = [_Fit(float(nothing.sum()), zero, zero, weight)]
    ones, rank = np.ones(count), np.linspace(-1.0, 1.0, count) if count > 1 else np.zeros(1)
    middle = np.median(line.residual[:, 0] / line.scale)
    fits.append(_best_start(line, ones[:, None], sd, [np.array([middle]), np.zeros(1)]))
    both = np.column_stack([ones, rank])
    fits.append(_best_start(line, both, sd, [_robust_line(line, rank), np.zeros(2)]))
    fits.append(_fit_single_sizes(line, count, sd, nothing))
    posterior = PRIOR_OF_VERDICT + np.array([fit.evidence for fit in fits])
    seen = len(np.unique(line.size))
    if seen < 3:
        posterior[2] = -np.inf
    if seen < 2:
        posterior[3] = -np.inf
    return posterior - np.logaddexp.reduce(posterior), fits


def _best_start(line: _Line, over_sizes: Floats, sd: float, starts: list[Floats]) -> _Fit:
    """The better of several starts of the same model."""
    fits = [_fit_design(line, over_sizes[line.size], over_sizes, sd, start) for start in starts]
    return max(fits, key=lambda fit: fit.evidence)


def _robust_line(line: _Line, rank: Floats) -> Floats:
    """Intercept and slope through medians (Theil-Sen), as a start that blunders cannot pull."""
    x, y = rank[line.size], line.residual[:, 0] / line.scale
    first, second = np.triu_indices(len(x), 1)
    apart = x[first] != x[second]
    if not apart.any():
        return np.array([np.median(y), 0.0])
    slope = np.median((y[second] - y[first])[apart] / (x[second] - x[first])[apart])
    return np.array([np.median(y) - slope * np.median(x), slope])


@dataclass
class _State:
    """What is believed in a round."""

    error: Floats  # (S, M)
    factor: Floats  # (T, K)
    good: Floats  # (T, M) how much an entry counts as it stands
    tape_mm: float = TAPE_MM
    tape_share: float = TAPE_SHARE
    fabric_sd: float = FABRIC_SD
    blunder_share: float = BLUNDER_SHARE


def _cavity(evidence: Evidence, state: _State, variance: Floats) -> tuple[Floats, Floats, Floats]:
    """Prediction of each entry from the tester's other entries.

    Returns:
        Predicted mm without the pattern's error, (T, M); the variance that the fabric adds, (T, M); and the fabric
        factors with all entries, (T, K).
    """
    predicted = evidence.expected * np.exp(np.einsum("tmk,tk->tm", evidence.sensitivity, state.factor))
    slope = predicted[..., None] * evidence.sensitivity
    wanted = evidence.measured - predicted - evidence.scale * state.error[evidence.size]
    wanted = np.where(np.isfinite(wanted), wanted, 0.0) + np.einsum("tmk,tk->tm", slope, state.factor)
    weight = np.where(np.isfinite(evidence.measured), state.good, 0.0) / variance
    gauges = evidence.sensitivity.shape[2]
    own = weight[..., None, None] * slope[..., :, None] * slope[..., None, :]
    pull = weight[..., None] * slope * wanted[..., None]
    precision = own.sum(axis=1) + np.eye(gauges) / state.fabric_sd**2
    total = pull.sum(axis=1)
    if evidence.known_factor is not None:
        known = np.isfinite(evidence.known_factor)
        precision += (known / (0.5 * FABRIC_SD) ** 2)[:, :, None] * np.eye(gauges)
        total += np.where(known, evidence.known_factor, 0.0) / (0.5 * FABRIC_SD) ** 2
    factor = np.linalg.solve(precision, total[..., None])[..., 0]
    rest = precision[:, None] - own
    without = np.linalg.solve(rest, (total[:, None] - pull)[..., None])[..., 0]
    added = np.einsum("tmk,tmk->tm", slope, np.linalg.solve(rest, slope[..., None])[..., 0])
    shifted = predicted + np.einsum("tmk,tmk->tm", slope, without - state.factor[:, None])
    return shifted, added, factor


def _line(evidence: Evidence, state: _State, column: int, predicted: Floats, variance: Floats) -> _Line:
    """Gather one measurement: every entry under every reading."""
    who = np.flatnonzero(np.isfinite(evidence.measured[:, column]) & np.isfinite(predicted[:, column]))
    entry, expected = evidence.measured[who, column], predicted[who, column]
    factor = np.array([1.0, 25.4 / 10, 2.0 if evidence.around[column] else np.nan, 0.5])
    read = entry[:, None] * factor
    digits = np.full(len(who), np.nan) if evidence.swapped is None else evidence.swapped[who, column]
    read = np.column_stack([read, digits])
    change = np.log(np.append(factor, 1.0))
    share = state.blunder_share / np.array([1.0, 2.2, 2.2, 10.0, 10.0])
    share[0] = 1 - state.blunder_share - JUNK_SHARE
    residual = np.where(np.isfinite(read), read - expected[:, None], 0.0)
    # An entry to the nearest half centimetre is coarser once it is multiplied.
    coarse = (np.append(np.nan_to_num(factor, nan=1.0), 1.0) * 1.5) ** 2
    log_share = np.where(np.isfinite(read), np.log(share) + np.nan_to_num(change), -np.inf)
    junk = np.full(len(who), np.log(JUNK_SHARE)) - np.log(3 * np.maximum(expected, 1.0))
    spread = variance[who, column][:, None] + coarse - coarse[0]
    return _Line(who, evidence.size[who], evidence.scale[who, column], residual, spread, log_share, junk)


def _tape_variance(state: _State, expected: Floats) -> Floats:
    """Variance of one reading of the tape, mm²."""
    return state.tape_mm**2 + (state.tape_share * expected) ** 2


def _estimate_tape(residual: Floats, added: Floats, expected: Floats, weight: Floats) -> tuple[float, float]:
    """Fixed and proportional spread of the tape with the highest likelihood, on a grid, held by a weak belief."""
    fixed = TAPE_MM * np.geomspace(0.2, 4.0, 25)
    share = TAPE_SHARE * np.array([0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.5, 7.0])
    best, found = -np.inf, (TAPE_MM, TAPE_SHARE)
    for a in fixed:
        for b in share:
            # Student's t with few degrees of freedom keeps what is not yet explained from inflating the tape.
            variance = a**2 + (b * expected) ** 2 + added
            logs = -0.5 * np.log(variance) - 4.0 * np.log1p(residual**2 / (7.0 * variance))
            belief = -0.5 * (np.log(a / TAPE_MM) / 0.7) ** 2 - 0.5 * ((b - TAPE_SHARE) / TAPE_SHARE) ** 2
            value = float((weight * logs).sum() + belief)
            if value > best:
                best, found = value, (float(a), float(b))
    return found


def assess(evidence: Evidence) -> Assessment:
    """Fit pattern errors, fabric factors, tape and blunders together.

    Args:
        evidence: What was sent in and what was expected.

    Returns:
        One verdict per measurement in their order, the doubtful entries, and the fitted gauge factors.
    """
    testers, columns = evidence.measured.shape
    count, gauges = evidence.planned.shape[0], evidence.sensitivity.shape[2]
    state = _State(np.zeros((count, columns)), np.zeros((testers, gauges)), np.ones((testers, columns)))
    state.good = _plausible(evidence)
    expected = np.where(np.isfinite(evidence.expected), evidence.expected, 0.0)
    evidence = _filled(evidence, expected)
    outcome: list[tuple[Floats, list[_Fit], _Line] | None] = []
    for number in range(ROUNDS):
        variance = _tape_variance(state, expected)
        predicted, added, factor = _cavity(evidence, state, variance)
        outcome = [_judge(evidence, state, column, predicted, variance + added) for column in range(columns)]
        _learn(evidence, state, outcome, predicted, added)
        if number:
            state.factor = factor
            _learn_fabric(evidence, state, variance)
    verdicts = [_verdict(entry, evidence, column) for column, entry in enumerate(outcome)]
    return Assessment(
        verdicts, _doubts(outcome, evidence), state.factor, state.tape_mm, state.tape_share, state.fabric_sd
    )


def _filled(evidence: Evidence, expected: Floats) -> Evidence:
    """The same evidence without NaN where a tester's expected figure is unknown: those entries are left out."""
    unknown = ~np.isfinite(evidence.expected)
    return Evidence(
        evidence.size,
        np.where(unknown, np.nan, evidence.measured),
        np.where(unknown, 1.0, expected),
        evidence.planned,
        np.where(unknown[..., None], 0.0, evidence.sensitivity),
        evidence.tolerance,
        evidence.around,
        evidence.swapped,
        evidence.known_factor,
    )


def _plausible(evidence: Evidence) -> Floats:
    """1 for an entry within a third of what is expected, else 0: blunders must not set the first fabric factors."""
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = evidence.measured / evidence.expected
    return np.where(np.isfinite(ratio) & (np.abs(np.log(np.maximum(ratio, 1e-9))) < 0.3), 1.0, 0.0)


def _judge(
    evidence: Evidence, state: _State, column: int, predicted: Floats, variance: Floats
) -> tuple[Floats, list[_Fit], _Line] | None:
    """Weigh the kinds of verdict for one measurement; None without any entry."""
    line = _line(evidence, state, column, predicted, variance)
    if not len(line.who):
        return None
    posterior, fits = _fit_line(line, evidence.planned.shape[0], float(evidence.tolerance[column]))
    return posterior, fits, line


def _learn(
    evidence: Evidence,
    state: _State,
    outcome: list[tuple[Floats, list[_Fit], _Line] | None],
    predicted: Floats,
    added: Floats,
) -> None:
    """Take over the errors, the weights of entries and the tape from a round."""
    state.good = np.zeros_like(state.good)
    for column, entry in enumerate(outcome):
        if entry is None:
            continue
        posterior, fits, line = entry
        belief = np.exp(posterior)
        state.error[:, column] = sum(b * fit.error for b, fit in zip(belief, fits, strict=True))
        state.good[line.who, column] = sum(b * fit.weight[:, 0] for b, fit in zip(belief, fits, strict=True))
    sent = np.isfinite(evidence.measured)
    residual = np.where(
        sent, evidence.measured - predicted - evidence.scale * state.error[evidence.size], 0.0
    )
    state.tape_mm, state.tape_share = _estimate_tape(
        residual[sent], added[sent], evidence.expected[sent], state.good[sent]
    )
    bad = float((1 - state.good[sent]).sum())
    state.blunder_share = (bad + 1.5) / (float(sent.sum()) + 50)


def _learn_fabric(evidence: Evidence, state: _State, variance: Floats) -> None:
    """Spread of the fabric factors from their posterior second moments, held by a weak belief."""
    slope = evidence.expected[..., None] * evidence.sensitivity
    weight = np.where(np.isfinite(evidence.measured), state.good, 0.0) / variance
    precision = np.einsum("tm,tmk,tml->tkl", weight, slope, slope)
    informed = np.einsum("tkk->tk", precision) > 0
    precision += np.eye(slope.shape[2]) / state.fabric_sd**2
    second = state.factor**2 + np.einsum("tkk->tk", np.linalg.inv(precision))
    belief = 8.0
    state.fabric_sd = float(
        np.sqrt((second[informed].sum() + belief * FABRIC_SD**2) / (informed.sum() + belief))
    )


def _verdict(entry: tuple[Floats, list[_Fit], _Line] | None, evidence: Evidence, column: int) -> Verdict:
    """Choose what to say about one measurement."""
    count = evidence.planned.shape[0]
    nothing = np.full(count, np.nan)
    if entry is None:
        return Verdict("undecided", (), np.zeros(count), nothing, nothing, 0, 0.0)
    posterior, fits, line = entry
    belief = np.exp(posterior)
    tolerance = float(evidence.tolerance[column])
    kind = int(np.argmax(belief[1:])) + 1
    wrong = 1 - belief[0]
    fit = fits[kind]
    matters = np.abs(fit.error).max() >= tolerance
    if wrong >= SURE and matters:
        verdict = VERDICTS[kind]
    elif wrong <= 0.5 or not matters:
        verdict, fit = "holds", fits[0] if wrong <= 0.5 else fit
    else:
        verdict = "undecided"
    low, high, error = _interval(verdict, fits, fit, line, count)
    affected = np.abs(error) >= 0.5 * tolerance if verdict in VERDICTS[1:] else np.zeros(count, bool)
    if verdict == "shift":
        affected[:] = True
    if verdict == "sizes":
        affected = fit.chosen
    return Verdict(
        verdict, tuple(np.flatnonzero(affected).tolist()), error, low, high, len(line.who), float(wrong)
    )


def _interval(
    verdict: str, fits: list[_Fit], fit: _Fit, line: _Line, count: int
) -> tuple[Floats, Floats, Floats]:
    """90 % interval per size, (S,) each; NaN for a size without a result. See the docs page for what it means."""
    shift = fits[1]
    error, spread = fit.error, fit.spread
    if verdict in ("holds", "undecided"):
        centre, spread = shift.error, shift.spread
        error = fit.error if verdict == "undecided" else shift.error * _shrink(shift)
    elif verdict == "sizes":
        centre = np.where(fit.chosen, fit.error, 0.0)
        spread = np.where(fit.chosen, fit.spread, shift.spread)
    else:
        centre = error
    half = 1.645 * spread
    seen = np.bincount(line.size, minlength=count) > 0
    return np.where(seen, centre - half, np.nan), np.where(seen, centre + half, np.nan), error


def _shrink(shift: _Fit) -> Floats:
    """How far a common error that is not believed is drawn to zero, by its own doubt."""
    return np.maximum(0.0, 1 - (1.645 * shift.spread / np.maximum(np.abs(shift.error), 1e-9)) ** 2)


def _doubts(outcome: list[tuple[Floats, list[_Fit], _Line] | None], evidence: Evidence) -> list[Doubt]:
    """Entries that are better read as something else."""
    found = []
    for column, entry in enumerate(outcome):
        if entry is None:
            continue
        posterior, fits, line = entry
        weight = sum(b * fit.weight for b, fit in zip(np.exp(posterior), fits, strict=True))
        best = weight.argmax(axis=1)
        for i in np.flatnonzero((best > 0) & (weight[:, 1:].sum(axis=1) > 0.5)):
            entry_mm = evidence.measured[line.who[i], column]
            meant = float(line.residual[i, best[i]] - line.residual[i, 0] + entry_mm)
            found.append(Doubt(int(line.who[i]), column, BLUNDERS[best[i] - 1], meant))
    return found
