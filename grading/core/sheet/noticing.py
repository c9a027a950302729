"""Findings that nobody asked for: about single lines of the sheet, size by size."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimensions import COUNT_KINDS
from grading.core.formula.literals import LENGTH_UNITS_MM
from grading.core.pattern.pattern import PatternFile, ValueEntry
from grading.core.sheet.calculation import Calculation
from grading.core.sheet.findings import Finding, Weight

# A value that shrinks by less than this (mm, or one stitch) is not worth a word.
LEAST_SHRINK = 1.0
# A step counts as a jump from this far beyond twice or half the median step.
LEAST_JUMP_MM = 10.0
LEAST_SIZES_FOR_JUMP = 5
TOLERANCE = 1e-9
_AGE = re.compile(
    r"newborn|nb|\d+(?:\s*[-–/]\s*\d+)?\s*(?:m|mo|mos|mths?|months?|y|yr|yrs|years?)\b\.?", re.IGNORECASE
)

Numbers = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Noticed:
    """Something about one value in one size: where it sorts, and the sentence."""

    line: int
    size: int
    weight: Weight
    says: str
    at: tuple[int, int] | None = None


def line_findings(pattern: PatternFile, made: Calculation) -> list[Finding]:
    """Return what is to be noticed about the lines of a sheet.

    Args:
        pattern: The pattern.
        made: Its sheet worked out.

    Returns:
        Static errors and what was noticed size by size, in file order.

    Source: derived; the limits are common practice.
    """
    noticed = [
        *_troubles(made),
        *_below_zero(pattern, made),
        *_off_rounding(pattern, made),
        *_shrinking(pattern, made),
        *_off_ease(pattern, made),
        *_off_ideal(pattern, made),
        *_jumping(pattern, made),
    ]
    by_line: dict[int, list[Noticed]] = {}
    for one in noticed:
        by_line.setdefault(one.line, []).append(one)
    findings: list[Finding] = []
    for i, line in enumerate(made.program.lines):
        if line.finding:
            findings.append(line.finding)
        for one in by_line.get(i, ()):
            row, column = one.at or (None, None)
            findings.append(Finding(line.where, pattern.sizes[one.size], one.weight, row, column, one.says))
    return findings


@dataclass(frozen=True)
class Excused:
    """One step between sizes that a line's exception covers: which line and exception, and the numbers."""

    name: str
    by: str
    says: str
    size: str
    """The larger of the two sizes, at which it would be noticed."""


def excused_steps(pattern: PatternFile, made: Calculation) -> list[Excused]:
    """Return the steps that would be noticed if no line said that they are right.

    Args:
        pattern: The pattern.
        made: Its sheet worked out.

    Returns:
        One for each line, exception and size that has it now, such as "22 cm → 18 cm, 3X to 4X"; by line.

    Source: derived; the same limits as for what is noticed.
    """
    found = [
        *((one, "may_shrink") for one in _shrinking(pattern, made, excused=True)),
        *((one, "may_jump") for one in _jumping(pattern, made, excused=True)),
    ]
    excused = []
    for one, by in sorted(found, key=lambda pair: (pair[0].line, pair[1] != "may_shrink", pair[0].size)):
        value, worked = pattern.values[one.line], made.both[one.line, 0]
        last = int(np.flatnonzero(np.isfinite(worked[: one.size]))[-1])
        before, after = _printed(pattern, value, worked[last], worked[one.size])
        sizes = f"{pattern.sizes[last]} to {pattern.sizes[one.size]}"
        excused.append(Excused(value.name, by, f"{before} → {after}, {sizes}", pattern.sizes[one.size]))
    return excused


def _where(flags: Flags, lines: Sequence[int]) -> Iterator[tuple[int, int, int]]:
    """Return (row, line, size) of every flag that is set."""
    if flags.any():
        for row, size in np.argwhere(flags).tolist():
            yield row, lines[row], size


def _troubles(made: Calculation) -> Iterator[Noticed]:
    """Divisions by zero, roots of negatives, numbers too large."""
    for line, troubles in made.troubles.items():
        for trouble in troubles:
            for size in np.flatnonzero(trouble.sizes).tolist():
                yield Noticed(line, size, "stop", trouble.says, (trouble.line, trouble.column))


def _below_zero(pattern: PatternFile, made: Calculation) -> Iterator[Noticed]:
    """Stitches, rows or counts below zero; so many fewer, to be spread over a row, may be."""
    fewer = _changes(pattern)
    lines = [
        i for i, value in enumerate(pattern.values) if value.kind in COUNT_KINDS and value.name not in fewer
    ]
    worked = made.both[lines, 0]
    for row, line, size in _where(worked < -TOLERANCE, lines):
        kind = pattern.values[line].kind
        yield Noticed(
            line, size, "stop", f"There cannot be {worked[row, size]:g} {_counted(kind)}: it is below 0."
        )


