"""Stitches picked up along an edge: how many, and how to spread them."""

import math
import re
from dataclasses import dataclass

from grading.core.shaping.spreads import even_gaps

TOLERANCE = 1e-9

# Common practice: an edge gathers or flares where more is picked up or left out.
MOST_OFF_EDGE = 0.08

_RATIO = re.compile(r"\s*([1-9][0-9]{0,3})\s+per\s+([1-9][0-9]{0,3})\s*")


@dataclass(frozen=True)
class Ratio:
    """So many stitches for every so many rows (or stitches) of the edge."""

    stitches: int
    per: int


@dataclass(frozen=True)
class PickUpPlan:
    """How the stitches of one size are spread over the rows or stitches of its edge.

    `groups` times `ratio.stitches` for every `ratio.per`, then `rest_stitches` in the `rest_places`
    that are left. Where rounding has moved the number too far for that, `even` is True: `base` in
    every place, but `extra` more (1 or −1) in the last place of each of the groups `gaps`.
    """

    stitches: int
    places: int
    ratio: Ratio
    groups: int = 0
    rest_stitches: int = 0
    rest_places: int = 0
    even: bool = False
    base: int = 0
    extra: int = 0
    gaps: tuple[int, ...] = ()


def parse_ratio(text: str) -> Ratio | None:
    """Read a ratio.

    Args:
        text: "p per q", whole numbers from 1 to 9999.

    Returns:
        The ratio, or None where the text is none.

    Source: derived.

    >>> parse_ratio("3 per 4")
    Ratio(stitches=3, per=4)
    """
    found = _RATIO.fullmatch(text)
    return Ratio(int(found[1]), int(found[2])) if found else None


def exact_pick_up(count: float | None, ratio: Ratio) -> float | None:
    """Return the stitches to pick up before rounding.

    Args:
        count: Rows or stitches of the edge.
        ratio: Stitches for every so many of them.

    Returns:
        count · p / q; None where the count is unknown.

    Source: common practice.

    >>> exact_pick_up(120, Ratio(3, 4))
    90.0
    """
    if count is None or not math.isfinite(count):
        return None
    return count * ratio.stitches / ratio.per


def half_up_counts(number: float) -> int:
    """Round to the nearest whole number, ties up.

    Args:
        number: Any finite number.

    Returns:
        The nearest whole number; 10.4999999999 counts as 10.5.

    Source: common practice.

    >>> half_up_counts(10.5)
    11
    """
    return math.floor(number + 0.5 + TOLERANCE)


def plan_pick_up(stitches: float | None, count: float | None, ratio: Ratio) -> PickUpPlan | None:
    """Say how to spread the stitches of one size over its edge.

    Args:
        stitches: Stitches picked up, rounded.
        count: Rows or stitches of the edge.
        ratio: The ratio they came from.

    Returns:
        The plan; None where a number is unknown, not whole or below 0.

    Source: common practice.

    >>> plan = plan_pick_up(62, 82, Ratio(3, 4))
    >>> plan.groups, plan.rest_stitches, plan.rest_places
    (20, 2, 2)
    """
    if not (_is_count(stitches) and _is_count(count)):
        return None
    picked, places = round(stitches or 0), round(count or 0)
    groups, rest_places = divmod(places, ratio.per)
    rest_stitches = picked - groups * ratio.stitches
    nearest = half_up_counts(rest_places * ratio.stitches / ratio.per)
    if rest_stitches == nearest:
        return PickUpPlan(picked, places, ratio, groups, rest_stitches, rest_places)
    return _plan_evenly(picked, places, ratio)


def spread_evenly(stitches: int, places: int) -> list[int]:
    """Return the stitches in each place along an edge, spread as evenly as can be.

    Args:
        stitches: Stitches picked up, 0 or more.
        places: Rows or stitches of the edge, 0 or more.

    Returns:
        One number per place, adding up to `stitches`; none differ by more than one.

    Source: derived.

    >>> spread_evenly(5, 4)
    [1, 2, 1, 1]
    """
    return even_gaps(places, stitches)


def edge_problem(
    stitches: float | None, stitches_per_mm: float, edge_mm: float | None, units: str = "cm"
) -> str | None:
    """Say whether the picked-up stitches are too many or too few for their edge.

    Args:
        stitches: Stitches picked up.
        stitches_per_mm: Gauge of the fabric worked on them.
        edge_mm: Length of the edge.
        units: "cm" or "in", for the sentence.

    Returns:
        A sentence, or None where they lie within 8 % or a number is unknown.

    Source: common practice for the limit of 8 %.

    >>> edge_problem(90, 0.2, 500)
    'The 90 stitches picked up make 45 cm along an edge of 50 cm: 10 % too few.'
    """
    if stitches is None or edge_mm is None or not stitches_per_mm > 0:
        return None
    made_mm = stitches / stitches_per_mm
    off_mm = made_mm - edge_mm
    if not abs(off_mm) > MOST_OFF_EDGE * abs(edge_mm) + TOLERANCE:
        return None
    share = f"{abs(off_mm) / edge_mm * 100:.0f} % " if edge_mm > 0 else ""
    amount = f"{share}too {'many' if off_mm > 0 else 'few'}"
    mm_per_unit = 25.4 if units == "in" else 10.0
    made, edge = (f"{round(mm / mm_per_unit, 1):g} {units}" for mm in (made_mm, edge_mm))
    return f"The {stitches:g} stitches picked up make {made} along an edge of {edge}: {amount}."


def _plan_evenly(picked: int, places: int, ratio: Ratio) -> PickUpPlan | None:
    """Plan by one number in every place and one more in some of them."""
    if places == 0:
        return None
    base, more = divmod(picked, places)
    if 2 * more <= places:
        gaps = even_gaps(more, places)
        return PickUpPlan(picked, places, ratio, even=True, base=base, extra=1, gaps=tuple(gaps))
    gaps = even_gaps(places - more, places)
    return PickUpPlan(picked, places, ratio, even=True, base=base + 1, extra=-1, gaps=tuple(gaps))


def _is_count(number: float | None) -> bool:
    """Say whether this is a whole number of 0 or more."""
    return (
        number is not None
        and math.isfinite(number)
        and number > -TOLERANCE
        and abs(number - round(number)) <= TOLERANCE
    )
