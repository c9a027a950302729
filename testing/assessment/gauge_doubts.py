"""When the lines of one maker fail alike, it is this gauge and not these measurements; pure.

A gauge is doubted only where all three speak against it: nearly all lines that hang on it are far off, one
reading of it brings most of them back, and that reading is nearer to the pattern's gauge than what was sent.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from grading.core.formula.literals import MM_PER_INCH
from testing.asked.expected import DIRECTIONS
from testing.assessment.evidence import Bools, Evidence, Floats
from testing.assessment.gathering import AssessedSheet, SentGarment, expected_of

OVER_MM = 100.0  # what a gauge is counted over; over 4 in it is 1.6 % more, less than swatches stray
FACTORS = {"inch": OVER_MM / MM_PER_INCH, "point": 10.0, "no_point": 0.1, "half": 2.0, "double": 0.5}
HANGS = 0.3  # a line hangs on a gauge where one per cent more of it moves the line by 0.3 % or more
FEWEST = 2
# Logarithms and shares, our own: further off than swatches and tapes bring a line; as near as they leave it.
FAILS, HEALED = 0.12, 0.08
MOST_FAIL, MOST_HEALED, MOST_NEARER = 0.8, 0.5, 0.7  # lines may be off by the pattern as well
NEAR_PATTERN = 0.3
IN_TOLERANCES = 1.5

Use = TypeVar("Use")
Counts = tuple[float, float]  # stitches and rows per mm


@dataclass(frozen=True)
class GaugeDoubt:
    """A gauge that looks like something else, what it would be per mm, and the lines that hang on it."""

    tester: int
    fabric: str
    looks_like: str
    would_be: Counts
    lines: tuple[int, ...]


def set_aside(
    sheet: AssessedSheet, garments: Sequence[SentGarment], evidence: Evidence
) -> tuple[Evidence, list[GaugeDoubt]]:
    """Find doubtful gauges; what hangs on them is no result until somebody has decided."""
    doubts = list(_doubts(sheet, garments, evidence))
    if not doubts:
        return evidence, []
    measured, known = evidence.measured.copy(), evidence.known_factor.copy()
    missing = evidence.missing_gauge.copy()
    for doubt in doubts:
        measured[doubt.tester, list(doubt.lines)] = np.nan
        of_fabric = [fabric == doubt.fabric for fabric, _ in sheet.gauges]
        known[doubt.tester, of_fabric], missing[doubt.tester, of_fabric] = np.nan, True
    return replace(evidence, measured=measured, known_factor=known, missing_gauge=missing), doubts


def without_doubted(uses: Sequence[Use], doubts: Sequence[GaugeDoubt]) -> list[Use]:
    """What each tester has used, without those whose gauge is doubted: that says nothing of yarn yet.

    `uses` has one entry for each garment, in their order.
    """
    doubted = {doubt.tester for doubt in doubts}
    return [use for tester, use in enumerate(uses) if tester not in doubted]


def read_as(looks_like: str, sent: Mapping[str, float], pattern: Mapping[str, float]) -> dict[str, float]:
    """A gauge as a reading means it; as it was sent where there is no such reading."""
    pairs = (tuple(gauge[direction] for direction in DIRECTIONS) for gauge in (sent, pattern))
    own, wanted = pairs
    for name, would_be in _readings((own[0], own[1]), (wanted[0], wanted[1])):
        if name == looks_like:
            return dict(zip(DIRECTIONS, would_be, strict=True))
    return dict(sent)


def _doubts(
    sheet: AssessedSheet, garments: Sequence[SentGarment], evidence: Evidence
) -> Iterator[GaugeDoubt]:
    """The doubtful gauges of all testers."""
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.abs(np.log(evidence.measured / evidence.expected))
    far = off > FAILS
    for tester in np.flatnonzero(far.sum(axis=1) >= FEWEST).tolist():
        for fabric in garments[tester].gauge:
            if fabric in sheet.ground.gauge and fabric not in garments[tester].sure_gauges:
                doubt = _doubt(sheet, garments[tester], evidence, (tester, fabric))
                if doubt is not None:
                    yield doubt


def _doubt(
    sheet: AssessedSheet, garment: SentGarment, evidence: Evidence, of: tuple[int, str]
) -> GaugeDoubt | None:
    """The reading of one gauge that leaves the most lines near, if the gauge is to be doubted."""
    tester, fabric = of
    sent, wanted = (
        (gauge[fabric].get("stitches", 0.0), gauge[fabric].get("rows", 0.0))
        for gauge in (garment.gauge, sheet.ground.gauge)
    )
    if min(*sent, *wanted) <= 0:
        return None
    measured, tolerance = evidence.measured[tester], evidence.tolerance
    fails = ~_is_near(measured, evidence.expected[tester], tolerance, FAILS)
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.abs(np.log(measured / evidence.expected[tester]))
    best: tuple[int, GaugeDoubt] | None = None
    for looks_like, would_be in _readings(sent, wanted):
        hangs = _hanging(sheet, evidence, of, sent, would_be) & np.isfinite(measured)
        if hangs.sum() < FEWEST or fails[hangs].mean() < MOST_FAIL:
            continue
        read = {**garment.gauge, fabric: dict(zip(DIRECTIONS, would_be, strict=True))}
        expected = expected_of(sheet, replace(garment, gauge=read))
        healed = _is_near(measured, expected, tolerance, HEALED)
        with np.errstate(invalid="ignore", divide="ignore"):
            nearer = np.abs(np.log(measured / expected)) < off / 2
        near = int((healed | nearer).sum())
        heals = healed[hangs].mean() >= MOST_HEALED and nearer[hangs].mean() >= MOST_NEARER
        if heals and (best is None or near > best[0]):
            lines = tuple(np.flatnonzero(_hanging(sheet, evidence, of, sent, would_be)).tolist())
            best = near, GaugeDoubt(tester, fabric, looks_like, would_be, lines)
    return best[1] if best else None


def _is_near(measured: Floats, expected: Floats, tolerance: Floats, within: float) -> Bools:
    """Where lengths are near what is expected: as a share of it, or in a few tolerances."""
    with np.errstate(invalid="ignore", divide="ignore"):
        close = np.abs(np.log(measured / expected)) <= within
        return np.asarray(close | (np.abs(measured - expected) <= IN_TOLERANCES * tolerance))


def _hanging(
    sheet: AssessedSheet, evidence: Evidence, of: tuple[int, str], sent: Counts, would_be: Counts
) -> Bools:
    """The lines that hang on what a reading changes."""
    tester, fabric = of
    changed = {part for part, one, other in zip(DIRECTIONS, sent, would_be, strict=True) if one != other}
    columns = [place for place, (of_, part) in enumerate(sheet.gauges) if of_ == fabric and part in changed]
    return np.asarray((np.abs(evidence.sensitivity[tester][:, columns]) > HANGS).any(axis=1))


def _readings(sent: Counts, pattern: Counts) -> Iterator[tuple[str, Counts]]:
    """What a gauge may have been meant as: near the pattern's where it was far, simplest first."""
    stitches, rows = sent
    found: list[tuple[str, Counts]] = [("swapped", (rows, stitches))]
    for name, factor in FACTORS.items():
        found.append((name, (stitches * factor, rows * factor)))
        found.append((f"{name}_sts", (stitches * factor, rows)))
        found.append((f"{name}_row", (stitches, rows * factor)))
    if np.isclose(stitches, rows):
        found += [("rows", (pattern[0], rows)), ("stitches", (stitches, pattern[1]))]
    for name, would_be in found:
        pairs = list(zip(sent, would_be, pattern, strict=True))
        changed = [(one, other, wanted) for one, other, wanted in pairs if one != other]
        nearer = all(_away(other, wanted) < _away(one, wanted) for one, other, wanted in changed)
        if changed and nearer and all(_away(other, wanted) <= NEAR_PATTERN for _, other, wanted in changed):
            yield name, would_be


def _away(one: float, other: float) -> float:
    """How far a gauge is from another, as a logarithm."""
    return float(abs(np.log(one / other)))
