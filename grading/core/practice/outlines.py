"""The pieces of a practice piece: stitches of each row, and the outline to scale."""

from collections.abc import Iterator
from typing import Any

from grading.core.practice.search import Course, Worked
from grading.core.practice.stages import Stage, Way
from grading.core.shaping.curves import plan_curve
from grading.core.shaping.shaping import ShapingInput, plan_shaping

Typed = dict[str, Any]


def row_counts(course: Course, shapes: dict[str, Typed]) -> list[int]:
    """Return the stitches of each row of a piece, from the first.

    Args:
        course: The piece as planned.
        shapes: The entries of its shapings and curves as typed, by name.

    Returns:
        One count per row, as it is after the row.

    Source: derived.
    """
    counts: list[int] = []
    now = course.cast_on
    for one in course.stages:
        counts += [now] * (one.rows_before - len(counts))
        changes = _changes(one.stage, one.way, one.before, shapes.get(one.stage.name, {}))
        for row in range(1, one.way.rows + 1):
            now += changes.get(row, 0)
            counts.append(now)
    return counts + [now] * (course.rows - len(counts))


def _changes(stage: Stage, way: Way, before: int, typed: Typed) -> dict[int, int]:
    """Return the stitches that a stage changes, by its rows from 1."""
    if stage.technique.kind in ("increases", "decreases"):
        plan = plan_shaping(
            ShapingInput(
                before,
                before + way.change,
                way.rows,
                stage.each,
                typed.get("on_every", 1),
                way.first,
                way.plain_end,
            )
        )
        sign = 1 if way.change > 0 else -1
        return dict.fromkeys(plan.event_rows, sign * plan.each)
    if stage.technique.kind in ("curve", "mirror"):
        edges = 2 if stage.form == "ends" else 1
        drops = plan_curve(abs(way.change) // edges, way.depth, typed["shape"]).drops or ()
        every = way.rows // way.depth
        steps = drops[::-1] if way.change > 0 else [-drop for drop in drops]
        return {step * every + 1: edges * drop for step, drop in enumerate(steps)}
    return {way.rows: way.change} if way.change else {}


def outline(course: Course, fabric: str, *, mirrored: bool = False) -> Typed:
    """Return the outline of a piece: its corners as formulas, and the edges that are curves.

    Args:
        course: The piece as planned.
        fabric: The fabric that draws it.
        mirrored: Whether curves lie at the other edge.

    Returns:
        `outline` and `curves` of a piece of a pattern file. Rows begin at the right edge, as they do for
        right-handed people where the right side faces; shaping at both ends is drawn on both edges.
    """
    left, right = [(0.0, 0)], [(float(course.cast_on), 0)]
    bends: list[tuple[str, str, int]] = []
    for one in course.stages:
        _corner(left, left[-1][0], one.rows_before)
        _corner(right, right[-1][0], one.rows_before)
        taken_left, taken_right = _shares(one, mirrored=mirrored)
        for side, edge, taken in (("left", left, taken_left), ("right", right, -taken_right)):
            if taken and one.stage.technique.kind in ("curve", "mirror"):
                bends.append((one.stage.name, side, len(edge) - 1))
            _corner(edge, edge[-1][0] + taken, one.rows_before + one.way.rows)
    _corner(left, left[-1][0], course.rows)
    _corner(right, right[-1][0], course.rows)
    corners = [*right, *reversed(left)]
    curves = [_bend(name, side, place, len(corners)) for name, side, place in bends]
    return {
        "outline": [[f"{x:g} stitches / {fabric}.stitches", f"{y} rows / {fabric}.rows"] for x, y in corners],
        **({"curves": curves} if curves else {}),
    }


def _corner(edge: list[tuple[float, int]], x: float, row: int) -> None:
    """Add a corner to an edge unless it has it."""
    if edge[-1] != (x, row):
        edge.append((x, row))


def _shares(one: Worked, *, mirrored: bool) -> tuple[float, float]:
    """Return the stitches taken off the left and the right edge."""
    taken = -one.way.change
    if one.stage.form in ("start", "end", "reversed"):
        is_right = (one.stage.form == "start") != mirrored
        return (0.0, float(taken)) if is_right else (float(taken), 0.0)
    return taken / 2, taken / 2


def _bend(name: str, side: str, place: int, corners: int) -> Typed:
    """Return a curved edge, corners from 1: along the row at its wide end, then along the rows."""
    if side == "right":
        return {"curve": name, "from": place + 1, "to": place + 2}
    at = corners - place
    return {"curve": name, "from": at, "to": at - 1}


def rows_of(counts: list[int], lengths: list[int]) -> Iterator[tuple[int, int]]:
    """Cut rows into stretches; each with its rows and the stitches worked in them.

    >>> list(rows_of([4, 4, 3], [2, 1]))
    [(2, 8), (1, 3)]
    """
    begun = 0
    for length in lengths:
        yield length, sum(counts[begun : begun + length])
        begun += length
