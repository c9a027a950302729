"""A sheet made ready to be worked out: its lines, what each needs, their order, and what is wrong with them.

A line is whatever has a number for each size: a value, a pick-up, the length of a curve.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimension_checks import require_dimension
from grading.core.formula.dimensions import COUNT_KINDS, KINDS, PLAIN, ROW, STITCH, Dimension, describe
from grading.core.formula.errors import FormulaError
from grading.core.formula.evaluation import Cell, Function, function_of
from grading.core.formula.formula import parse_formula
from grading.core.formula.rounding import WHOLE, WorkableStep, round_to_workable
from grading.core.formula.tree import Formula
from grading.core.pattern.pattern import (
    CountOrName,
    CurveEntry,
    Entries,
    PatternFile,
    PickUpEntry,
    Rounding,
    ValueEntry,
)
from grading.core.pattern.watched_pattern import watched
from grading.core.shaping.curves import EdgeGauge, edge_length_mm
from grading.core.sheet.circles import order_of
from grading.core.sheet.findings import Finding, stop
from grading.core.sheet.names import Names

Numbers = NDArray[np.float64]
COUNTED = (STITCH, ROW, PLAIN)
LinedEntry = ValueEntry | PickUpEntry | CurveEntry


@dataclass(frozen=True, slots=True)
class Line:
    """One line: where it stands, its cells, how it is worked out and rounded; or why it cannot be.

    `read` names the parts of the pattern that were read for it beside its own entry.
    """

    name: str
    where: str
    needs: tuple[int, ...] = ()
    function: Function | None = None
    formula: Formula | None = None
    entries: Entries | None = None
    step: WorkableStep | None = None
    finding: Finding | None = None
    read: frozenset[str] = frozenset()


@dataclass(frozen=True)
class FixedLines:
    """Lines given as lists or steps: their numbers, and one row each of exact and worked numbers."""

    lines: list[int]
    exact: Numbers
    worked: Numbers


@dataclass(frozen=True)
class SheetProgram:
    """All lines in file order, the order to work them out in, and the constant cells."""

    names: Names
    lines: tuple[Line, ...]
    order: tuple[int, ...]
    constants: tuple[Cell, ...]
    sizes: int
    fixed: FixedLines

    def line_of(self, name: str) -> int:
        """Return the number of the line with a name."""
        return self.names.symbols[name].cell - self.names.constants


def program_of(pattern: PatternFile) -> SheetProgram:
    """Return the pattern's sheet made ready; the same pattern is made ready once only."""
    made = pattern.memo.get("program")
    if not isinstance(made, SheetProgram):
        names = Names(pattern)
        lines = [read_line(one, pattern, names) for one in lined_entries(pattern)]
        made = pattern.memo["program"] = program_from(pattern, names, lines)
    return made


def lined_entries(pattern: PatternFile) -> tuple[LinedEntry, ...]:
    """Return the entries that have a line, in the order of their lines."""
    curves = (curve for curve in pattern.curves if curve.fabric is not None)
    return (*pattern.values, *pattern.pick_ups, *curves)


def read_line(entry: LinedEntry, pattern: PatternFile, names: Names) -> Line:
    """Make the line of an entry ready, watching what is read for it."""
    read: set[str] = set()
    seen = watched(pattern, read)
    if isinstance(entry, ValueEntry):
        line = _value_line(entry, seen, names)
    elif isinstance(entry, PickUpEntry):
        line = _pick_up_line(entry, seen, names)
    else:
        line = _curve_line(entry, seen, names)
    return replace(line, read=frozenset(read))


def program_from(pattern: PatternFile, names: Names, read: Sequence[Line]) -> SheetProgram:
    """Find the order and the circles of lines that have been read."""
    lines, offset = list(read), names.constants
    needs = [[cell - offset for cell in line.needs if cell >= offset] for line in lines]
    order, circles = order_of(needs)
    for circle in circles:
        lines[circle[0]] = replace(lines[circle[0]], finding=_circle_finding(lines, circle))
    blocked = {i for i, line in enumerate(lines) if line.finding}
    workable = [i for i in order if lines[i].function or lines[i].entries is not None]
    runnable = tuple(_without_blank(workable, needs, blocked))
    sizes = len(pattern.sizes)
    return SheetProgram(
        names, tuple(lines), runnable, constants_of(pattern), sizes, fixed_lines(lines, sizes)
    )


def fixed_lines(lines: Sequence[Line], sizes: int) -> FixedLines:
    """Round the lines that are given as lists or steps."""
    given = [i for i, line in enumerate(lines) if line.entries is not None]
    none = np.empty((len(given), sizes))
    return fixed_again(FixedLines(given, none, none), lines, given)


