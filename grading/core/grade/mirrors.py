"""Shapings that take back what another does, as those of a first and a second sleeve do."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from grading.core.pattern.pattern import PatternFile, ShapingEntry
from grading.core.shaping.shaping import ShapingPlan, rows_apart
from grading.core.sheet.findings import Finding, warn

# Shaping rows: up to so many are not seen between two sleeves. Source: common practice.
MOST_APART = 2


def mirror_findings(pattern: PatternFile, plans: Mapping[str, Sequence[ShapingPlan]]) -> Iterator[Finding]:
    """Find shapings that go back over the same stitches and rows, and are not the mirror of the first.

    Args:
        pattern: The pattern.
        plans: One plan per size, by the name of the shaping.

    Yields:
        A finding (warn) at the second of two, in the size in which they are farthest apart.

    Source: derived.
    """
    for first, second in combinations(pattern.shapings, 2):
        if not _goes_back(first, second):
            continue
        apart = [rows_apart(*both) for both in zip(plans[first.name], plans[second.name], strict=True)]
        most = max(apart, default=0)
        if most > MOST_APART:
            says = (
                f"It goes back over the stitches of {first.name}, {most} shaping rows off its mirror. "
                f"For two pieces that are alike write {{{first.name} reversed}} in the step instead."
            )
            yield warn(f"shapings.{second.name}", says, pattern.sizes[apart.index(most)])


def _goes_back(first: ShapingEntry, second: ShapingEntry) -> bool:
    """Whether the second begins where the first ends, and ends where it begins, over the same rows."""
    there, back = (first.start, first.end), (second.end, second.start)
    kept = (first.over, first.each, first.rounds) == (second.over, second.each, second.rounds)
    return there == back and kept and not first.words and not second.words
