"""Curved and slanted edges worked in steps: necks, shoulders, armholes."""

import math
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import Literal

TOLERANCE = 1e-9
MOST_OFF = 1.0 + TOLERANCE  # stitches: a step that is one stitch off its place is not seen

QUARTER_ELLIPSE = "quarter ellipse"
STRAIGHT = "straight"

Side = Literal["start", "end"]


@dataclass(frozen=True)
class CurvePlan:
    """The steps of one size; `drops` is None where nothing can be said."""

    drops: tuple[int, ...] | None
    problem: str | None = None


@dataclass(frozen=True)
class CurveRow:
    """One step of a curve: its row (from 1), the end of the row it is made at, its stitches."""

    row: int
    side: Side
    stitches: int


@dataclass(frozen=True)
class EdgeGauge:
    """The gauge in which an edge is measured, per mm."""

    stitches_per_mm: float
    rows_per_mm: float


def plan_curve(width: float | None, depth: float | None, shape: str, *, shrinking: bool = True) -> CurvePlan:
    """Work out how many stitches each step of a curve takes off.

    Args:
        width: Stitches taken off in all.
        depth: Steps, one drop each.
        shape: "quarter ellipse" or "straight".
        shrinking: Whether steps never grow again; without, each is the nearest to the curve by itself.

    Returns:
        One drop per step, in working order, adding up to `width`. A round curve never grows again: its
        drops shrink, and where it is so deep that rows between stay plain, these grow. A straight edge
        has its larger drops first, unless that would bend it: then they are spread evenly. After
        each step the edge is near the curve: at most 1 stitch and 1 more for each 60, without
        `shrinking` half a stitch.

    Source: derived; the ellipse is x = width · sqrt(1 − (1 − t)²) at the share t of the depth.

    >>> plan_curve(14, 7, "quarter ellipse").drops
    (7, 3, 2, 1, 1, 0, 0)
    >>> plan_curve(14, 7, "quarter ellipse", shrinking=False).drops
    (7, 3, 1, 2, 0, 1, 0)
    """
    if width is None or depth is None or not math.isfinite(width) or not math.isfinite(depth):
        return CurvePlan(None)
    problem = _problem_of(width, depth)
    if problem:
        return CurvePlan(None, problem)
    stitches, steps = round(width), round(depth)
    reached = [_half_up(stitches * share_taken(i / steps, shape)) for i in range(steps + 1)] if steps else []
    nearest = tuple(after - before for before, after in pairwise(reached))
    return CurvePlan(_shrinking(nearest, shape) if shrinking else nearest)


def _shrinking(nearest: tuple[int, ...], shape: str) -> tuple[int, ...]:
    """Put the drops of a curve into an order in which they never grow, without leaving the curve."""
    falling = tuple(sorted(nearest, reverse=True))
    if _distance(falling, shape) <= MOST_OFF:
        return falling
    return nearest if shape == STRAIGHT else _thinning(nearest)


def _distance(drops: tuple[int, ...], shape: str) -> float:
    """Return how many stitches the edge is away from its curve where it is farthest."""
    width, steps = sum(drops), len(drops)
    return max(
        (
            abs(taken - width * share_taken((i + 1) / steps, shape))
            for i, taken in enumerate(accumulate(drops))
        ),
        default=0.0,
    )


def _thinning(nearest: tuple[int, ...]) -> tuple[int, ...]:
    """Order drops from large to small and the plain steps after them from few to many."""
    at = [i for i, drop in enumerate(nearest) if drop]
    gaps = sorted(after - before for before, after in pairwise([*at, len(nearest)]))
    drops = [0] * at[0]
    for drop, gap in zip(sorted((nearest[i] for i in at), reverse=True), gaps, strict=True):
        drops += [drop, *[0] * (gap - 1)]
    return tuple(drops)


def share_taken(share_of_depth: float, shape: str) -> float:
    """Return the share of the width that a smooth curve has taken off at a share of its depth.

    Args:
        share_of_depth: 0 to 1.
        shape: "quarter ellipse" or "straight".

    Returns:
        0 to 1.

    Source: derived.

    >>> share_taken(0.5, "straight")
    0.5
    """
    if shape == STRAIGHT:
        return share_of_depth
    return math.sqrt(max(0.0, 1 - (1 - share_of_depth) ** 2))


