"""Formulas over arrays: the fast way for all sizes at once, and the careful way that says what went wrong.

Every array has two rows, worked and ideal, and one column per size; NaN is a null. Truth is 1, 0 or NaN.
The fast way is a chain of closures, made once for each text. NumPy tells when a division by zero, the root of
a negative or a number too large shows up; only then is the formula taken apart by `evaluate_carefully`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from grading.core.formula import rounding
from grading.core.formula.formula import parse_formula
from grading.core.formula.tree import COMPARISONS, Expression, Formula, Name, Number, Operation

# |a − b| up to this share of the larger, or of 1, counts as equal.
EQUAL_WITHIN = 1e-9

Numbers = NDArray[np.float64]
Cell = Numbers | float
Function = Callable[[Sequence[Cell]], Cell]


@lru_cache(maxsize=8192)
def function_of(text: str) -> Function:
    """Return a function that evaluates a readable formula.

    Args:
        text: The formula.

    Returns:
        A function of one cell per name, in the order of `Formula.names`.

    Source: derived.

    >>> function_of("2 * a + b")([np.array([1.0, 2.0]), 10.0]).tolist()
    [12.0, 14.0]
    """
    formula = parse_formula(text)
    return _closure(formula.tree, {name: i for i, name in enumerate(formula.names)})


def _closure(part: Expression, places: dict[str, int]) -> Function:
    """Return a function of the cells for one part of the tree."""
    if isinstance(part, Number):
        value: Cell = np.float64(part.value)
        return lambda _: value
    if isinstance(part, Name):
        place = places[part.name]
        return lambda cells: cells[place]
    apply = OPERATIONS[part.sign]
    if part.sign in ("+", "-", "*", "/"):
        return _arithmetic(apply, part, places)
    arguments = [_closure(argument, places) for argument in part.arguments]
    if len(arguments) == 1:
        (only,) = arguments
        return lambda cells: apply(only(cells))
    if len(arguments) == 2:
        left, right = arguments
        return lambda cells: apply(left(cells), right(cells))
    return lambda cells: apply(*[argument(cells) for argument in arguments])


def _arithmetic(apply: Callable[..., Cell], part: Operation, places: dict[str, int]) -> Function:
    """Return a shorter function where the right side is a name or a number: most of a sheet is that."""
    left, right = _closure(part.arguments[0], places), part.arguments[1]
    if isinstance(right, Number):
        number = part_value(right)
        return lambda cells: apply(left(cells), number)
    if isinstance(right, Name):
        place = places[right.name]
        return lambda cells: apply(left(cells), cells[place])
    inner = _closure(right, places)
    return lambda cells: apply(left(cells), inner(cells))


def part_value(part: Number) -> Cell:
    """Return a literal as a NumPy number, so that dividing by it raises no Python error."""
    return np.float64(part.value)


def difference(a: Cell, b: Cell) -> tuple[Cell, Cell]:
    """Return a − b and how much of it counts as nothing."""
    slack = EQUAL_WITHIN * np.maximum(1.0, np.maximum(np.abs(a), np.abs(b)))
    return a - b, slack


def _compared(sign: str) -> Callable[[Cell, Cell], Cell]:
    """Return the function for a comparison."""
    tests: dict[str, Callable[[Cell, Cell], Any]] = {
        "=": lambda d, slack: np.abs(d) <= slack,
        "<>": lambda d, slack: np.abs(d) > slack,
        "<": lambda d, slack: d < -slack,
        ">": lambda d, slack: d > slack,
        "<=": lambda d, slack: d <= slack,
        ">=": lambda d, slack: d >= -slack,
    }
    test = tests[sign]

    def compare(a: Cell, b: Cell) -> Cell:
        apart, slack = difference(a, b)
        return np.where(np.isnan(apart), np.nan, test(apart, slack))

    return compare


def _choose(condition: Cell, taken: Cell, other: Cell) -> Cell:
    """Return one branch or the other, null where the condition is null."""
    return np.where(np.isnan(condition), np.nan, np.where(condition == 1.0, taken, other))


def _on_worked_only(round_: Callable[..., Numbers]) -> Callable[..., Cell]:
    """Return a rounding function that leaves the ideal row alone: there nothing is rounded at all."""

    def apply(number: Cell, *multiple: Cell) -> Cell:
        rounded = round_(number, *multiple)
        return np.where(IS_WORKED, rounded, number)

    return apply


IS_WORKED = np.array([[True], [False]])

OPERATIONS: dict[str, Callable[..., Cell]] = {
    "+": np.add,
    "-": np.subtract,
    "*": np.multiply,
    "/": np.divide,
    "neg": np.negative,
    "pos": lambda a: a,
    "and": np.multiply,
    "or": np.maximum,
    "not": lambda a: 1.0 - a,
    "if": _choose,
    "min": lambda *a: _reduce(np.minimum, a),
    "max": lambda *a: _reduce(np.maximum, a),
    "sum": lambda *a: _reduce(np.add, a),
    "abs": np.abs,
    "sqrt": np.sqrt,
    "round": _on_worked_only(rounding.round_half_away),
    "even": _on_worked_only(rounding.round_to_even),
    "odd": _on_worked_only(rounding.round_to_odd),
    "ceiling": _on_worked_only(rounding.ceiling),
    "floor": _on_worked_only(rounding.floor),
    **{sign: _compared(sign) for sign in COMPARISONS},
}


def _reduce(apply: Callable[[Cell, Cell], Cell], cells: Sequence[Cell]) -> Cell:
    """Join cells two by two."""
    joined = cells[0]
    for cell in cells[1:]:
        joined = apply(joined, cell)
    return joined


@dataclass(frozen=True, slots=True)
class Trouble:
    """What went wrong in one part of a formula, and in which sizes of the worked row."""

    says: str
    line: int
    column: int
    sizes: NDArray[np.bool_]


def evaluate_carefully(formula: Formula, cells: Sequence[Cell], sizes: int) -> tuple[Numbers, list[Trouble]]:
    """Evaluate a formula part by part, with a null and a reason wherever a part has no finite number.

    Args:
        formula: A formula that could be read and whose dimensions fit.
        cells: One cell per name.
        sizes: How many sizes there are.

    Returns:
        Two rows (worked, ideal) of one number per size, and what went wrong in the worked row; branches of
        `if` that are not taken give neither.

    Source: derived.
    """
    careful = _Careful(formula, cells, (2, sizes))
    with np.errstate(all="ignore"):
        result = careful.value(formula.tree, np.ones((2, sizes), dtype=bool))
    return result, careful.troubles


class _Careful:
    """Evaluates only where a mask says so; recursion is bounded by the limits of the parser."""

    def __init__(self, formula: Formula, cells: Sequence[Cell], shape: tuple[int, int]) -> None:
        self.formula, self.shape = formula, shape
        self.cells = dict(zip(formula.names, cells, strict=True))
        self.troubles: list[Trouble] = []

    def value(self, part: Expression, wanted: NDArray[np.bool_]) -> Numbers:
        """Return the numbers of a part, null where not wanted."""
        if isinstance(part, Number):
            return np.full(self.shape, part.value)
        if isinstance(part, Name):
            return np.broadcast_to(self.cells[part.name], self.shape)
        if part.sign == "if":
            return self.choice(part, wanted)
        arguments = [self.value(argument, wanted) for argument in part.arguments]
        self.look_for_zero(part, arguments, wanted)
        result = np.array(OPERATIONS[part.sign](*arguments), dtype=float)
        known = ~np.isnan(np.array(arguments)).any(axis=0)
        bad = known & ~np.isfinite(result)
        self.report(part, arguments, bad & wanted)
        result[bad] = np.nan
        return result

    def choice(self, part: Operation, wanted: NDArray[np.bool_]) -> Numbers:
        """Evaluate each branch only where it is taken."""
        condition = self.value(part.arguments[0], wanted)
        taken = self.value(part.arguments[1], wanted & (condition == 1.0))
        other = self.value(part.arguments[2], wanted & (condition == 0.0))
        return np.asarray(_choose(condition, taken, other))

    def look_for_zero(self, part: Operation, arguments: list[Numbers], wanted: NDArray[np.bool_]) -> None:
        """Report a multiple of 0, which a rounding function cannot use."""
        if part.sign in ("ceiling", "floor") and len(arguments) == 2:
            zero = (arguments[1] == 0) & ~np.isnan(arguments[0])
            self.add(
                f"The multiple “{self.cut(part.arguments[1])}” of {part.sign} is 0.", part, zero & wanted
            )
            arguments[1] = np.where(arguments[1] == 0, np.nan, arguments[1])

    def report(self, part: Operation, arguments: list[Numbers], bad: NDArray[np.bool_]) -> None:
        """Report a result that is no finite number."""
        if part.sign == "/":
            zero = bad & (arguments[1] == 0)
            self.add(f"Divides by “{self.cut(part.arguments[1])}”, which is 0 here.", part, zero)
            bad = bad & ~zero
        elif part.sign == "sqrt":
            inner = self.cut(part.arguments[0])
            self.add(f"Takes the square root of “{inner}”, which is below 0 here.", part, bad)
            return
        self.add(f"“{self.cut(part)}” is too large to work with here.", part, bad)

    def add(self, says: str, part: Operation, bad: NDArray[np.bool_]) -> None:
        """Keep a trouble if it touches the worked row; the same one is told once for each size."""
        told = [trouble.sizes for trouble in self.troubles if trouble.says == says]
        sizes = bad[0] & ~np.any([np.zeros_like(bad[0]), *told], axis=0)
        if sizes.any():
            error = self.formula.error(says, part.span)
            self.troubles.append(Trouble(says, error.line, error.column, sizes))

    def cut(self, part: Expression) -> str:
        """Return a part as typed."""
        return self.formula.cut(part.span)
