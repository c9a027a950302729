"""Checks, shapings, spreads, curves, pick-ups and pieces of a pattern, worked out on its sheet."""

from collections.abc import Sequence
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimension_checks import require_condition
from grading.core.formula.dimensions import LENGTH, PLAIN, ROW, STITCH
from grading.core.formula.errors import FormulaError
from grading.core.grade.drawn_curves import notice_drawn_curves
from grading.core.grade.joins import side_problem
from grading.core.grade.pieces import corner_problem, dimension_lines_of, first_corner
from grading.core.instructions.steps import print_at_home
from grading.core.pattern.pattern import (
    CheckEntry,
    CurveEntry,
    PickUpEntry,
    PieceEntry,
    ShapingEntry,
    SpreadEntry,
)
from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.shaping.curves import CurvePlan, plan_curve
from grading.core.shaping.pick_ups import PickUpPlan, Ratio, edge_problem, plan_pick_up
from grading.core.shaping.shaping import ShapingInput, ShapingPlan, plan_shaping
from grading.core.shaping.spreads import SpreadPlan, plan_spread
from grading.core.sheet.calculation import evaluate
from grading.core.sheet.findings import Finding, stop, warn
from grading.core.sheet.sheet import placed, unknown_fabric
from grading.core.sheet.workings import Column, Workings, known

Numbers = NDArray[np.float64]
Plan = TypeVar("Plan", ShapingPlan, SpreadPlan, CurvePlan)
LEAST_SIDE_MM = 0.5
"""A side that is shorter is none: no tape shows it."""
COUNTS = (STITCH, PLAIN)
ROWS = (ROW, PLAIN)


def check_results(of: Workings, check: CheckEntry) -> tuple[bool | None, ...]:
    """Return whether a check holds, one entry per size, None for null; failed ones become findings."""
    where = f"checks.{check.name}"
    try:
        formula, needs, dimensions = of.formula(check.holds)
        require_condition(formula, dimensions)
    except FormulaError as error:
        of.add(placed(where, error))
        return (None,) * of.made.program.sizes
    numbers, troubles = evaluate(of.made, formula, needs)
    of.report(where, troubles)
    results = tuple(None if np.isnan(number) else bool(number) for number in numbers)
    failing = [
        label
        for label, holds in zip(of.pattern.sizes, results, strict=True)
        if holds is False and not check.is_settled(label)
    ]
    if failing:
        says = print_at_home(check.says, of.pattern)
        of.add(*(Finding(where, label, check.weight, None, None, says) for label in failing))
    return results


def shaping_plans(of: Workings, shaping: ShapingEntry) -> tuple[ShapingPlan, ...]:
    """Return how a shaping is worked, one plan per size."""
    where = f"shapings.{shaping.name}"
    columns = of.columns(
        where,
        {
            "from": (shaping.start, COUNTS),
            "to": (shaping.end, COUNTS),
            "over": (shaping.over, ROWS),
            "each": (shaping.each, COUNTS),
            "first": (shaping.first, ROWS),
            "plain_end": (shaping.plain_end, ROWS),
        },
    )
    if columns is None:
        return (ShapingPlan(None),) * of.made.program.sizes
    return _reported(of, where, [_shaping_plan(shaping, column) for column in columns])


def _shaping_plan(shaping: ShapingEntry, column: Column) -> ShapingPlan:
    """Plan a shaping for one size; a first row without a number makes it unknown."""
    if "first" in column and column["first"] is None:
        return ShapingPlan(None)
    return plan_shaping(
        ShapingInput(
            start=column["from"],
            end=column["to"],
            rows=column["over"],
            each=column["each"],
            on_every=shaping.on_every,
            first=column.get("first"),
            plain_end=column["plain_end"],
        )
    )


