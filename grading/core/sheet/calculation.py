"""Works a sheet out: all lines in their order, for all sizes, worked and ideal at once."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.evaluation import Cell, Trouble, evaluate_carefully, function_of
from grading.core.formula.rounding import round_to_workable
from grading.core.formula.tree import Formula
from grading.core.sheet.sheet import SheetProgram

Numbers = NDArray[np.float64]


@dataclass
class Calculation:
    """The numbers of all lines, in file order; NaN is null.

    `exact` has one row per line and one column per size; `both` has for each line two rows, worked and
    ideal. `troubles` holds, by number of the line, what went wrong in it. `changed` holds the cells whose
    numbers are not those of the state from which they were worked out again.
    """

    program: SheetProgram
    exact: Numbers
    both: Numbers
    cells: list[Cell]
    troubles: dict[int, list[Trouble]] = field(default_factory=dict)
    changed: frozenset[int] = frozenset()

    def worked(self, cell: float) -> Numbers:
        """Return the worked numbers of a cell, or a fixed number, one entry per size."""
        if not isinstance(cell, int):
            return np.full(self.program.sizes, cell)
        numbers = np.asarray(self.cells[cell], dtype=float)
        return np.broadcast_to(numbers[0] if numbers.ndim == 2 else numbers, (self.program.sizes,))


class Alarm:
    """Told by NumPy when a division by zero, a root of a negative or a number too large shows up."""

    def __init__(self) -> None:
        self.rang = False

    def __call__(self, _kind: str, _flag: int) -> None:
        """Remember that something showed up."""
        self.rang = True


def calculate(
    program: SheetProgram,
    constants: Sequence[Cell] | None = None,
    frozen: Mapping[int, Numbers] | None = None,
) -> Calculation:
    """Work out every line of a sheet.

    Args:
        program: The sheet made ready.
        constants: Cells that stand in for its own body measurements and gauges.
        frozen: Worked numbers, by number of the line, that are kept as given.

    Returns:
        All numbers and what went wrong.

    Source: derived.
    """
    shape = (len(program.lines), 2, program.sizes)
    both, exact = np.full(shape, np.nan), np.full((shape[0], shape[2]), np.nan)
    cells: list[Cell] = [*(program.constants if constants is None else constants), *both]
    made = Calculation(program, exact, both, cells)
    fixed = program.fixed
    exact[fixed.lines], both[fixed.lines, 0], both[fixed.lines, 1] = fixed.exact, fixed.worked, fixed.exact
    for line, numbers in (frozen or {}).items():
        exact[line], both[line] = numbers, numbers
    work_out(made, [i for i in program.order if i not in (frozen or {})])
    return made


def work_out(made: Calculation, order: Collection[int]) -> None:
    """Work out some lines, in the order given, into arrays that hold all others already."""
    program, cells, exact = made.program, made.cells, made.exact
    lines, offset, alarm = program.lines, program.names.constants, Alarm()
    unrounded = []
    with np.errstate(divide="call", invalid="call", over="call", under="ignore", call=alarm):
        for i in order:
            line, out = lines[i], cells[offset + i]
            if line.function is None:
                continue
            out[...] = line.function([cells[cell] for cell in line.needs])  # type: ignore[index]
            if alarm.rang:
                _recover(made, i)
                alarm.rang = False
            if line.step is None:
                unrounded.append(i)
            else:
                worked = made.both[i, 0]
                exact[i] = worked
                worked[:] = round_to_workable(worked, line.step)
    exact[unrounded] = made.both[unrounded, 0]


def _recover(made: Calculation, i: int) -> None:
    """Work a line out again with care, since a number in it was not finite."""
    line = made.program.lines[i]
    if line.formula is None:
        made.both[i][~np.isfinite(made.both[i])] = np.nan
        return
    needed = [made.cells[cell] for cell in line.needs]
    made.both[i], troubles = evaluate_carefully(line.formula, needed, made.program.sizes)
    if troubles:
        made.troubles[i] = troubles


def evaluate(made: Calculation, formula: Formula, needs: Sequence[int]) -> tuple[Numbers, list[Trouble]]:
    """Evaluate a formula that is no line, as those of checks and yarn sections.

    Args:
        made: The sheet worked out.
        formula: A formula whose names and dimensions fit.
        needs: The cells of its names.

    Returns:
        The worked numbers, one per size, and what went wrong.

    Source: derived.
    """
    alarm = Alarm()
    given = [made.cells[cell] for cell in needs]
    with np.errstate(divide="call", invalid="call", over="call", under="ignore", call=alarm):
        result = np.broadcast_to(function_of(formula.text)(given), (2, made.program.sizes))
    if not alarm.rang:
        return result[0], []
    careful, troubles = evaluate_carefully(formula, given, made.program.sizes)
    return careful[0], troubles
