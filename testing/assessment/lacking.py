"""What evidence is lacking to settle an undecided measurement; pure."""

from dataclasses import dataclass

import numpy as np

from testing.assessment.verdicts import FEWEST, SHARP, Verdict

ENOUGH_IN_A_SIZE = 3
FEW_MORE = 0.3  # share of more results after which an error that is more likely than not is mostly settled


@dataclass(frozen=True)
class Lacking:
    """How many more results are needed, and in which sizes (places from 0)."""

    results: int
    sizes: tuple[int, ...]


def lacking_evidence(verdict: Verdict, tolerance_mm: float) -> Lacking | None:
    """Say what would settle a measurement; None where it is decided."""
    if verdict.verdict != "undecided":
        return None
    if verdict.likely == "sizes":
        fewest = min(verdict.results[place] for place in verdict.sizes)
        return Lacking(max(1, ENOUGH_IN_A_SIZE - fewest), verdict.sizes)
    return Lacking(_more_results(verdict, tolerance_mm), _least_seen(verdict))


def _more_results(verdict: Verdict, tolerance_mm: float) -> int:
    """How many more: an interval narrows with the root of the number of results."""
    count = verdict.rests_on
    if count < FEWEST:
        return FEWEST - count
    if verdict.likely != "holds":
        return max(1, round(FEW_MORE * count))
    half = float(np.nanmax(verdict.high - verdict.low)) / 2
    return max(1, int(np.ceil(count * ((half / (SHARP * tolerance_mm)) ** 2 - 1))))


def _least_seen(verdict: Verdict) -> tuple[int, ...]:
    """The sizes with the fewest results."""
    fewest = min(verdict.results)
    return tuple(place for place, count in enumerate(verdict.results) if count == fewest)