def _reported(of: Workings, where: str, plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """Report the problems among plans, size by size, and return the plans."""
    for label, plan in zip(of.pattern.sizes, plans, strict=True):
        if plan.problem:
            of.add(stop(where, plan.problem, label))
    return tuple(plans)


def spread_plans(of: Workings, spread: SpreadEntry) -> tuple[SpreadPlan, ...]:
    """Return how changes are spread over one row, one plan per size."""
    where = f"spreads.{spread.name}"
    columns = of.columns(where, {"change": (spread.change, COUNTS), "in": (spread.within, COUNTS)})
    if columns is None:
        return (SpreadPlan(None),) * of.made.program.sizes
    return _reported(of, where, [plan_spread(column["change"], column["in"]) for column in columns])


def curve_plans(of: Workings, curve: CurveEntry) -> tuple[CurvePlan, ...]:
    """Return the steps of a curve, one plan per size."""
    where, program = f"curves.{curve.name}", of.made.program
    columns = of.columns(where, {"width": (curve.width, COUNTS), "depth": (curve.depth, ROWS)})
    if columns is None:
        return (CurvePlan(None),) * program.sizes
    shrinking = of.pattern.wording > FIRST_WORDING
    plans = [plan_curve(one["width"], one["depth"], curve.shape, shrinking=shrinking) for one in columns]
    return _reported(of, where, plans)


def pick_up_plans(of: Workings, pick_up: PickUpEntry) -> tuple[PickUpPlan | None, ...]:
    """Return how picked-up stitches are spread over their edge, one plan per size; report misfits."""
    program = of.made.program
    line = program.line_of(pick_up.name)
    of.use((line + program.names.constants,))
    worked = of.made.both[line, 0]
    _check_edge(of, pick_up, worked)
    if program.lines[line].finding:
        return (None,) * program.sizes
    counts = of.counts(pick_up.count, (ROW, STITCH), "count")
    ratio = Ratio(pick_up.stitches, pick_up.per)
    pairs = zip(worked, counts, strict=True)
    return tuple(plan_pick_up(known(stitches), known(count), ratio) for stitches, count in pairs)


def _check_edge(of: Workings, pick_up: PickUpEntry, worked: Numbers) -> None:
    """Report an unknown fabric, and stitches that are too many or too few for the edge."""
    where = f"pick_ups.{pick_up.name}"
    gauges = {fabric.name: fabric.stitches_per_mm for fabric in of.pattern.fabrics}
    if pick_up.fabric is not None and pick_up.fabric not in gauges:
        of.add(stop(where, unknown_fabric(pick_up.fabric)))
    if pick_up.edge is None:
        return
    edge = of.number(pick_up.edge, LENGTH, "The edge is a length", where)
    gauge = gauges.get(pick_up.fabric or "", 0.0)
    for label, stitches, edge_mm in zip(of.pattern.sizes, worked, edge, strict=True):
        problem = edge_problem(known(stitches), gauge, known(edge_mm), of.pattern.home_units)
        if problem:
            of.add(warn(where, problem, label))


def piece_outline(of: Workings, piece: PieceEntry) -> Numbers:
    """Return the corners of a piece in mm, shape (sizes, corners, 2); report what cannot be drawn."""
    where = f"pieces.{piece.name}"
    of.when_is_known(piece.when, where)
    corners = [
        [of.number(formula, LENGTH, "A corner lies at a length", where) for formula in corner]
        for corner in piece.outline
    ]
    _check_piece_lines(of, piece, where)
    outline = np.array(corners).transpose(2, 0, 1)
    notice_drawn_curves(of, piece, outline)
    _check_sides_have_lengths(of, piece, outline)
    return outline


def _check_sides_have_lengths(of: Workings, piece: PieceEntry, outline: Numbers) -> None:
    """Warn of a side between two neighbouring corners that lie on each other in every size."""
    first = first_corner(piece)
    for side in piece.sides:
        if side_problem(piece, side) or side.end != side.start + 1:
            continue
        gap = np.abs(outline[:, side.end - first] - outline[:, side.start - first]).max(axis=1)
        known_gaps = gap[~np.isnan(gap)]
        if known_gaps.size and known_gaps.max() < LEAST_SIDE_MM:
            says = (
                f"The side “{side.name.replace('_', ' ')}” has no length: its corners {side.start} and "
                f"{side.end} are one. Correct a corner, or delete the side."
            )
            of.add(warn(f"pieces.{piece.name}", says))


def _check_piece_lines(of: Workings, piece: PieceEntry, where: str) -> None:
    """Report dimension lines of unknown values, and corners and curves that do not exist."""
    for line in piece.dimensions:
        try:
            of.counts(line.value, (LENGTH,), "value")
        except FormulaError as error:
            of.add(stop(where, error.says))
    curves = {curve.name for curve in of.pattern.curves}
    for one in piece.curves:
        if one.curve is not None and one.curve not in curves:
            of.add(stop(where, f"There is no curve called “{one.curve}”."))
    problem = corner_problem(len(piece.outline), *dimension_lines_of(piece, of.pattern.curves))
    if problem:
        of.add(stop(where, problem))
    for side in piece.sides:
        problem = side_problem(piece, side)
        if problem:
            of.add(stop(where, problem))
