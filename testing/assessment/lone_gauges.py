"""Where the gauge of a size's only maker explains what their measurements say; pure.

With one maker of a size nobody can tell their gauge from the pattern by that size alone. Where one other
gauge brings all that hangs on it near, the gauge is the simpler cause, and is asked for first.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from testing.assessment.evidence import Evidence, Floats
from testing.assessment.gauge_doubts import HANGS, IN_TOLERANCES
from testing.assessment.verdicts import Verdict

# Our own: two lines that agree may do so by chance less often than one; a smaller change is no news.
FEWEST_LINES, LEAST_CHANGE = 2, 0.02


@dataclass(frozen=True)
class LoneGauge:
    """A gauge that would explain all: of which tester, its place in `sheet.gauges`, and the lines."""

    tester: int
    column: int
    change: float
    """The logarithm of the gauge that would explain it over the one that was sent."""
    lines: tuple[int, ...]


def lone_gauges(evidence: Evidence) -> list[LoneGauge]:
    """Find the gauges that explain what the only makers of their sizes have measured.

    Args:
        evidence: What was sent in, without doubtful gauges.

    Returns:
        For each gauge the lines that come nearer at another one, two at least, where some line was beyond its
        tolerance as sent and none is clearly so at the other. A garment whose own gauge was counted has none.
    """
    has_sent = evidence.sent.any(axis=1)
    makers = np.bincount(evidence.size[has_sent], minlength=len(evidence.planned))
    lone = [t for t in np.flatnonzero(has_sent).tolist() if makers[evidence.size[t]] == 1]
    return [found for tester in lone for found in _explaining(evidence, tester)]


def _explaining(evidence: Evidence, tester: int) -> Iterator[LoneGauge]:
    """The gauges of one maker that explain what they sent."""
    measured, expected = evidence.measured[tester], evidence.expected[tester]
    for column in range(evidence.sensitivity.shape[2]):
        strength = evidence.sensitivity[tester][:, column]
        hangs = np.flatnonzero((np.abs(strength) > HANGS) & np.isfinite(measured) & (expected > 0))
        off = (measured - expected)[hangs] / evidence.tolerance[hangs]
        if np.isfinite(evidence.known_factor[tester, column]) or not (np.abs(off) > 1).any():
            continue
        change = _best_change(off, (expected * strength)[hangs] / evidence.tolerance[hangs])
        at_it = expected[hangs] * np.exp(strength[hangs] * change)
        left = np.abs(measured[hangs] - at_it) / evidence.tolerance[hangs]
        nearer = hangs[left < np.abs(off)]
        is_explained = len(nearer) >= FEWEST_LINES and bool((left <= IN_TOLERANCES).all())
        if is_explained and abs(change) >= LEAST_CHANGE:
            yield LoneGauge(tester, column, change, tuple(nearer.tolist()))


def _best_change(off: Floats, slope: Floats) -> float:
    """The change of log gauge that leaves least of what is off, both in tolerances (least squares)."""
    return float((off * slope).sum() / (slope * slope).sum())


def gauge_first(
    place: int, verdict: Verdict, lone: Sequence[LoneGauge], evidence: Evidence
) -> tuple[LoneGauge, ...]:
    """Return the gauges to ask for before a line is blamed.

    Args:
        place: The line.
        verdict: What is said of it.
        lone: As `lone_gauges` finds them.
        evidence: What was sent in.

    Returns:
        One for each size of the verdict; none unless every size that was made is explained by one.
    """
    if verdict.verdict != "sizes":
        return ()
    made = [size for size in verdict.sizes if verdict.results[size]]
    found = {int(evidence.size[one.tester]): one for one in lone if place in one.lines}
    return tuple(found[size] for size in made) if made and all(size in found for size in made) else ()
