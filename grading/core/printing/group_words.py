"""Groups of stitches or rows in working order, in as few words as the trade has for them."""

from collections.abc import Sequence
from itertools import accumulate
from math import gcd

from grading.core.pattern.wordings import NEWEST_WORDING, WIDE_WORDING
from grading.core.printing.wording import listed, times_said

Stretch = tuple[tuple[int, ...], int]
"""A series of groups, and how often it is worked."""

# As many numbers are still read at a glance (common practice).
MOST_SPELT, MOST_ALIKE = 6, 3
# The share of the row by which a change may be off its place for the sake of a short sentence. What is
# seen is how near changes lie to each other, and that differs by one stitch as before (derived).
MOST_OFF = 1 / 20


def groups_in_order(gaps: Sequence[int], noun: str, wording: int = NEWEST_WORDING) -> str:
    """Write groups of stitches or rows in working order, as short as it goes.

    Args:
        gaps: Size of each group, one or more.
        noun: What is grouped, a noun that takes an s.
        wording: The wording of the pattern.

    Returns:
        The shortest series that repeats to the end, and how often. Where that is long, series that are
        repeated, which differ by one group: no change is more than a 20th of the row off its place by that.

    Source: derived; repeats in square brackets are common practice.

    >>> groups_in_order([7, 6, 7, 7, 6, 7], "st"), groups_in_order([5], "st")
    ('7, 6 and 7 sts, twice', '5 sts')
    >>> groups_in_order([2, 2, 1, 2, 1, 2, 1, 2] * 4, "st")
    '[2, 2 and 1 sts] twice, [2 and 1 sts] once, all 4 times'
    """
    length = next(n for n in range(1, len(gaps) + 1) if len(gaps) % n == 0 and _repeats(gaps, n))
    times = len(gaps) // length
    if wording <= WIDE_WORDING or length <= MOST_SPELT:
        return _with_noun([str(gap) for gap in gaps[:length]], gaps, noun) + _times(times, ", ", wording)
    stretches, whole = _short_stretches(gaps) or ([(tuple(gaps[:length]), 1)], times)
    if all(often == 1 for _, often in stretches):
        alone = [gap for series, _ in stretches for gap in series]
        return _with_noun(_runs(alone), alone, noun) + _times(whole, ", ")
    told = [f"[{_with_noun(_runs(series), series, noun)}] {times_said(often)}" for series, often in stretches]
    return ", ".join(told) + _times(whole, ", all ")


def groups_told(words: str) -> str:
    """Say that groups follow in their order, and what a short sign among them means.

    Args:
        words: The groups, as `groups_in_order` has them, of one size or several.

    Returns:
        "groups in order", with a word on "5 × 2" where it occurs.

    >>> groups_told("5 × 2 and 1 sts"), groups_told("2 and 1 sts")
    ('groups in order (5 × 2 is 5 groups of 2)', 'groups in order')
    """
    sign = next((i for i, sign in enumerate(words) if sign == "×"), None)
    if sign is None:
        return "groups in order"
    many, size = words[:sign].split()[-1].strip("[("), words[sign + 1 :].split()[0].strip(",;])")
    return f"groups in order ({many} × {size} is {many} groups of {size})"


def _short_stretches(gaps: Sequence[int]) -> tuple[list[Stretch], int] | None:
    """Order groups of two sizes as two series that are repeated; None where that is not near enough."""
    few, *more = sorted(set(gaps), key=gaps.count)
    if len(more) != 1:
        return None
    each, over = divmod(gaps.count(more[0]), gaps.count(few))
    counts = [(each + 1, over), (each, gaps.count(few) - over)]
    whole = gcd(*(often for _, often in counts))
    stretches = [((*[more[0]] * many, few), often // whole) for many, often in counts if often]
    order = [gap for series, often in stretches for gap in series * often] * whole
    pairs = zip(accumulate(order), accumulate(gaps), strict=True)
    most = MOST_OFF * sum(gaps)
    return (stretches, whole) if all(abs(one - other) <= most for one, other in pairs) else None


def _runs(groups: Sequence[int]) -> list[str]:
    """Groups by their sizes, many alike by how many they are."""
    told: list[str] = []
    at = 0
    while at < len(groups):
        alike = next((i for i in range(at, len(groups)) if groups[i] != groups[at]), len(groups)) - at
        told += [str(groups[at])] * alike if alike <= MOST_ALIKE else [f"{alike} × {groups[at]}"]
        at += alike
    return told


def _with_noun(told: Sequence[str], groups: Sequence[int], noun: str) -> str:
    return f"{listed(told)} {noun}{'' if set(groups) == {1} else 's'}"


def _times(times: int, before: str, wording: int = NEWEST_WORDING) -> str:
    return f"{before}{times_said(times, wording)}" if times > 1 else ""


def _repeats(gaps: Sequence[int], length: int) -> bool:
    """Return whether the first groups come again and again to the end."""
    return all(gap == gaps[place % length] for place, gap in enumerate(gaps))
