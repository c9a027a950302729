"""Changes spread evenly over the stitches of one row or round."""

import math
from dataclasses import dataclass
from itertools import groupby, pairwise

TOLERANCE = 1e-9

Run = tuple[int, int]


@dataclass(frozen=True)
class SpreadPlan:
    """Where one size makes its changes; `runs` (gap, times) is None where nothing can be said."""

    runs: tuple[Run, ...] | None
    problem: str | None = None
    change: int = 0
    stitches: int = 0

    @property
    def gaps(self) -> list[int]:
        """Stitches from one change to the next, in working order."""
        return [gap for gap, times in self.runs or () for _ in range(times)]


def plan_spread(change: float | None, stitches: float | None) -> SpreadPlan:
    """Spread so many changes evenly over one row.

    Args:
        change: Stitches to increase or decrease; a decrease may be given below 0.
        stitches: Stitches of the row before the change.

    Returns:
        Runs (gap, times) in working order, () for no change: one change at the end of each gap, a
        decrease taking the last two stitches of its gap. The gaps add up to `stitches`.

    Source: derived.

    >>> plan_spread(3, 20).runs
    ((7, 1), (6, 1), (7, 1))
    """
    if change is None or stitches is None or not math.isfinite(change) or not math.isfinite(stitches):
        return SpreadPlan(None)
    problem = _problem_of(change, stitches)
    if problem:
        return SpreadPlan(None, problem)
    whole, width = round(change), round(stitches)
    gaps = even_gaps(abs(whole), width)
    return SpreadPlan(tuple((gap, len(list(same))) for gap, same in groupby(gaps)), None, whole, width)


def even_gaps(parts: int, total: int) -> list[int]:
    """Cut a total into so many parts that differ by at most one, interleaved.

    Args:
        parts: Number of parts, 0 or more.
        total: Whole number to cut, 0 or more.

    Returns:
        The parts in order. The i-th cut is total · i / parts rounded half-up, so that no cut is
        more than half a stitch from its true place.

    Source: derived (the rule by which a straight line is drawn on a grid).

    >>> even_gaps(5, 12)
    [2, 3, 2, 3, 2]
    """
    cuts = [(2 * total * i + parts) // (2 * parts) for i in range(parts + 1)] if parts else []
    return [after - before for before, after in pairwise(cuts)]


def _problem_of(change: float, stitches: float) -> str | None:
    """Say why these changes cannot be made, or None."""
    for word, number in (("change", change), ("in", stitches)):
        if abs(number - round(number)) > TOLERANCE:
            return f"“{word}” must be a whole number, not {number:g}."
    times, width = abs(round(change)), round(stitches)
    needed = 2 * times if change < 0 else times
    if times and needed > width:
        changes = "1 change does" if times == 1 else f"{times} changes do"
        return f"{changes} not fit in {width} stitch{'es' if width != 1 else ''}."
    return None
