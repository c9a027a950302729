"""The parts of a pattern that build on the sheet's numbers: checks, shapings, spreads, curves, pick-ups, pieces."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from grading.core.calculation import Calculation, evaluate
from grading.core.curves import CurvePlan, plan_curve
from grading.core.dimensions import LENGTH, PLAIN, ROW, STITCH, Dimension
from grading.core.errors import FormulaError
from grading.core.evaluation import Trouble
from grading.core.findings import Finding, stop, warn
from grading.core.formula_dimensions import require_condition, require_dimension
from grading.core.pattern import Check, CountOrName, Curve, Pattern, PickUp, Piece, Shaping, Spread, When
from grading.core.pick_ups import PickUpPlan, Ratio, edge_problem, plan_pick_up
from grading.core.shaping import ShapingInput, ShapingPlan, plan_shaping
from grading.core.sheet import cell_of, placed, read_formula, unknown_fabric
from grading.core.spreads import SpreadPlan, plan_spread

Numbers = NDArray[np.float64]
Plan = TypeVar("Plan", ShapingPlan, SpreadPlan, CurvePlan)
COUNTS = (STITCH, PLAIN)
ROWS = (ROW, PLAIN)


@dataclass(frozen=True)
class GradedPickUp:
    """The stitches picked up, worked and ideal, one entry per size, and how to spread them."""

    worked: Numbers
    ideal: Numbers
    plans: tuple[PickUpPlan | None, ...]


class Workings:
    """A sheet worked out, and the findings that gather while the rest is built on it."""

    def __init__(self, pattern: Pattern, made: Calculation) -> None:
        self.pattern, self.made = pattern, made
        self.names = made.program.names
        self.findings: list[Finding] = []

    def number(self, text: str, dimension: Dimension, noun: str, where: str) -> Numbers:
        """Return what a formula of a dimension gives for each size, NaN where it cannot be worked out."""
        try:
            formula, needs = read_formula(text, self.names)
            dimensions = tuple(self.names.symbols[name].dimension for name in formula.names)
            require_dimension(formula, dimensions, dimension, noun)
        except FormulaError as error:
            self.findings.append(placed(where, error))
            return np.full(self.made.program.sizes, np.nan)
        numbers, troubles = evaluate(self.made, formula, needs)
        self.report(where, troubles)
        return numbers

    def report(self, where: str, troubles: Sequence[Trouble]) -> None:
        """Turn troubles into findings, size by size."""
        for trouble in troubles:
            for size in np.flatnonzero(trouble.sizes).tolist():
                label = self.pattern.sizes[size]
                self.findings.append(
                    Finding(where, label, "stop", trouble.line, trouble.column, trouble.says)
                )

    def columns(
        self, where: str, wanted: Mapping[str, tuple[CountOrName | None, Sequence[Dimension]]]
    ) -> list[dict[str, float | None]] | None:
        """Return for each size the numbers of several entries, None for null; None with a finding where one is wrong."""
        found: dict[str, Numbers] = {}
        problems = []
        for key, (entry, allowed) in wanted.items():
            if entry is None:
                continue
            try:
                found[key] = self.made.worked(cell_of(entry, self.names, allowed, key))
            except FormulaError as error:
                problems.append(error.says)
        if problems:
            self.findings.append(stop(where, problems[0]))
            return None
        sizes = range(self.made.program.sizes)
        return [{key: known(numbers[size]) for key, numbers in found.items()} for size in sizes]

    def plans(self, where: str, blank: Plan, columns: Sequence[Plan] | None) -> tuple[Plan, ...]:
        """Return one plan per size and report the problems among them."""
        if columns is None:
            return (blank,) * self.made.program.sizes
        for label, plan in zip(self.pattern.sizes, columns, strict=True):
            if plan.problem:
                self.findings.append(stop(where, plan.problem, label))
        return tuple(columns)

    def fabric_gauge(self, name: str) -> float | None:
        """Return the stitches per mm of a fabric, None for an unknown one."""
        symbol = self.names.symbols.get(f"{name}.stitches")
        return None if symbol is None else float(np.asarray(self.made.cells[symbol.cell]))

    def when_is_known(self, when: When, where: str) -> bool:
        """Report an option or choice that does not exist; return whether all do."""
        problem = when_problem(when, self.pattern)
        if problem:
            self.findings.append(stop(where, problem))
        return problem is None


def known(number: float) -> float | None:
    """Return a number, None for null."""
    return None if np.isnan(number) else float(number)


def when_problem(when: When, pattern: Pattern) -> str | None:
    """Say which option or choice of a `when` does not exist, None where all do."""
    choices = pattern.option_choices()
    for option, wanted in when:
        if option not in choices:
            return f"“when” names “{option[:80]}”, which is no option."
        for choice in wanted:
            if choice not in choices[option]:
                return f"“when” names “{choice[:80]}”, which is no choice of the option “{option}”."
    return None


def check_results(of: Workings, check: Check) -> tuple[bool | None, ...]:
    """Return whether a check holds, one entry per size, None for null; failed ones become findings."""
    where = f"checks.{check.name}"
    try:
        formula, needs = read_formula(check.holds, of.names)
        require_condition(formula, tuple(of.names.symbols[name].dimension for name in formula.names))
    except FormulaError as error:
        of.findings.append(placed(where, error))
        return (None,) * of.made.program.sizes
    numbers, troubles = evaluate(of.made, formula, needs)
    of.report(where, troubles)
    results = tuple(None if np.isnan(number) else bool(number) for number in numbers)
    for label, holds in zip(of.pattern.sizes, results, strict=True):
        if holds is False:
            of.findings.append(Finding(where, label, check.weight, None, None, check.says))
    return results


def shaping_plans(of: Workings, shaping: Shaping) -> tuple[ShapingPlan, ...]:
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
    return of.plans(where, ShapingPlan(None), columns and [_plan_of(shaping, of_size) for of_size in columns])


def _plan_of(shaping: Shaping, of_size: Mapping[str, float | None]) -> ShapingPlan:
    """Plan a shaping for one size; a first row without a number makes it unknown."""
    if "first" in of_size and of_size["first"] is None:
        return ShapingPlan(None)
    return plan_shaping(
        ShapingInput(
            start=of_size["from"],
            end=of_size["to"],
            rows=of_size["over"],
            each=of_size["each"],
            on_every=shaping.on_every,
            first=of_size.get("first"),
            plain_end=of_size["plain_end"],
        )
    )


def spread_plans(of: Workings, spread: Spread) -> tuple[SpreadPlan, ...]:
    """Return how changes are spread over one row, one plan per size."""
    where = f"spreads.{spread.name}"
    columns = of.columns(where, {"change": (spread.change, COUNTS), "in": (spread.within, COUNTS)})
    plans = columns and [plan_spread(of_size["change"], of_size["in"]) for of_size in columns]
    return of.plans(where, SpreadPlan(None), plans)


def curve_plans(of: Workings, curve: Curve) -> tuple[CurvePlan, ...]:
    """Return the steps of a curve, one plan per size."""
    where = f"curves.{curve.name}"
    if (
        curve.fabric is not None
        and of.made.program.lines[of.made.program.line_of(f"{curve.name}.length")].finding
    ):
        return (CurvePlan(None),) * of.made.program.sizes
    columns = of.columns(where, {"width": (curve.width, COUNTS), "depth": (curve.depth, ROWS)})
    plans = columns and [plan_curve(of_size["width"], of_size["depth"], curve.shape) for of_size in columns]
    return of.plans(where, CurvePlan(None), plans)


def graded_pick_up(of: Workings, pick_up: PickUp) -> GradedPickUp:
    """Return the stitches picked up along an edge; report where they do not fit it."""
    program, where = of.made.program, f"pick_ups.{pick_up.name}"
    line = program.line_of(pick_up.name)
    worked, ideal = of.made.both[line]
    _check_edge(of, pick_up, worked)
    if program.lines[line].finding:
        return GradedPickUp(worked, ideal, (None,) * program.sizes)
    ratio = Ratio(pick_up.stitches, pick_up.per)
    counts = of.made.worked(cell_of(pick_up.count, of.names, (ROW, STITCH), where))
    pairs = zip(worked, counts, strict=True)
    return GradedPickUp(
        worked, ideal, tuple(plan_pick_up(known(n), known(count), ratio) for n, count in pairs)
    )


def _check_edge(of: Workings, pick_up: PickUp, worked: Numbers) -> None:
    """Report an unknown fabric, and stitches that are too many or too few for the edge."""
    where = f"pick_ups.{pick_up.name}"
    gauge = of.fabric_gauge(pick_up.fabric) if pick_up.fabric is not None else None
    if pick_up.fabric is not None and gauge is None:
        of.findings.append(stop(where, unknown_fabric(pick_up.fabric)))
    if pick_up.edge is None:
        return
    edge = of.number(pick_up.edge, LENGTH, "The edge is a length", where)
    for label, stitches, edge_mm in zip(of.pattern.sizes, worked, edge, strict=True):
        problem = edge_problem(known(stitches), gauge or 0.0, known(edge_mm))
        if problem:
            of.findings.append(warn(where, problem, label))


def piece_outline(of: Workings, piece: Piece) -> Numbers:
    """Return the corners of a piece in mm, shape (corners, 2, sizes); report what cannot be drawn."""
    where = f"pieces.{piece.name}"
    of.when_is_known(piece.when, where)
    corners = [
        [of.number(formula, LENGTH, "A corner lies at a length", where) for formula in corner]
        for corner in piece.outline
    ]
    _check_dimension_lines(of, piece, where)
    return np.array(corners)


def _check_dimension_lines(of: Workings, piece: Piece, where: str) -> None:
    """Report dimension lines of unknown values, and corners and curves that do not exist."""
    corners = len(piece.outline)
    for line in piece.dimensions:
        try:
            cell_of(line.value, of.names, (LENGTH,), "value")
        except FormulaError as error:
            of.findings.append(stop(where, error.says))
    ends = [(line.start, line.end) for line in (*piece.dimensions, *piece.curves)]
    if any(corner >= corners for pair in ends for corner in pair):
        of.findings.append(
            stop(where, f"A line runs to a corner beyond the {corners} of the outline (counted from 0).")
        )
    curves = {curve.name for curve in of.pattern.curves}
    unknown = [one.curve for one in piece.curves if one.curve is not None and one.curve not in curves]
    of.findings += [stop(where, f"Nothing is called “{name}” among the curves.") for name in unknown]