def fixed_again(fixed: FixedLines, lines: Sequence[Line], edited: Collection[int]) -> FixedLines:
    """Take over and round the numbers of edited lines that are given as lists or steps."""
    exact, worked = fixed.exact.copy(), fixed.worked.copy()
    for row, i in enumerate(fixed.lines):
        if i in edited:
            step = lines[i].step
            exact[row] = as_numbers(lines[i].entries or ())
            worked[row] = round_to_workable(exact[row], step) if step else exact[row]
    return FixedLines(fixed.lines, exact, worked)


def _without_blank(order: Sequence[int], needs: Sequence[Sequence[int]], blocked: set[int]) -> list[int]:
    """Return the lines that hang on none that is blank."""
    blank = set(blocked)
    kept = []
    able = set(order)
    for line in order:
        if line in blank or any(other in blank or other not in able for other in needs[line]):
            blank.add(line)
        else:
            kept.append(line)
    return kept


def constants_of(pattern: PatternFile) -> tuple[Cell, ...]:
    """Return the cells of body measurements, fabrics and size_number, in the order of Names."""
    cells: list[Cell] = [as_numbers(measurement.entries) for measurement in pattern.body]
    for fabric in pattern.fabrics:
        cells += [fabric.stitches_per_mm, fabric.rows_per_mm, float(fabric.multiple), float(fabric.plus)]
    return (*cells, np.arange(1.0, len(pattern.sizes) + 1))


def as_numbers(entries: Entries) -> Numbers:
    """Return entries as an array, NaN for null."""
    return np.array([np.nan if entry is None else entry for entry in entries], dtype=float)


def _value_line(value: ValueEntry, pattern: PatternFile, names: Names) -> Line:
    """Make a value ready."""
    where = f"values.{value.name}"
    line = Line(value.name, where, entries=value.entries)
    try:
        step = step_of(value.rounding, value.kind, pattern)
        if value.formula is None:
            return replace(line, step=step)
        formula, needs = read_formula(value.formula, names, value.name)
        dimensions = tuple(names.symbols[name].dimension for name in formula.names)
        require_dimension(formula, dimensions, KINDS[value.kind], _is_a(value.kind))
    except FormulaError as error:
        return replace(line, entries=None, finding=placed(where, error))
    return replace(line, needs=needs, function=function_of(value.formula), formula=formula, step=step)


def _is_a(kind: str) -> str:
    """Begin the sentence about a formula of another dimension than its value's."""
    words = {
        "length": "a length",
        "weight": "a weight",
        "yarn": "a length of yarn",
        "area": "an area (stitches × rows)",
    }
    words |= {"count": "a count", "ratio": "a ratio"}
    return f"The value is {words.get(kind, kind)}"


def placed(where: str, error: FormulaError) -> Finding:
    """Return the finding for a formula that cannot be used."""
    return Finding(where, None, "stop", error.line, error.column, error.says)


def read_formula(text: str, names: Names, own: str = "") -> tuple[Formula, tuple[int, ...]]:
    """Return a formula and the cells that it needs.

    Args:
        text: As typed.
        names: What is known.
        own: The line that it is the formula of, if any.

    Returns:
        The formula, and one cell number for each of its names.

    Raises:
        FormulaError: It cannot be read, or a name stands for no number.

    Source: derived.
    """
    formula = parse_formula(text)
    for name in formula.names:
        problem = names.problem(name, own)
        if problem:
            raise formula.error(problem, formula.place_of(name))
    return formula, tuple(names.symbols[name].cell for name in formula.names)


def step_of(rounding: Rounding | None, kind: str, pattern: PatternFile) -> WorkableStep | None:
    """Return how a value is rounded, None for not at all.

    Args:
        rounding: As typed, or None for the default of the kind.
        kind: Kind of the value.
        pattern: For the multiple and plus of its fabrics.

    Returns:
        The step; stitches, rows and counts default to whole numbers.

    Raises:
        FormulaError: The rounding names an unknown fabric.

    Source: common practice.
    """
    if rounding is None:
        return WHOLE if kind in COUNT_KINDS else None
    if rounding.fabric is None:
        return WorkableStep(rounding.to, rounding.multiple, rounding.plus)
    for fabric in pattern.fabrics:
        if fabric.name == rounding.fabric:
            return WorkableStep(rounding.to, float(fabric.multiple), float(fabric.plus))
    raise FormulaError(unknown_fabric(rounding.fabric))


def require_fabric(name: str, pattern: PatternFile) -> None:
    """Raise unless a fabric exists."""
    if all(fabric.name != name for fabric in pattern.fabrics):
        raise FormulaError(unknown_fabric(name))