def _changes(pattern: PatternFile) -> frozenset[str]:
    """The lines that say how many stitches a row is given or loses; a minus means fewer."""
    return frozenset(spread.change for spread in pattern.spreads if isinstance(spread.change, str))


def _counted(kind: str) -> str:
    """Name what a kind counts."""
    return "of them" if kind == "count" else kind


def _off_rounding(pattern: PatternFile, made: Calculation) -> Iterator[Noticed]:
    """Entries of a list that are off their own rounding."""
    fixed = made.program.fixed
    off = np.abs(fixed.exact - fixed.worked) > TOLERANCE * np.maximum(1.0, np.abs(fixed.exact))
    for row, line, size in _where(off, fixed.lines):
        value = pattern.values[line]
        if value.source == "list" and not value.is_settled("multiple", pattern.sizes[size]):
            given, used = _printed(pattern, value, fixed.exact[row, size], fixed.worked[row, size])
            yield Noticed(
                line, size, "warn", f"The entry {given} does not fit this line’s multiple; {used} is used."
            )


def _shrinking(pattern: PatternFile, made: Calculation, *, excused: bool = False) -> Iterator[Noticed]:
    """Measured values and counts that are smaller than in the last size that has one; or the excused ones."""
    lines = [i for i, value in enumerate(pattern.values) if value.measured or value.kind in COUNT_KINDS]
    worked = made.both[lines, 0]
    before = _last_known(worked)
    for row, line, size in _where(before - worked >= LEAST_SHRINK - TOLERANCE, lines):
        value = pattern.values[line]
        if worked[row, size] < 0 and value.name in _changes(pattern):
            continue
        if _is_excused(value, "may_shrink", pattern.sizes[size]) is not excused:
            continue
        small, large = _printed(pattern, value, worked[row, size], before[row, size])
        last = pattern.sizes[int(np.flatnonzero(np.isfinite(worked[row, :size]))[-1])]
        says = f"{value.label}: {small} is smaller than {large} in size {last}; if this is right, note why."
        yield Noticed(line, size, "warn", says)


def _is_excused(value: ValueEntry, what: Literal["may_shrink", "may_jump"], size: str) -> bool:
    """Whether a step to a size was said to be right: in the whole line, or in this size."""
    whole = value.may_shrink if what == "may_shrink" else value.may_jump
    return whole or value.is_settled(what, size)


def _last_known(numbers: Numbers) -> Numbers:
    """Return for each size the number of the last size before it that has one, NaN for the first."""
    before = np.full_like(numbers, np.nan)
    for size in range(1, numbers.shape[1]):
        last = numbers[:, size - 1]
        before[:, size] = np.where(np.isnan(last), before[:, size - 1], last)
    return before


def _off_ease(pattern: PatternFile, made: Calculation) -> Iterator[Noticed]:
    """Measured values whose ease over the body lies outside what was wanted."""
    body = {measurement.name: i for i, measurement in enumerate(pattern.body)}
    for line, value in enumerate(pattern.values):
        measured = value.measured
        if measured is None or measured.ease is None or measured.compares_to not in body:
            continue
        ease = made.both[line, 0] - made.worked(body[measured.compares_to])
        least, most = measured.ease
        off = (ease < least - TOLERANCE) | (ease > most + TOLERANCE)
        for size in np.flatnonzero(off).tolist():
            if value.is_settled("ease", pattern.sizes[size]):
                continue
            name = pattern.body[body[measured.compares_to]].label
            has, low, high = _printed(pattern, value, ease[size], least, most)
            says = f"The ease over “{name}” is {has}; wanted is {low} to {high}."
            yield Noticed(line, size, "warn", says)


def _off_ideal(pattern: PatternFile, made: Calculation) -> Iterator[Noticed]:
    """Measured values that rounding has moved further than their tolerance."""
    lines = [i for i, value in enumerate(pattern.values) if value.measured]
    allowed = np.array([value.measured.tolerance for value in pattern.values if value.measured])
    apart = made.both[lines, 0] - made.both[lines, 1]
    for row, line, size in _where(np.abs(apart) > allowed[:, None] + TOLERANCE, lines):
        value = pattern.values[line]
        if value.is_settled("rounding", pattern.sizes[size]):
            continue
        off, most = _printed(pattern, value, abs(apart[row, size]), allowed[row])
        way = "more" if apart[row, size] > 0 else "less"
        says = f"Rounding makes this {off} {way} than it would be without; the tolerance is {most}."
        yield Noticed(line, size, "warn", says)


