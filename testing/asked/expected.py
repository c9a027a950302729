"""What a pattern asks for at a tester's own gauge, and how far the garment is from it; pure.

The counts stay those of the version that was worked from; only the gauge is replaced by the tester's.
What then remains between tape and pattern is not the tester's gauge.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from grading.core.grade.grade import grade_at_gauge
from grading.core.pattern.pattern import PatternFile

Numbers = NDArray[np.float64]
Gauge = Mapping[str, Mapping[str, float]]
DIRECTIONS = ("stitches", "rows")
NUDGE = 0.01  # relative step by which a gauge is moved to see what hangs on it


@dataclass(frozen=True)
class MeasuredGarment:
    """One tester's garment: size (place from 0), gauge per mm by fabric, lengths in mm by measurement."""

    maker: str
    size: int
    gauge: Gauge
    lengths_mm: Mapping[str, float]


@dataclass(frozen=True)
class ExpectedMeasurement:
    """A finished measurement that is judged: its name, label and tolerance in mm."""

    name: str
    label: str
    tolerance_mm: float


@dataclass(frozen=True)
class Deviation:
    """Measured minus expected, in mm, for one tester and measurement."""

    measurement: str
    size: int
    maker: str
    measured_mm: float
    expected_mm: float
    tolerance_mm: float
    missing_gauge: tuple[str, ...] = field(default=())

    @property
    def off_mm(self) -> float:
        """How much longer (+) or shorter (−) than expected."""
        return self.measured_mm - self.expected_mm

    @property
    def is_beyond(self) -> bool:
        """Whether it is further off than the tolerance."""
        return abs(self.off_mm) > self.tolerance_mm + 1e-9


@dataclass(frozen=True)
class Ground:
    """What everything is judged by: the frozen pattern, its gauge per mm and its counts.

    The counts (stitches, rows, counts, pick-ups) are those that the version tells its makers to work.
    """

    pattern: PatternFile
    gauge: Gauge
    counts: Mapping[str, Numbers]


def complete_gauge(ground: Ground, gauge: Gauge) -> tuple[dict[str, dict[str, float]], list[tuple[str, str]]]:
    """Fill a tester's gauge up with the pattern's; return it with the fabrics and directions filled."""
    full: dict[str, dict[str, float]] = {}
    filled: list[tuple[str, str]] = []
    for fabric, own in ground.gauge.items():
        full[fabric] = dict(own)
        for direction in DIRECTIONS:
            sent = gauge.get(fabric, {}).get(direction)
            if sent:
                full[fabric][direction] = sent
            else:
                filled.append((fabric, direction))
    return full, filled


def expected_lengths(ground: Ground, gauge: Gauge) -> dict[str, Numbers]:
    """Every value at this gauge with the counts frozen: one entry per size, mm for lengths."""
    full, _ = complete_gauge(ground, gauge)
    return grade_at_gauge(ground.pattern, full, ground.counts)


def missing_by_value(ground: Ground, gauge: Gauge, size: int) -> dict[str, tuple[str, ...]]:
    """Name the fabrics whose own gauge is missing, for each value of a size that depends on it."""
    full, filled = complete_gauge(ground, gauge)
    if not filled:
        return {}
    hanging: dict[str, list[str]] = {}
    for fabric, direction in filled:
        lower, higher = values_around(ground, full, fabric, direction)
        for name, numbers in higher.items():
            if abs(numbers[size] - lower[name][size]) > 1e-6 and fabric not in hanging.setdefault(name, []):
                hanging[name].append(fabric)
    return {name: tuple(fabrics) for name, fabrics in hanging.items()}


def values_around(
    ground: Ground, gauge: Gauge, fabric: str, direction: str
) -> tuple[dict[str, Numbers], dict[str, Numbers]]:
    """Every value with one gauge a hundredth lower, and a hundredth higher: what differs hangs on it."""
    own = gauge[fabric]
    lower, higher = (
        {**gauge, fabric: {**own, direction: own[direction] * factor}} for factor in (1 - NUDGE, 1 + NUDGE)
    )
    pattern, counts = ground.pattern, ground.counts
    return grade_at_gauge(pattern, lower, counts), grade_at_gauge(pattern, higher, counts)


def deviations(
    ground: Ground, lines: Sequence[ExpectedMeasurement], testers: Iterable[MeasuredGarment]
) -> list[Deviation]:
    """Measured minus expected at each tester's own gauge, in the order of the lines.

    Where a tester sent no gauge the pattern's is used, and `missing_gauge` names the fabric.
    """
    found: dict[str, list[Deviation]] = {line.name: [] for line in lines}
    for tester in testers:
        expected = expected_lengths(ground, tester.gauge)
        missing = missing_by_value(ground, tester.gauge, tester.size)
        for line in lines:
            length_mm = tester.lengths_mm.get(line.name)
            wanted_mm = float(expected[line.name][tester.size]) if line.name in expected else np.nan
            if length_mm is None or not np.isfinite(wanted_mm):
                continue
            found[line.name].append(
                Deviation(
                    measurement=line.name,
                    size=tester.size,
                    maker=tester.maker,
                    measured_mm=length_mm,
                    expected_mm=wanted_mm,
                    tolerance_mm=line.tolerance_mm,
                    missing_gauge=missing.get(line.name, ()),
                )
            )
    return [deviation for line in lines for deviation in found[line.name]]