def edge_length_mm(
    width: float | None, rows: float | None, shape: str, gauge: EdgeGauge | None
) -> float | None:
    """Return the length of the smooth edge of a curve.

    Args:
        width: Stitches taken off in all.
        rows: Rows the curve takes (steps × rows per step).
        shape: "quarter ellipse" or "straight".
        gauge: Stitches and rows per mm of the fabric it is worked in.

    Returns:
        Length in mm; None where a number is unknown or the gauge is not above 0.

    Source: derived: a quarter of the perimeter of an ellipse, or the hypotenuse.

    >>> round(edge_length_mm(20, 40, "straight", EdgeGauge(0.2, 0.2)), 3)
    223.607
    """
    if width is None or rows is None or gauge is None:
        return None
    if not (gauge.stitches_per_mm > 0 and gauge.rows_per_mm > 0 and width >= 0 and rows >= 0):
        return None
    across, down = width / gauge.stitches_per_mm, rows / gauge.rows_per_mm
    if not (math.isfinite(across) and math.isfinite(down)):
        return None
    return math.hypot(across, down) if shape == STRAIGHT else quarter_ellipse_mm(across, down)


def quarter_ellipse_mm(across: float, down: float) -> float:
    """Return a quarter of the perimeter of an ellipse.

    Args:
        across: One half-axis in mm, 0 or more.
        down: The other half-axis in mm, 0 or more.

    Returns:
        Length in mm.

    Source: arithmetic-geometric mean for the complete elliptic integral of the second kind,
    Abramowitz & Stegun, Handbook of Mathematical Functions, 17.6 (from memory; tested against
    the integral itself).

    >>> round(quarter_ellipse_mm(100, 100), 6) == round(50 * math.pi, 6)
    True
    """
    longer, shorter = max(across, down), min(across, down)
    if shorter <= longer * 1e-9:
        return longer
    mean, geometric, weight = longer, shorter, 0.5
    correction = weight * (longer**2 - shorter**2)
    while mean - geometric > 1e-13 * longer:
        weight *= 2
        correction += weight * ((mean - geometric) / 2) ** 2
        mean, geometric = (mean + geometric) / 2, math.sqrt(mean * geometric)
    return math.pi / (2 * mean) * (longer**2 - correction)


def default_rows_per_step(craft: str) -> int:
    """Return the rows of one step where the pattern does not say.

    Args:
        craft: "crochet", "tunisian" or "knitting".

    Returns:
        2 in knitting, which casts off on every other row, else 1.

    Source: common practice.

    >>> default_rows_per_step("knitting")
    2
    """
    return 2 if craft == "knitting" else 1


def place_curve_rows(drops: tuple[int, ...], every: int, *, at: Side, craft: str) -> list[CurveRow]:
    """Say in which row and at which end of it each step is made.

    Args:
        drops: Stitches of each step, in working order.
        every: Rows per step, 1 or more.
        at: End of the row at which the first step is made.
        craft: "tunisian" is never turned; the others are turned after each row.

    Returns:
        One entry per step. Turned work changes sides where a step has an odd number of rows, so
        that all steps lie on the same edge of the piece.

    Source: common practice.

    >>> [(r.row, r.side) for r in place_curve_rows((3, 2, 1), 1, at="end", craft="crochet")]
    [(1, 'end'), (2, 'start'), (3, 'end')]
    """
    alternates = craft != "tunisian" and every % 2 == 1
    return [
        CurveRow(i * every + 1, opposite(at) if alternates and i % 2 else at, drop)
        for i, drop in enumerate(drops)
    ]


def opposite(side: Side) -> Side:
    """Return the other end of the row, as on the mirrored piece.

    Args:
        side: "start" or "end".

    Returns:
        The other of the two.

    Source: derived.

    >>> opposite("start")
    'end'
    """
    return "end" if side == "start" else "start"


def _half_up(number: float) -> int:
    """Round to the nearest whole number, ties up."""
    return math.floor(number + 0.5 + TOLERANCE)


def _problem_of(width: float, depth: float) -> str | None:
    """Say why this curve cannot be worked, or None."""
    for word, number in (("width", width), ("depth", depth)):
        if abs(number - round(number)) > TOLERANCE:
            return f"“{word}” must be a whole number, not {number:g}."
        if round(number) < 0:
            return f"“{word}” must be 0 or more, not {number:g}."
    if round(depth) == 0 and round(width) > 0:
        stitches = f"{round(width)} stitch{'es' if round(width) != 1 else ''}"
        return f"{stitches} cannot be taken off in 0 steps: the depth must be 1 or more."
    return None