def _jumping(pattern: PatternFile, made: Calculation, *, excused: bool = False) -> Iterator[Noticed]:
    """Measured lengths that grow unevenly from size to size; or those of lines that are excused."""
    lines = [i for i, value in enumerate(pattern.values) if value.measured and value.kind == "length"]
    ideal = made.both[lines, 1]
    steps = np.diff(ideal, axis=1)
    medians = _medians(steps, ideal)
    uneven = _uneven(steps, medians) & (np.abs(steps - medians[:, None]) > LEAST_JUMP_MM + TOLERANCE)
    for row, line, size in _where(uneven, lines):
        value = pattern.values[line]
        if _is_excused(value, "may_jump", pattern.sizes[size + 1]) is not excused:
            continue
        ideal_step, ideal_usual = _printed(pattern, value, steps[row, size], medians[row])
        shown = np.diff(made.both[line, 0])
        shown = shown if np.isfinite(shown[size]) else steps[row]
        step, usual = _printed(pattern, value, shown[size], float(np.nanmedian(shown)))
        as_shown = (step, usual) == (ideal_step, ideal_usual)
        before = "" if as_shown else f" Before rounding: {ideal_step}, and {ideal_usual}."
        source = _jumping_body(pattern, made, line, size)
        if source and _are_ages(pattern.sizes[size : size + 2]):
            continue
        because = f" The jump comes from the size table ({source})." if source else ""
        says = f"The step from {pattern.sizes[size]} is {step}, where {usual} is usual.{before}{because}"
        if step == usual:
            says = (
                f"The step from {pattern.sizes[size]} is {step}, as is usual here. Before rounding it is "
                f"{ideal_step}, where {ideal_usual} is usual.{because}"
            )
        yield Noticed(line, size + 1, "warn", says)


def _are_ages(sizes: Sequence[str]) -> bool:
    """Return whether sizes are ages, which lie unevenly apart: 6m, 12m, 2 years.

    Source: common practice: children grow fastest when they are smallest, and tables for them follow that.
    """
    return all(_AGE.fullmatch(size.strip()) for size in sizes)


def _medians(steps: Numbers, numbers: Numbers) -> Numbers:
    """Return the median step of each line, NaN with fewer than 5 sizes or where it is not above 0."""
    medians = np.full(len(steps), np.nan)
    enough = np.isfinite(numbers).sum(axis=1) >= LEAST_SIZES_FOR_JUMP
    whole = enough & np.isfinite(steps).all(axis=1)
    if whole.any():
        medians[whole] = np.median(steps[whole], axis=1)
    for row in np.flatnonzero(enough & ~whole):
        known = steps[row][np.isfinite(steps[row])]
        medians[row] = np.median(known) if known.size else np.nan
    return np.where(medians > TOLERANCE, medians, np.nan)


def _uneven(steps: Numbers, medians: Numbers) -> Flags:
    """Return which steps are more than twice or less than half the median."""
    usual = medians[:, None]
    return np.asarray((steps > 2 * usual + TOLERANCE) | (steps < usual / 2 - TOLERANCE))


def _jumping_body(pattern: PatternFile, made: Calculation, line: int, size: int) -> str:
    """Name the body measurements under a line that jump at the same step themselves, "" for none."""
    names = []
    for cell in sorted(_body_under(made, line, len(pattern.body))):
        numbers = made.worked(cell)[None, :]
        steps = np.diff(numbers, axis=1)
        if _uneven(steps, _medians(steps, numbers))[0, size]:
            names.append(pattern.body[cell].label)
    return ", ".join(names)


def _body_under(made: Calculation, line: int, body: int) -> set[int]:
    """Return the body measurements that a line hangs on, however far."""
    offset, lines = made.program.names.constants, made.program.lines
    seen: set[int] = set()
    open_cells = list(lines[line].needs)
    while open_cells:
        cell = open_cells.pop()
        if cell not in seen:
            seen.add(cell)
            open_cells += lines[cell - offset].needs if cell >= offset else ()
    return {cell for cell in seen if cell < body}


def _printed(pattern: PatternFile, value: ValueEntry, *numbers: float) -> list[str]:
    """Write numbers of a value's kind for a sentence, lengths in the home units."""
    home = pattern.home_units
    if value.kind == "length":
        return [f"{round(float(number) / LENGTH_UNITS_MM[home], 2) + 0.0:g} {home}" for number in numbers]
    unit = {"weight": " g", "yarn": " m"}.get(value.kind, "")
    return [f"{round(float(number), 3) + 0.0:g}{unit}" for number in numbers]