def unknown_fabric(name: str) -> str:
    """Say that there is no such fabric."""
    return f"There is no fabric “{name}” to work by."


def cell_of(entry: CountOrName, names: Names, allowed: Sequence[Dimension], what: str) -> int | float:
    """Return the cell of an entry that is a number or a name: a cell number for a name, else the float.

    Args:
        entry: 12, or "back_stitches".
        names: What is known.
        allowed: Dimensions that the name may have.
        what: Key of the entry, for the sentence.

    Returns:
        A cell number (int) or the number itself (float).

    Raises:
        FormulaError: The name is unknown or has another dimension.

    Source: derived.
    """
    if not isinstance(entry, str):
        return float(entry)
    problem = names.problem(entry)
    if problem:
        raise FormulaError(f"“{what}”: {problem}")
    symbol = names.symbols[entry]
    if symbol.dimension not in allowed:
        wanted = " or ".join(describe(dimension) for dimension in allowed)
        raise FormulaError(f"“{what}” needs {wanted}, but “{entry}” is {describe(symbol.dimension)}.")
    return symbol.cell


def _line_of_entries(
    line: Line,
    entries: Sequence[int | float],
    work_out: Callable[[Sequence[Cell]], Cell],
    step: WorkableStep | None,
) -> Line:
    """Return a line that is worked out from cells and fixed numbers."""
    needs = tuple(entry for entry in entries if isinstance(entry, int))
    places = [needs.index(entry) if isinstance(entry, int) else None for entry in entries]

    def function(cells: Sequence[Cell]) -> Cell:
        pairs = zip(places, entries, strict=True)
        return work_out([float(entry) if place is None else cells[place] for place, entry in pairs])

    return replace(line, needs=needs, function=function, step=step)


def _pick_up_line(pick_up: PickUpEntry, pattern: PatternFile, names: Names) -> Line:
    """Make the number of a pick-up ready: count × stitches / per, rounded once."""
    line = Line(pick_up.name, f"pick_ups.{pick_up.name}")
    try:
        count = cell_of(pick_up.count, names, (ROW, STITCH), "count")
        step = step_of(pick_up.rounding, "stitches", pattern)
    except FormulaError as error:
        return replace(line, finding=stop(line.where, error.says))
    return _line_of_entries(line, [count], lambda cells: cells[0] * pick_up.stitches / pick_up.per, step)


def _curve_line(curve: CurveEntry, pattern: PatternFile, names: Names) -> Line:
    """Make the length of a curve's smooth edge ready; its width and depth are reported with its steps."""
    line = Line(f"{curve.name}.length", f"curves.{curve.name}")
    try:
        require_fabric(str(curve.fabric), pattern)
    except FormulaError as error:
        return replace(line, finding=stop(line.where, error.says))
    try:
        width = cell_of(curve.width, names, (STITCH, PLAIN), "width")
        depth = cell_of(curve.depth, names, (ROW, PLAIN), "depth")
    except FormulaError:
        return line
    gauge = [names.symbols[f"{curve.fabric}.{part}"].cell for part in ("stitches", "rows")]
    sizes = len(pattern.sizes)

    def work_out(cells: Sequence[Cell]) -> Cell:
        return edge_lengths(curve, cells, sizes)

    return _line_of_entries(line, [width, depth, *gauge], work_out, None)


def edge_lengths(curve: CurveEntry, cells: Sequence[Cell], sizes: int) -> Numbers:
    """Return the smooth edge of a curve in mm, worked and ideal, from width, depth and the gauge."""
    width, depth, stitches, rows = (np.broadcast_to(cell, (2, sizes)) for cell in cells)
    lengths = np.full((2, sizes), np.nan)
    for place in np.ndindex(2, sizes):
        if np.isfinite(width[place]) and np.isfinite(depth[place]):
            gauge = EdgeGauge(float(stitches[place]), float(rows[place]))
            taken = float(depth[place]) * curve.every
            length = edge_length_mm(float(width[place]), taken, curve.shape, gauge)
            lengths[place] = np.nan if length is None else length
    return lengths


def _circle_finding(lines: Sequence[Line], circle: Sequence[int]) -> Finding:
    """Return the finding for a circle, placed where its first line names the next."""
    names = [lines[i].name for i in (*circle, circle[0])]
    shown = names if len(names) <= 14 else [*names[:6], f"… {len(names) - 12} more …", *names[-6:]]
    first = lines[circle[0]]
    says = f"This line depends on itself: {' → '.join(shown)}."
    if first.formula is None:
        return stop(first.where, says)
    return placed(first.where, first.formula.error(says, first.formula.place_of(names[1])))
