"""Grading: every number of a pattern for every size, and everything that is to be noticed about them."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property, partial
from typing import Any, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimensions import COUNT_KINDS, ROW, STITCH
from grading.core.grade.buttonholes import buttonhole_findings
from grading.core.grade.cautions import caution_findings, small_part_findings
from grading.core.grade.divided_counts import divided_count_findings
from grading.core.grade.drawn_lines import notice_drawn_lines
from grading.core.grade.front_edges import front_edge_findings
from grading.core.grade.joined_edges import left_out_findings
from grading.core.grade.joins import JoinLengths, join_lengths
from grading.core.grade.last_rows import last_row_findings
from grading.core.grade.listed_sides import listed_side_findings
from grading.core.grade.mirrors import mirror_findings
from grading.core.grade.missing_facts import missing_facts
from grading.core.grade.missing_numbers import PrintedNames, missing_number_findings, printed_names
from grading.core.grade.neck_openings import neck_findings
from grading.core.grade.parts import (
    check_results,
    curve_plans,
    pick_up_plans,
    piece_outline,
    shaping_plans,
    spread_plans,
)
from grading.core.grade.row_labels import row_label_findings
from grading.core.grade.row_sides import row_plans, row_side_findings
from grading.core.grade.second_sides import second_side_findings
from grading.core.grade.stitch_patterns import notice_rows, pattern_repeats, rows_told_otherwise
from grading.core.grade.stretch_ends import stretch_end_findings
from grading.core.grade.told_rows import told_row_findings
from grading.core.grade.told_sides import told_side_findings
from grading.core.grade.turning_chains import turning_chain_findings
from grading.core.grade.untold import untold_findings
from grading.core.grade.zero_numbers import PrintedCounts, printed_counts, zero_findings
from grading.core.instructions.facts import facts_of
from grading.core.instructions.meant_values import (
    TypedBySteps,
    point_at_numbers,
    typed_by_step,
    without_pointed,
)
from grading.core.instructions.seen_sides import seen_side_findings
from grading.core.instructions.steps import check_steps
from grading.core.pattern.pattern import PatternFile
from grading.core.shaping.curves import CurvePlan
from grading.core.shaping.pick_ups import PickUpPlan
from grading.core.shaping.shaping import ShapingPlan
from grading.core.shaping.spreads import SpreadPlan
from grading.core.sheet.calculation import Calculation, calculate
from grading.core.sheet.findings import Finding, stop
from grading.core.sheet.json_numbers import json_counts, json_numbers
from grading.core.sheet.noticing import line_findings
from grading.core.sheet.recalculation import recalculate
from grading.core.sheet.sheet import program_of
from grading.core.sheet.workings import Part, Workings, when_problem
from grading.core.yarn.grading import graded_yarn
from grading.core.yarn.needs import CombinedNeed

Result = TypeVar("Result")


class Named(Protocol):
    """An entry with a name."""

    @property
    def name(self) -> str:
        """Its name."""


Numbers = NDArray[np.float64]
WORDS, TYPED, ROW_SIDES, MIRRORS = "words", "typed numbers", "row sides", "mirrors"
PRINTED, COUNTS = "printed names", "printed counts"
DRAWN_LINES = "drawn lines"


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

    `checks` holds True, False or None per size; shapings, spreads, curves and `pick_up_plans` hold one plan
    per size, `pick_ups` the stitches (NaN for null), `pieces` the corners in mm, shape (sizes, corners, 2),
    `joins` the lengths of both sides.
    """

    pattern: PatternFile
    sizes: tuple[str, ...]
    values: dict[str, GradedValue]
    checks: dict[str, tuple[bool | None, ...]]
    shapings: dict[str, tuple[ShapingPlan, ...]]
    spreads: dict[str, tuple[SpreadPlan, ...]]
    curves: dict[str, tuple[CurvePlan, ...]]
    pick_ups: dict[str, Numbers]
    pick_up_plans: dict[str, tuple[PickUpPlan | None, ...]]
    pieces: dict[str, Numbers]
    joins: dict[str, JoinLengths]
    yarn: tuple[CombinedNeed, ...]
    findings: tuple[Finding, ...]

    @cached_property
    def calculation(self) -> Calculation:
        """The sheet as calculated; of numbers that were read back, calculated when it is asked for."""
        return calculate(program_of(self.pattern))

    @property
    def stops(self) -> bool:
        """Whether any finding stands in the way of publishing."""
        return any(finding.weight == "stop" for finding in self.findings)

    def as_json(self) -> dict[str, Any]:
        """Return the graded pattern as JSON: mm, g, m of yarn, whole counts, null for what is unknown."""
        results = {
            part: {name: self.result_json(part, name) for name in getattr(self, part)} for part in RESULTS
        }
        return {
            "sizes": list(self.sizes),
            **results,
            "yarn": [need.as_json() for need in self.yarn],
            "findings": [finding.as_json() for finding in self.findings],
        }

    def result_json(self, part: str, name: str) -> Any:
        """Return the result of one entry as JSON; `part` is one of RESULTS."""
        return RESULTS[part](getattr(self, part)[name])


