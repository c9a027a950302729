"""Works a sheet out again after an edit, only as far as something hangs on what changed."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from grading.core.formula.evaluation import Cell
from grading.core.pattern.pattern import PatternFile, differ
from grading.core.pattern.watched_pattern import differing_parts
from grading.core.sheet.calculation import Calculation, work_out
from grading.core.sheet.names import Names
from grading.core.sheet.sheet import (
    Line,
    SheetProgram,
    constants_of,
    fixed_again,
    lined_entries,
    program_from,
    read_line,
)


def recalculate(before: Calculation, old: PatternFile, new: PatternFile) -> Calculation | None:
    """Work out the lines that hang on a change.

    Args:
        before: The sheet of the old pattern, worked out.
        old: The pattern before the edit.
        new: The pattern after it.

    Returns:
        The sheet of the new pattern, with `changed` cells; None where sizes, names, kinds or the order of the
        lines changed, so that all must be worked out.

    Source: derived.
    """
    names = Names(new)
    if old.sizes != new.sizes or not names.same_as(before.program.names):
        return None
    given, entries, differing = lined_entries(old), lined_entries(new), differing_parts(old, new)
    edited = [
        i
        for i, line in enumerate(before.program.lines)
        if differ(given[i], entries[i]) or line.read & differing
    ]
    program = _revised(before.program, edited, new, names)
    new.memo["program"] = program
    made = Calculation(program, before.exact.copy(), before.both.copy(), [], dict(before.troubles))
    made.cells = [*program.constants, *made.both]
    moved = {
        i
        for i, pair in enumerate(zip(before.program.constants, program.constants, strict=True))
        if _differ(*pair)
    }
    able_again = set(program.order) - set(before.program.order)
    changed = _work_out_changed(before, made, able_again | set(edited), moved)
    made.changed = frozenset(changed | _blanked(before, made) | _judged_anew(before, made))
    return made


def _revised(program: SheetProgram, edited: Sequence[int], new: PatternFile, names: Names) -> SheetProgram:
    """Return the program with the edited lines read again, and those with a finding: a circle may be gone."""
    lines, entries = list(program.lines), lined_entries(new)
    faulty = [i for i, line in enumerate(lines) if line.finding]
    # A curve of unknown width or depth is reported with its steps; what was suggested for it counts here.
    silent = [i for i, line in enumerate(lines) if not (line.finding or line.function or _is_fixed(line))]
    for i in sorted({*edited, *faulty, *silent}):
        lines[i] = read_line(entries[i], new, names)
    pairs = [(program.lines[i], lines[i]) for i in edited]
    if faulty or any(
        line.finding or line.needs != old.needs or _is_fixed(line) != _is_fixed(old) for old, line in pairs
    ):
        return program_from(new, names, lines)
    is_fixed = any(_is_fixed(lines[i]) for i in edited)
    fixed = fixed_again(program.fixed, lines, edited) if is_fixed else program.fixed
    return replace(program, names=names, lines=tuple(lines), constants=constants_of(new), fixed=fixed)


def _is_fixed(line: Line) -> bool:
    """Return whether a line is given as a list or steps."""
    return line.entries is not None


def _differ(old: Cell, new: Cell) -> bool:
    """Return whether the numbers of a cell are others; null equals null."""
    return not np.array_equal(old, new, equal_nan=True)


def _work_out_changed(before: Calculation, made: Calculation, edited: set[int], moved: set[int]) -> set[int]:
    """Work out edited lines and those whose needs changed, in order; return the cells that changed."""
    program, offset = made.program, made.program.names.constants
    changed = set(moved)
    _refresh_fixed(made, edited)
    order = [*program.fixed.lines, *program.order]
    for i in dict.fromkeys(order):
        if i in edited or not changed.isdisjoint(program.lines[i].needs):
            made.troubles.pop(i, None)
            work_out(made, (i,))
            if _differ(before.both[i], made.both[i]) or _differ(before.exact[i], made.exact[i]):
                changed.add(offset + i)
    return changed


def _refresh_fixed(made: Calculation, edited: set[int]) -> None:
    """Take over the numbers of edited lists and steps."""
    fixed = made.program.fixed
    for row, i in enumerate(fixed.lines):
        if i in edited:
            made.exact[i], made.both[i] = fixed.exact[row], [fixed.worked[row], fixed.exact[row]]


def _blanked(before: Calculation, made: Calculation) -> set[int]:
    """Blank the lines that can no longer be worked out; return their cells."""
    offset = made.program.names.constants
    able = {*made.program.order, *made.program.fixed.lines}
    lost = [i for i in range(len(made.program.lines)) if i not in able]
    for i in lost:
        made.exact[i], made.both[i] = np.nan, np.nan
        made.troubles.pop(i, None)
    return {offset + i for i in lost if _differ(before.both[i], made.both[i])}


def _judged_anew(before: Calculation, made: Calculation) -> set[int]:
    """Return the cells of lines about which something else is found than before."""
    pairs = zip(before.program.lines, made.program.lines, strict=True)
    offset = made.program.names.constants
    return {offset + i for i, (old, new) in enumerate(pairs) if old is not new and old.finding != new.finding}
