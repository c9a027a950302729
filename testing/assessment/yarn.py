"""Yarn used against yarn computed at each tester's gauge: a factor per fabric; pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.calculation import Calculation
from grading.core.sheet.workings import Workings
from grading.core.yarn.calibration import calibrate_yarn, one_sided_tolerance_factor
from grading.core.yarn.grading import weighed_sections
from grading.core.yarn.needs import CombinedNeed, SectionWeight, applies
from testing.asked.expected import Gauge
from testing.assessment.evidence import Floats

SIDE = 0.95  # each side of a 90 % interval


@dataclass(frozen=True)
class YarnUse:
    """What one tester used: grams by colour, metres in 100 g of their own yarn, gauge per mm, options."""

    size: int
    grams: Mapping[str, float]
    gauge: Gauge
    length_per_100g_m: Mapping[str, float]
    options: Mapping[str, str]


@dataclass(frozen=True)
class YarnFactor:
    """Yarn used per yarn computed in a fabric; the 90 % interval is None with too few testers."""

    factor: float
    interval: tuple[float, float] | None
    testers: int


@dataclass(frozen=True)
class YarnFindings:
    """Factors by fabric, how many testers weighed their yarn, and the allowance that they support.

    `together` is one factor for all fabrics, for when the testers' sizes can't tell them apart.
    """

    factors: Mapping[str, YarnFactor]
    testers: int
    allowance: float | None
    together: YarnFactor | None
    allowance_together: float | None


def assess_yarn(pattern: PatternFile, made: Calculation, uses: Sequence[YarnUse]) -> YarnFindings:
    """Compare in metres where the yarn's metres are known, else in grams of the pattern's yarn."""
    sections = weighed_sections(Workings(pattern, made))
    fabrics = [fabric.name for fabric in pattern.fabrics]
    told = [use for use in uses if use.grams]
    if not fabrics:  # lengths alone, which no yarn is counted for
        return YarnFindings({}, len(told), None, None, None)
    computed = np.array([_computed(pattern, sections, use) for use in told]).reshape(-1, len(fabrics))
    used = np.array([_used(pattern, use) for use in told])
    apart, testers, allowance = _calibrated(computed, used, fabrics)
    together, _, allowance_together = _calibrated(computed.sum(axis=1, keepdims=True), used, [""])
    return YarnFindings(apart, testers, allowance, together.get(""), allowance_together)


def had_enough(
    pattern: PatternFile, needs: Sequence[CombinedNeed], uses: Sequence[YarnUse]
) -> tuple[int, int]:
    """How many testers used no more of any colour than the pattern says, and of how many that is known.

    Grams of their own yarn are taken by their metres, where both yarns' metres are known.
    """
    metres = {yarn.colour: yarn.length_per_100g_m for yarn in pattern.yarns}
    usual = {option.name: option.default for option in pattern.options}
    had = []
    for use in uses:
        chosen = usual | dict(use.options)
        need = next((one for one in needs if dict(one.options).items() <= chosen.items()), None)
        if need is None or not use.grams or not use.grams.keys() <= need.colours.keys():
            continue
        said = {colour: float(need.colours[colour].weight_g[use.size]) for colour in use.grams}
        like = {
            colour: own_m / metres_m
            for colour, own_m in use.length_per_100g_m.items()
            if (metres_m := metres.get(colour))
        }
        if all(np.isfinite(list(said.values()))):
            had.append(all(grams * like.get(at, 1.0) <= said[at] for at, grams in use.grams.items()))
    return sum(had), len(had)


def _calibrated(
    computed: Floats, used: Floats, names: Sequence[str]
) -> tuple[dict[str, YarnFactor], int, float | None]:
    """Factors by the names of the columns, how many testers they rest on, and the allowance."""
    found = calibrate_yarn(computed, used)
    known = np.isfinite(computed).all(axis=1) & (computed.sum(axis=1) > 0) & (used > 0)
    ratios = computed[known] / used[known][:, None]
    spread = _spread(ratios, found.factors)
    factors = {
        name: YarnFactor(factor, _interval(factor, spread.get(place)), int((ratios[:, place] > 0).sum()))
        for place, (name, factor) in enumerate(zip(names, found.factors, strict=True))
        if factor is not None
    }
    return factors, found.testers, found.allowance


def _computed(pattern: PatternFile, sections: Sequence[SectionWeight], use: YarnUse) -> list[float]:
    """Yarn that the counts take at the tester's gauge in the colours they weighed, by fabric.

    A stitch scaled evenly takes yarn as its width and height grow: by the root of its area (derived).
    """
    chosen = {option.name: option.default for option in pattern.options} | dict(use.options)
    metres = _metres(pattern)
    totals = {fabric.name: 0.0 for fabric in pattern.fabrics}
    for weighed in sections:
        if not applies(weighed.when, chosen):
            continue
        share = sum(
            float(shares[use.size]) * metres.get(colour, 1.0)
            for colour, shares in weighed.shares.items()
            if colour in use.grams
        )
        totals[weighed.fabric] += float(weighed.weight_g[use.size]) * share
    return [totals[fabric.name] * _stitch_size(pattern, fabric.name, use.gauge) for fabric in pattern.fabrics]


def _stitch_size(pattern: PatternFile, name: str, gauge: Gauge) -> float:
    """How much longer than the pattern's the tester's stitch is."""
    own = next(fabric for fabric in pattern.fabrics if fabric.name == name)
    theirs = gauge.get(name, {})
    stitches = theirs.get("stitches") or own.stitches_per_mm
    rows = theirs.get("rows") or own.rows_per_mm
    return float(np.sqrt(own.stitches_per_mm * own.rows_per_mm / (stitches * rows)))


def _used(pattern: PatternFile, use: YarnUse) -> float:
    """Yarn used, in the same unit as what is computed."""
    metres = _metres(pattern)
    return sum(
        grams * (use.length_per_100g_m.get(colour, metres[colour] * 100) / 100 if colour in metres else 1.0)
        for colour, grams in use.grams.items()
    )


def _metres(pattern: PatternFile) -> dict[str, float]:
    """Metres in one gram of each yarn of the pattern; empty unless known for all, so that units never mix."""
    known = {yarn.colour: yarn.length_per_100g_m / 100 for yarn in pattern.yarns if yarn.length_per_100g_m}
    return known if len(known) == len(pattern.yarns) else {}


def _spread(ratios: Floats, factors: Sequence[float | None]) -> dict[int, float]:
    """Half width of the interval by place of the fabric, from the scatter of the testers' ratios about 1."""
    worked = [place for place, factor in enumerate(factors) if factor is not None]
    freedom = len(ratios) - len(worked)
    if freedom < 1:
        return {}
    matrix = ratios[:, worked]
    left = 1 - matrix @ np.array([factors[place] for place in worked], dtype=float)
    covariance = np.linalg.pinv(matrix.T @ matrix) * float(left @ left) / freedom
    half = student_quantile(freedom) * np.sqrt(np.diag(covariance))
    return dict(zip(worked, half.tolist(), strict=True))


def student_quantile(freedom: int) -> float:
    """The 95 % point of Student's t; a tolerance bound of half the makers is a bound of their mean.

    >>> round(student_quantile(5), 3)
    2.015
    """
    count = freedom + 1
    return float(np.sqrt(count)) * one_sided_tolerance_factor(count, 0.5, SIDE)


def _interval(factor: float, half: float | None) -> tuple[float, float] | None:
    """The 90 % interval, never below 0."""
    return None if half is None else (max(0.0, factor - half), factor + half)