@dataclass(frozen=True)
class WorkedOut(Graded):
    """A pattern graded just now: with what a later state of it is worked out from."""

    made: Calculation
    parts: Mapping[str, Part]

    @property
    def calculation(self) -> Calculation:
        """The sheet as calculated."""
        return self.made


def _runs(plans: Sequence[ShapingPlan | SpreadPlan]) -> list[list[list[int]] | None]:
    """Return runs as JSON, size by size."""
    return [None if plan.runs is None else [list(run) for run in plan.runs] for plan in plans]


# Each named part of the results, and how one of its entries is written as JSON.
RESULTS: dict[str, Callable[[Any], Any]] = {
    "values": GradedValue.as_json,
    "checks": list,
    "shapings": _runs,
    "spreads": _runs,
    "curves": lambda plans: [None if plan.drops is None else list(plan.drops) for plan in plans],
    "pick_ups": lambda numbers: json_counts(numbers.tolist()),
}


def grade(pattern: PatternFile) -> WorkedOut:
    """Work out a pattern for all its sizes.

    Args:
        pattern: A pattern as read.

    Returns:
        All numbers and findings. A mistake in the pattern is a finding and blanks only what hangs on it;
        nothing raises.

    Source: derived.
    """
    words = pattern.memo.get(WORDS)
    earlier = _Words(pattern, {WORDS: words}) if isinstance(words, Part) else None
    return _graded(pattern, Workings(pattern, calculate(program_of(pattern)), earlier))


def regrade(previous: WorkedOut, pattern: PatternFile) -> WorkedOut:
    """Work out a pattern again after an edit, only as far as something hangs on what changed.

    Args:
        previous: The state before the edit.
        pattern: The pattern after it.

    Returns:
        The same as `grade(pattern)`; `changed_values` names the values whose numbers are others.

    Source: derived.
    """
    made = recalculate(previous.calculation, previous.pattern, pattern)
    if made is None:
        return grade(pattern)
    return _graded(pattern, Workings(pattern, made, previous))


def changed_values(before: Graded, after: Graded) -> list[str]:
    """Return the names of values that are new, gone, or have other numbers, in file order."""
    names = [*after.values, *(name for name in before.values if name not in after.values)]
    return [name for name in names if not _same(before.values.get(name), after.values.get(name))]


def _same(one: GradedValue | None, other: GradedValue | None) -> bool:
    """Return whether two states of a value have the same numbers."""
    if one is None or other is None or one.kind != other.kind:
        return False
    pairs = ((one.exact, other.exact), (one.worked, other.worked), (one.ideal, other.ideal))
    return all(a is b or np.array_equal(a, b, equal_nan=True) for a, b in pairs)


@dataclass(frozen=True)
class _Words:
    """What was noticed about the words of a pattern when it was worked out before."""

    pattern: PatternFile
    parts: Mapping[str, Part]


def _graded(pattern: PatternFile, of: Workings) -> WorkedOut:
    """Build everything on a sheet that is worked out."""
    lines = [*line_findings(pattern, of.made), *_comparison_findings(of)]
    checks = {one.name: _part(of, "checks", one, check_results) for one in pattern.checks}
    shapings = {one.name: _part(of, "shapings", one, shaping_plans) for one in pattern.shapings}
    spreads = {one.name: _part(of, "spreads", one, spread_plans) for one in pattern.spreads}
    curves = {one.name: _part(of, "curves", one, curve_plans) for one in pattern.curves}
    plans = {one.name: _part(of, "pick_ups", one, pick_up_plans) for one in pattern.pick_ups}
    pieces = {one.name: _part(of, "pieces", one, piece_outline) for one in pattern.pieces}
    of.part(DRAWN_LINES, None, partial(_notice_drawn_lines, of, pieces))
    joins = {one.name: _part(of, "joins", one, join_lengths) for one in pattern.joins}
    for one in pattern.stitch_patterns:
        _part(of, "stitch_patterns", one, pattern_repeats)
        of.part(f"stitch_patterns.{one.name} rows", one, partial(notice_rows, of, one))
    yarn = of.part("yarn", None, partial(graded_yarn, of))
    # No number of the sheet matters to what is said of the words, and to numbers typed in them.
    words = tuple(value.words for value in pattern.values)
    of.part(WORDS, words, lambda: of.add(*_word_findings(of, of.pattern_with(values=words))))
    pattern.memo[WORDS] = of.parts[WORDS]
    of.part(ROW_SIDES, None, partial(_notice_row_sides, of, shapings, curves))
    of.part(MIRRORS, pattern.shapings, partial(_notice_mirrors, of, shapings))
    printed: PrintedNames = of.part(PRINTED, words, lambda: printed_names(of.pattern_with(values=words)))
    counts: PrintedCounts = of.part(COUNTS, words, lambda: printed_counts(of.pattern_with(values=words)))
    graded = WorkedOut(
        pattern=pattern,
        sizes=pattern.sizes,
        values={
            value.name: GradedValue(value.kind, exact, worked, ideal)
            for value, exact, (worked, ideal) in zip(
                pattern.values, of.made.exact, of.made.both, strict=False
            )
        },
        checks=checks,
        shapings=shapings,
        spreads=spreads,
        curves=curves,
        pick_ups={one.name: of.made.both[of.made.program.line_of(one.name), 0] for one in pattern.pick_ups},
        pick_up_plans=plans,
        pieces=pieces,
        joins=joins,
        yarn=tuple(yarn),
        findings=(
            *missing_number_findings(pattern, of.made, printed),
            *lines,
            *of.findings,
            *small_part_findings(pattern, of.made),
            *zero_findings(pattern, of.made, counts),
            *neck_findings(pattern, joins),
        ),
        made=of.made,
        parts=of.parts,
    )
    typed: TypedBySteps = of.part(TYPED, words, lambda: typed_by_step(of.pattern_with(values=words)))
    return _with_typed_numbers(graded, typed) if typed else graded


