"""From garments and the sheet to the arrays of the assessment: counts frozen, gauge replaced; pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from grading.core.grade.grade import grade_at_gauge
from testing.asked.expected import DIRECTIONS, NUDGE, Gauge, Ground, Numbers, complete_gauge, values_around
from testing.assessment.evidence import Evidence, Floats

SAME_MM = 0.01


@dataclass(frozen=True)
class AssessedMeasurement:
    """A finished measurement: tolerance in mm, and whether it goes round the body."""

    name: str
    label: str
    tolerance_mm: float
    around: bool


@dataclass(frozen=True)
class SentGarment:
    """What one tester sent in: size (place from 0), gauges per mm by fabric, lengths in mm by measurement.

    `worked` are counts worked otherwise than the pattern says; `altered` measurements changed on purpose;
    `swapped` what an entry would be with two of its digits swapped; `confirmed` entries said to be right.
    """

    maker: str
    size: int
    gauge: Gauge
    lengths_mm: Mapping[str, float]
    garment_gauge: Gauge = field(default_factory=dict)
    worked: Mapping[str, float] = field(default_factory=dict)
    altered: frozenset[str] = frozenset()
    swapped: Mapping[str, Sequence[float]] = field(default_factory=dict)
    confirmed: frozenset[str] = frozenset()
    sure_gauges: frozenset[str] = frozenset()  # fabrics whose gauge somebody has decided about
    ground: Ground | None = None  # of an earlier version that it was worked from


@dataclass(frozen=True)
class AssessedSheet:
    """The pattern that is judged: its numbers, measurements, and each one's dependence on each gauge."""

    ground: Ground
    lines: tuple[AssessedMeasurement, ...]
    gauges: tuple[tuple[str, str], ...]  # fabric and direction
    planned: Floats  # (S, M)
    sensitivity: Floats  # (S, M, K)


def read_assessed_sheet(ground: Ground, lines: Sequence[AssessedMeasurement]) -> AssessedSheet:
    """Work out what every measurement should be and how strongly it hangs on each gauge (log derivative)."""
    gauges = tuple((fabric, direction) for fabric in ground.gauge for direction in DIRECTIONS)
    planned = _lengths(ground, ground.gauge, lines)
    slopes = [_slope(ground, lines, gauge) for gauge in gauges]
    sensitivity = np.stack(slopes, axis=2) if slopes else np.zeros((*planned.shape, 0))
    return AssessedSheet(ground, tuple(lines), gauges, planned, sensitivity)


def gather(sheet: AssessedSheet, garments: Sequence[SentGarment]) -> Evidence:
    """Put together what the testers sent in and what was expected of each."""
    expected = np.array([expected_of(sheet, garment) for garment in garments])
    measured = np.array([_measured(sheet, garment) for garment in garments])
    size = np.array([garment.size for garment in garments], dtype=np.int64)
    known = [line.name for line in sheet.lines]
    return Evidence(
        size=size,
        measured=measured,
        expected=expected,
        planned=sheet.planned,
        sensitivity=np.nan_to_num(sheet.sensitivity[size]),
        tolerance=np.array([max(line.tolerance_mm, 1.0) for line in sheet.lines]),
        around=np.array([line.around for line in sheet.lines], dtype=bool),
        swapped=np.array([_swapped(sheet, *pair) for pair in zip(garments, expected, strict=True)]),
        known_factor=np.array([_known_factor(sheet, garment) for garment in garments]),
        grain=_grain(sheet),
        missing_gauge=np.array([_missing_gauge(sheet, garment) for garment in garments], dtype=bool),
        confirmed=np.array(
            [[name in garment.confirmed for name in known] for garment in garments], dtype=bool
        ),
    )


def _lengths(ground: Ground, gauge: Gauge, lines: Sequence[AssessedMeasurement]) -> Floats:
    """The measurements at a gauge with the counts kept, (S, M) in mm."""
    return _by_line(grade_at_gauge(ground.pattern, gauge, ground.counts), ground, lines)


def _by_line(values: Mapping[str, Numbers], ground: Ground, lines: Sequence[AssessedMeasurement]) -> Floats:
    """The measurements among all values, (S, M) in mm."""
    unknown = np.full(len(ground.pattern.sizes), np.nan)
    return np.column_stack([values.get(line.name, unknown) for line in lines])


def _slope(ground: Ground, lines: Sequence[AssessedMeasurement], gauge: tuple[str, str]) -> Floats:
    """Change of log measurement with log gauge, (S, M), by a central difference."""
    lower, higher = (
        _by_line(values, ground, lines) for values in values_around(ground, ground.gauge, *gauge)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.log(higher / lower) / np.log((1 + NUDGE) / (1 - NUDGE)))


def expected_of(sheet: AssessedSheet, garment: SentGarment) -> Floats:
    """What the tester's counts give at their own gauge, (M,) in mm.

    A garment made from an earlier version speaks only of the measurements that both versions plan alike.
    """
    ground = garment.ground or sheet.ground
    full, _ = complete_gauge(ground, garment.gauge)
    counts = dict(ground.counts)
    for name, number in garment.worked.items():
        if name in counts:
            counts[name] = np.full(len(ground.pattern.sizes), number)
    own = Ground(ground.pattern, ground.gauge, counts)
    expected = np.asarray(_lengths(own, full, sheet.lines)[garment.size])
    if garment.ground is None:
        return expected
    theirs = _lengths(ground, ground.gauge, sheet.lines)[garment.size]
    return np.asarray(np.where(np.abs(theirs - sheet.planned[garment.size]) < SAME_MM, expected, np.nan))


def _measured(sheet: AssessedSheet, garment: SentGarment) -> list[float]:
    """What the tester measured, altered measurements left out, (M,) in mm."""
    return [
        np.nan if line.name in garment.altered else garment.lengths_mm.get(line.name, np.nan)
        for line in sheet.lines
    ]


def _swapped(sheet: AssessedSheet, garment: SentGarment, expected: Floats) -> list[float]:
    """Each entry with two digits swapped so that it comes nearest to what is expected, (M,) in mm."""
    found = []
    for line, wanted in zip(sheet.lines, expected, strict=True):
        others = garment.swapped.get(line.name, ())
        found.append(min(others, key=lambda mm: abs(mm - wanted)) if others else np.nan)
    return found


def _missing_gauge(sheet: AssessedSheet, garment: SentGarment) -> list[bool]:
    """Where no gauge was sent, (K,)."""
    _, filled = complete_gauge(sheet.ground, garment.gauge)
    return [gauge in filled for gauge in sheet.gauges]


def _known_factor(sheet: AssessedSheet, garment: SentGarment) -> list[float]:
    """Log of the gauge counted on the garment over the swatch's, NaN where it was not counted, (K,)."""
    full, _ = complete_gauge(sheet.ground, garment.gauge)
    found = []
    for fabric, direction in sheet.gauges:
        counted = garment.garment_gauge.get(fabric, {}).get(direction)
        found.append(float(np.log(counted / full[fabric][direction])) if counted else np.nan)
    return found


def _grain(sheet: AssessedSheet) -> Floats:
    """How wide one stitch or row is in the direction that each measurement hangs on most, (M,) in mm."""
    if not sheet.gauges:
        return np.zeros(len(sheet.lines))
    width = np.array([1 / sheet.ground.gauge[fabric][direction] for fabric, direction in sheet.gauges])
    strongest = np.abs(np.nan_to_num(sheet.sensitivity)).mean(axis=0)
    return np.asarray(np.where(strongest.max(axis=1) > 0, width[strongest.argmax(axis=1)], 0.0))
