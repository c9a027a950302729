"""What the results say, in the end."""

from dataclasses import dataclass

import numpy as np

from testing.assessment.beliefs import HOLDS, LIKELY, SHIFT, SIZES, SLOPE, SURE, SURE_ALONE, VERDICTS, Z90
from testing.assessment.evidence import Bools, Evidence, Floats, without_unknown
from testing.assessment.intervals import estimate_errors, predict_beside
from testing.assessment.readings import READINGS
from testing.assessment.rounds import Fitted, fit_together

FEWEST = 2  # one result alone may as well be that tester's tape or fabric
SHARP = 1.5  # "holds" needs an interval within so many tolerances


@dataclass(frozen=True)
class Verdict:
    """What the results say about one finished measurement; mm at the pattern's gauge, one per size.

    `low` and `high` bound the 90 % interval, NaN for a size without results; `results` counts them by size;
    `probability` is the belief that the line is wrong; `likely` the error it would have, where undecided.
    """

    verdict: str
    likely: str
    sizes: tuple[int, ...]
    error: Floats
    low: Floats
    high: Floats
    results: tuple[int, ...]
    probability: float

    @property
    def rests_on(self) -> int:
        """How many results it rests on."""
        return sum(self.results)


@dataclass(frozen=True)
class Doubt:
    """An entry that looks like something else: what it would mean in mm, or whose value it is."""

    tester: int
    measurement: int
    looks_like: str  # one of READINGS, "neighbour", or "unclear"
    meant_mm: float
    neighbour: int | None = None


@dataclass(frozen=True)
class Assessed:
    """Verdict per measurement in their order, doubtful entries, fitted gauge of each tester's garment."""

    verdicts: tuple[Verdict, ...]
    doubts: tuple[Doubt, ...]
    factor: Floats  # (T, K) log of garment gauge over swatch gauge
    predicted: Floats  # (T, M) mm: the counts at the gauge that the garment's other measurements tell
    tape: tuple[float, float]
    fabric_sd: float


def assess(evidence: Evidence) -> Assessed:
    """Fit pattern errors, fabric factors, tape and slips together and say what they come to."""
    evidence = without_unknown(evidence)
    fitted = fit_together(evidence)
    kind = np.array([_kind(evidence, fitted, column) for column in range(evidence.measured.shape[1])])
    error, spread = estimate_errors(evidence, fitted, kind)
    state = fitted.state
    return Assessed(
        verdicts=tuple(
            _verdict(evidence, fitted, column, kind[column], (error[column], spread[column]))
            for column in range(len(kind))
        ),
        doubts=tuple(_doubts(evidence, fitted)),
        factor=state.factor,
        predicted=predict_beside(evidence, fitted, kind, (error, spread)),
        tape=state.tape,
        fabric_sd=state.fabric_sd,
    )


def _kind(evidence: Evidence, fitted: Fitted, column: int) -> int:
    """The likeliest kind of error if the line is more likely wrong than right and that matters, else none."""
    belief = fitted.belief[:, column]
    kind = int(np.argmax(belief[1:])) + 1
    matters = np.abs(fitted.fits[kind].error[column]).max() >= evidence.tolerance[column]
    return kind if matters and 1 - belief[HOLDS] > LIKELY else HOLDS


def _verdict(
    evidence: Evidence, fitted: Fitted, column: int, kind: int, estimate: tuple[Floats, Floats]
) -> Verdict:
    """Say what is said about one measurement."""
    error, spread = estimate
    seen = evidence.seen[:, column]
    wrong = float(1 - fitted.belief[HOLDS, column])
    if kind == HOLDS:
        shown = _drawn_to_zero(error, spread)
        is_sharp = seen.sum() >= FEWEST and (Z90 * spread).max() <= SHARP * evidence.tolerance[column]
        verdict = "holds" if is_sharp else "undecided"
    else:
        chosen = fitted.fits[SIZES].chosen[column]
        shown = np.where(chosen | (kind != SIZES), error, _drawn_to_zero(error, spread))
        verdict = VERDICTS[kind] if wrong >= _threshold(evidence, fitted, column, kind) else "undecided"
    tolerance = float(evidence.tolerance[column])
    return Verdict(
        verdict=verdict,
        likely=VERDICTS[kind],
        sizes=_affected(kind, fitted.fits[SIZES].chosen[column], error, tolerance),
        error=shown,
        low=np.where(seen > 0, error - Z90 * spread, np.nan),
        high=np.where(seen > 0, error + Z90 * spread, np.nan),
        results=tuple(seen.tolist()),
        probability=wrong,
    )


def _threshold(evidence: Evidence, fitted: Fitted, column: int, kind: int) -> float:
    """How sure one must be."""
    if evidence.seen[:, column].sum() < FEWEST:
        return np.inf
    if kind != SIZES:
        return SURE
    alone = evidence.seen[fitted.fits[SIZES].chosen[column], column].min(initial=2) < FEWEST
    return SURE_ALONE if alone else SURE


def _affected(kind: int, chosen: Bools, error: Floats, tolerance: float) -> tuple[int, ...]:
    """The places of the sizes that a verdict speaks of."""
    if kind == SHIFT:
        return tuple(range(len(error)))
    if kind == SIZES:
        return tuple(np.flatnonzero(chosen).tolist())
    if kind == SLOPE:
        return tuple(np.flatnonzero(np.abs(error) >= 0.5 * tolerance).tolist())
    return ()


def _drawn_to_zero(error: Floats, spread: Floats) -> Floats:
    """An error not believed in: 0 while the interval holds 0, else drawn to it (James and Stein 1961)."""
    with np.errstate(invalid="ignore"):
        is_out = np.abs(error) > Z90 * spread
    share = np.divide(Z90 * spread, error, out=np.ones_like(error), where=is_out)
    return np.asarray((1 - share**2) * error)


def _doubts(evidence: Evidence, fitted: Fitted) -> list[Doubt]:
    """Entries that are more likely something else than what they seem."""
    weight = fitted.weight
    found = []
    for column, tester in np.argwhere((weight[..., 0] < LIKELY) & evidence.sent.T):
        shares = _shares(fitted, weight, column, tester)
        looks_like = max(shares, key=lambda name: shares[name])
        meant, neighbour = float("nan"), None
        if looks_like in READINGS:
            residual = fitted.lines.residual[column, tester, READINGS.index(looks_like)]
            meant = float(residual + fitted.predicted[tester, column])
        elif looks_like != "unclear":
            neighbour = int(column + (1 if looks_like == "after" else -1))
            looks_like = "neighbour"
        found.append(Doubt(int(tester), int(column), looks_like, meant, neighbour))
    return found


def _shares(fitted: Fitted, weight: Floats, column: int, tester: int) -> dict[str, float]:
    """How likely each other reading of an entry is."""
    lines = fitted.lines
    junk = 1 - weight[column, tester].sum()
    before, after = junk * np.exp(lines.neighbour[:, column, tester] - lines.junk[column, tester])
    shares = dict(zip(READINGS[1:], weight[column, tester, 1:].tolist(), strict=True))
    return {**shares, "before": before, "after": after, "unclear": junk - before - after}