def _with_typed_numbers(graded: WorkedOut, typed: TypedBySteps) -> WorkedOut:
    """Add findings for the numbers typed in steps, by the numbers that the sheet has."""
    pointers = point_at_numbers(facts_of(graded.pattern, graded), typed)
    findings = without_pointed(graded.findings, pointers)
    return replace(graded, findings=(*findings, *(one.finding for one in pointers)))


def _part(of: Workings, key: str, one: Named, make: Callable[[Workings, Any], Result]) -> Result:
    """Return the result of one entry."""
    return of.part(f"{key}.{one.name}", one, partial(make, of, one))


def _comparison_findings(of: Workings) -> list[Finding]:
    """Return findings for measured values that are compared to a body measurement that is not there."""
    body = {measurement.name for measurement in of.pattern.body}
    found = []
    for value in of.pattern.values:
        compared = value.measured and value.measured.compares_to
        if compared and compared not in body:
            nearest = of.names.nearest(compared, body)
            says = f"“compares_to” names “{compared}”, which is no body measurement{nearest}."
            found.append(stop(f"values.{value.name}", says))
    return found


def _notice_drawn_lines(of: Workings, outlines: Mapping[str, Numbers]) -> None:
    """Report measurements that are drawn along another length of a piece."""
    for piece in of.pattern.pieces:
        of.use(of.parts[f"pieces.{piece.name}"].used)
        notice_drawn_lines(of, piece, outlines[piece.name])


def _notice_row_sides(
    of: Workings, shapings: Mapping[str, Sequence[ShapingPlan]], curves: Mapping[str, Sequence[CurvePlan]]
) -> None:
    """Report shaping that is told for rows of one side and falls on rows of the other."""
    for key in [*(f"shapings.{name}" for name in shapings), *(f"curves.{name}" for name in curves)]:
        of.use(of.parts[key].used)
    plans = row_plans(of.pattern, shapings, curves)
    of.add(*row_side_findings(of.pattern, plans))
    rows = {value.name for value in of.pattern.values if value.kind == "rows"}
    numbers = cache(lambda name: of.counts(name, (ROW,), "rows") if name in rows else None)
    of.add(*last_row_findings(of.pattern, numbers, plans))
    stitches = {value.name for value in of.pattern.values if value.kind == "stitches"}
    counts = cache(lambda name: of.counts(name, (STITCH,), "stitches") if name in stitches else None)
    of.add(*divided_count_findings(of.pattern, counts))


def _notice_mirrors(of: Workings, shapings: Mapping[str, Sequence[ShapingPlan]]) -> None:
    """Report shapings that go back over the stitches of another one, and are not its mirror."""
    for name in shapings:
        of.use(of.parts[f"shapings.{name}"].used)
    of.add(*mirror_findings(of.pattern, shapings))


def _word_findings(of: Workings, pattern: PatternFile) -> Iterator[Finding]:
    """Find what is to be noticed about the words of a pattern."""
    for i, notion in enumerate(pattern.notions):
        problems = [of.names.problem(notion.count) if isinstance(notion.count, str) else None]
        problems.append(when_problem(notion.when, pattern))
        yield from (stop(f"notions[{i}]", problem) for problem in problems if problem)
    for i, section in enumerate(pattern.sections):
        problem = when_problem(section.when, pattern)
        yield from [stop(f"sections[{i}]", problem)] if problem else []
    yield from check_steps(pattern)
    yield from rows_told_otherwise(pattern)
    yield from caution_findings(pattern)
    yield from missing_facts(pattern)
    yield from untold_findings(pattern)
    yield from buttonhole_findings(pattern)
    yield from second_side_findings(pattern)
    yield from front_edge_findings(pattern)
    yield from told_row_findings(pattern)
    yield from row_label_findings(pattern)
    yield from stretch_end_findings(pattern)
    yield from turning_chain_findings(pattern)
    yield from told_side_findings(pattern)
    yield from listed_side_findings(pattern)
    yield from left_out_findings(pattern)
    yield from seen_side_findings(pattern)


def grade_at_gauge(
    pattern: PatternFile, gauge: Mapping[str, Mapping[str, float]], worked: Mapping[str, Numbers]
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
