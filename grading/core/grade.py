"""Grading: every number of a pattern for every size, and everything that is to be noticed about them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from grading.core.calculation import Calculation, calculate
from grading.core.cautions import caution_findings
from grading.core.curves import CurvePlan
from grading.core.dimensions import COUNT_KINDS
from grading.core.findings import Finding, stop
from grading.core.graded_json import json_counts, json_numbers
from grading.core.noticing import line_findings
from grading.core.pattern import Pattern
from grading.core.shaping import ShapingPlan
from grading.core.sheet import program_of
from grading.core.spreads import SpreadPlan
from grading.core.workings import (
    GradedPickUp,
    Workings,
    check_results,
    curve_plans,
    graded_pick_up,
    piece_outline,
    shaping_plans,
    spread_plans,
)
from grading.core.yarn import YarnNeed
from grading.core.yarn_grading import graded_yarn

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class GradedValue:
    """The numbers of one value, one entry per size, NaN for null."""

    kind: str
    exact: Numbers
    worked: Numbers
    ideal: Numbers

    def as_json(self) -> dict[str, Any]:
        """Return the numbers as JSON."""
        worked = json_counts(self.worked.tolist()) if self.kind in COUNT_KINDS else json_numbers(self.worked)
        return {
            "kind": self.kind,
            "exact": json_numbers(self.exact),
            "worked": worked,
            "ideal": json_numbers(self.ideal),
        }


@dataclass(frozen=True)
class Graded:
    """A graded pattern: everything by name, in file order, and the findings.

    `checks` holds True, False or None per size; shapings, spreads and curves hold one plan per size;
    `pieces` the corners in mm, shape (corners, 2, sizes).
    """

    sizes: tuple[str, ...]
    values: dict[str, GradedValue]
    checks: dict[str, tuple[bool | None, ...]]
    shapings: dict[str, tuple[ShapingPlan, ...]]
    spreads: dict[str, tuple[SpreadPlan, ...]]
    curves: dict[str, tuple[CurvePlan, ...]]
    pick_ups: dict[str, GradedPickUp]
    pieces: dict[str, Numbers]
    yarn: tuple[YarnNeed, ...]
    findings: tuple[Finding, ...]
    calculation: Calculation

    @property
    def stops(self) -> bool:
        """Whether any finding stands in the way of publishing."""
        return any(finding.weight == "stop" for finding in self.findings)

    def as_json(self) -> dict[str, Any]:
        """Return the graded pattern as JSON: mm, g, m of yarn, whole counts, null for what is unknown."""
        return {
            "sizes": list(self.sizes),
            "values": {name: value.as_json() for name, value in self.values.items()},
            "checks": {name: list(results) for name, results in self.checks.items()},
            "shapings": {name: [_runs(plan.runs) for plan in plans] for name, plans in self.shapings.items()},
            "spreads": {name: [_runs(plan.runs) for plan in plans] for name, plans in self.spreads.items()},
            "curves": {name: [_drops(plan) for plan in plans] for name, plans in self.curves.items()},
            "pick_ups": {name: json_counts(of.worked.tolist()) for name, of in self.pick_ups.items()},
            "yarn": [_need_as_json(need) for need in self.yarn],
            "findings": [finding.as_json() for finding in self.findings],
        }


def _runs(runs: tuple[tuple[int, int], ...] | None) -> list[list[int]] | None:
    """Return runs as JSON."""
    return None if runs is None else [list(run) for run in runs]


def _drops(plan: CurvePlan) -> list[int] | None:
    """Return the steps of a curve as JSON."""
    return None if plan.drops is None else list(plan.drops)


def _need_as_json(need: YarnNeed) -> dict[str, Any]:
    """Return the yarn of one combination as JSON."""
    colours = {
        colour: {
            "weight": json_numbers(of.weight_g),
            "length": json_numbers(of.length_m),
            "balls": json_counts(of.balls.tolist()),
        }
        for colour, of in need.colours.items()
    }
    return {"options": dict(need.options), "colours": colours}


def grade(pattern: Pattern) -> Graded:
    """Work out a pattern for all its sizes.

    Args:
        pattern: A pattern as read.

    Returns:
        All numbers and findings. A mistake in the pattern is a finding and blanks only what hangs on it;
        nothing raises.

    Source: derived.
    """
    return _graded(pattern, calculate(program_of(pattern)))


def _graded(pattern: Pattern, made: Calculation) -> Graded:
    """Build everything on a sheet that is worked out."""
    of = Workings(pattern, made)
    of.findings += line_findings(pattern, made)
    _report_comparisons(of)
    return Graded(
        sizes=pattern.sizes,
        values=_graded_values(pattern, made),
        checks={check.name: check_results(of, check) for check in pattern.checks},
        shapings={shaping.name: shaping_plans(of, shaping) for shaping in pattern.shapings},
        spreads={spread.name: spread_plans(of, spread) for spread in pattern.spreads},
        curves={curve.name: curve_plans(of, curve) for curve in pattern.curves},
        pick_ups={pick_up.name: graded_pick_up(of, pick_up) for pick_up in pattern.pick_ups},
        pieces={piece.name: piece_outline(of, piece) for piece in pattern.pieces},
        yarn=tuple(graded_yarn(of)),
        findings=(*of.findings, *_word_findings(of)),
        calculation=made,
    )


def _graded_values(pattern: Pattern, made: Calculation) -> dict[str, GradedValue]:
    """Return the numbers of all values by name."""
    rows = zip(pattern.values, made.exact, made.both, strict=False)
    return {value.name: GradedValue(value.kind, exact, both[0], both[1]) for value, exact, both in rows}


def _report_comparisons(of: Workings) -> None:
    """Report measured values that are compared to a body measurement that is not there."""
    body = {measurement.name for measurement in of.pattern.body}
    for value in of.pattern.values:
        compared = value.measured and value.measured.compares_to
        if compared and compared not in body:
            says = f"“compares_to” names “{compared}”, which is no body measurement{of.names.nearest(compared, body)}."
            of.findings.append(stop(f"values.{value.name}", says))


def _word_findings(of: Workings) -> list[Finding]:
    """Return what is to be noticed about notions, sections and cautions."""
    before = len(of.findings)
    for i, notion in enumerate(of.pattern.notions):
        problem = of.names.problem(notion.count) if isinstance(notion.count, str) else None
        if problem:
            of.findings.append(stop(f"notions[{i}]", problem))
        of.when_is_known(notion.when, f"notions[{i}]")
    for i, section in enumerate(of.pattern.sections):
        of.when_is_known(section.when, f"sections[{i}]")
    made = of.findings[before:]
    del of.findings[before:]
    return [*made, *caution_findings(of.pattern)]


def grade_at_gauge(
    pattern: Pattern, gauge: Mapping[str, Mapping[str, float]], worked: Mapping[str, Numbers]
) -> dict[str, Numbers]:
    """Work out what a garment measures at another gauge, its counts kept.

    Args:
        pattern: The pattern.
        gauge: By fabric, "stitches" and "rows" per mm; what is left out stays the pattern's own.
        worked: Counts as worked, by name: stitches, rows and counts, pick-ups too; one entry per size.

    Returns:
        All values by name, one entry per size; measured lengths before any rounding of their own.

    Source: derived.
    """
    program = program_of(pattern)
    constants = list(program.constants)
    for fabric, of_fabric in gauge.items():
        for part, per_mm in of_fabric.items():
            symbol = program.names.symbols.get(f"{fabric}.{part}")
            if symbol is not None:
                constants[symbol.cell] = per_mm
    lines = {line.name: i for i, line in enumerate(program.lines)}
    counts = {value.name for value in pattern.values if value.kind in COUNT_KINDS}
    counts |= {pick_up.name for pick_up in pattern.pick_ups}
    frozen = {lines[name]: np.asarray(n, dtype=float) for name, n in worked.items() if name in counts}
    made = calculate(program, constants, frozen)
    return {
        value.name: made.exact[i] if value.measured else made.both[i, 0]
        for i, value in enumerate(pattern.values)
    }
