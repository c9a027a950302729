"""Likely slips in a gauge: asked about at once against the pattern's own, never refused; pure.

Over 10 cm and over 4 in differ by 1.6 %, less than swatches of one maker do: one for the other is not
asked about.
"""

from dataclasses import dataclass

from grading.core.formula.literals import MM_PER_INCH

# How far off a number must be before it is asked about, and how near a slip must bring it; common practice:
# makers who follow a pattern are seldom more than a fifth away from its gauge.
FAR = 0.3
NEAR = 0.15
SWAPPED_FAR = 0.15
# What is further off than this is asked about though no slip explains it; ours: nearly half.
VERY_FAR = 0.45


@dataclass(frozen=True)
class GaugeSlip:
    """What a gauge looks like, and the stitches and rows per mm that it would mean, where known."""

    looks_like: str
    would_be: tuple[float, float] | None = None


def likely_gauge_slip(
    sent: tuple[float, float], pattern: tuple[float, float], *, span_mm: float
) -> GaugeSlip | None:
    """Say whether stitches and rows look like a count over an inch, a lost point, half, double, or swapped.

    What none of these explains is "far" where it is very far off.

    Args:
        sent: Stitches and rows per mm as they were typed.
        pattern: The same of the pattern.
        span_mm: What they were to be counted over.

    >>> likely_gauge_slip((0.05, 0.07), (0.20, 0.28), span_mm=100).looks_like
    'inch'
    >>> likely_gauge_slip((0.28, 0.20), (0.20, 0.28), span_mm=100)
    GaugeSlip(looks_like='swapped', would_be=(0.2, 0.28))
    """
    if min(*sent, *pattern) <= 0:
        return None
    stitches, rows = sent
    if _is_swapped(sent, pattern):
        return GaugeSlip("swapped", (rows, stitches))
    if stitches == rows and _off(stitches, pattern[0]) > FAR and _off(rows, pattern[1]) <= NEAR:
        return GaugeSlip("rows")
    slip = _scaled(sent, pattern, span_mm)
    if slip is None and any(_off(*pair) > VERY_FAR for pair in zip(sent, pattern, strict=True)):
        return GaugeSlip("far")
    return slip


def _scaled(sent: tuple[float, float], pattern: tuple[float, float], span_mm: float) -> GaugeSlip | None:
    """The factor that brings whatever is far off near to the pattern."""
    is_far = [_off(*pair) > FAR for pair in zip(sent, pattern, strict=True)]
    if not any(is_far):
        return None
    factors = {"inch": span_mm / MM_PER_INCH, "point": 10.0, "no_point": 0.1, "half": 2.0, "double": 0.5}
    best = None
    for looks_like, factor in factors.items():
        would_be = tuple(of * factor if far else of for of, far in zip(sent, is_far, strict=True))
        off = max(_off(*pair) for pair in zip(would_be, pattern, strict=True))
        if off <= NEAR and (best is None or off < best[0]):
            best = off, GaugeSlip(looks_like, (would_be[0], would_be[1]))
    return best[1] if best else None


def _is_swapped(sent: tuple[float, float], pattern: tuple[float, float]) -> bool:
    """Whether stitches and rows fit each other's place, and not their own."""
    own = min(_off(*pair) for pair in zip(sent, pattern, strict=True))
    other = max(_off(*pair) for pair in zip(sent, reversed(pattern), strict=True))
    return own > SWAPPED_FAR and other <= NEAR


def _off(number: float, wanted: float) -> float:
    """How far a number is from another, as a share of it."""
    return abs(number - wanted) / wanted
