"""The dimension of a formula, checked on its tree; it never depends on numbers."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Literal

from grading.core.formula.dimensions import (
    LENGTH,
    PLAIN,
    ROW,
    STITCH,
    WEIGHT,
    YARN,
    Dimension,
    describe,
)
from grading.core.formula.errors import FormulaError
from grading.core.formula.formula import parse_formula
from grading.core.formula.tree import (
    COMPARISONS,
    Expression,
    Formula,
    Name,
    Number,
    Operation,
    Span,
    is_literal_zero,
)

Condition = Literal["condition"]
Sort = Dimension | Condition
CONDITION: Condition = "condition"
WHOLE_NUMBER_DIMENSIONS = (STITCH, ROW, PLAIN)


@lru_cache(maxsize=8192)
def sort_of(text: str, dimensions: tuple[Dimension, ...]) -> Sort | FormulaError:
    """Return what a readable formula gives: a dimension, or a condition.

    Args:
        text: The formula.
        dimensions: One for each name of the formula, in the order of `Formula.names`.

    Returns:
        The dimension or "condition"; a FormulaError where dimensions do not fit.

    Source: derived (dimensional analysis).

    >>> from grading.core.formula.dimensions import LENGTH, STITCHES_PER_LENGTH
    >>> sort_of("bust * main.stitches", (LENGTH, STITCHES_PER_LENGTH)) == STITCH
    True
    """
    formula = parse_formula(text)
    try:
        return _Checker(formula, dict(zip(formula.names, dimensions, strict=True))).sort(formula.tree)
    except FormulaError as error:
        return error.with_traceback(None)


def require_dimension(
    formula: Formula, dimensions: tuple[Dimension, ...], wanted: Dimension, noun: str
) -> None:
    """Raise unless a formula gives the dimension wanted.

    Args:
        formula: A formula that could be read.
        dimensions: One for each of its names.
        wanted: What it must give; the literal 0 gives anything.
        noun: What it is for, to begin the sentence, as in "The value is a length".

    Raises:
        FormulaError: The dimensions do not fit.

    Source: derived.
    """
    found = sort_of(formula.text, dimensions)
    if isinstance(found, FormulaError):
        raise FormulaError(found.says, found.line, found.column)
    if found == CONDITION:
        raise formula.error(f"{noun}, but its formula gives true or false.", _start(formula))
    if found != wanted and not is_literal_zero(formula.tree):
        remedy = remedy_between(found, wanted)
        raise formula.error(f"{noun}, but its formula gives {describe(found)}.{remedy}", _start(formula))


def require_condition(formula: Formula, dimensions: tuple[Dimension, ...]) -> None:
    """Raise unless a formula is a condition.

    Args:
        formula: A formula that could be read.
        dimensions: One for each of its names.

    Raises:
        FormulaError: It gives a number, or its dimensions do not fit.

    Source: derived.
    """
    found = sort_of(formula.text, dimensions)
    if isinstance(found, FormulaError):
        raise FormulaError(found.says, found.line, found.column)
    if found != CONDITION:
        raise formula.error(f"A check compares numbers, but this gives {describe(found)}.", _start(formula))


# What a number without a unit was meant to be, by what stands beside it.
UNIT_WANTED = {
    LENGTH: "{0} cm or {0} in",
    STITCH: "{0} stitches",
    ROW: "{0} rows",
    WEIGHT: "{0} g",
    YARN: "{0} m yarn",
}
# What makes one dimension of another; a fabric has stitches and rows per length.
_REMEDIES = {
    (LENGTH, STITCH): "Take the length times the stitches of its fabric, such as main.stitches.",
    (LENGTH, ROW): "Take the length times the rows of its fabric, such as main.rows.",
    (STITCH, LENGTH): "Divide the stitches by those of their fabric, such as main.stitches.",
    (ROW, LENGTH): "Divide the rows by those of their fabric, such as main.rows.",
    (STITCH, ROW): "Make lengths of both first: divide each by its gauge.",
    (ROW, STITCH): "Make lengths of both first: divide each by its gauge.",
}


def remedy_between(found: Dimension, wanted: Dimension) -> str:
    """Say what makes the dimension that is wanted of the one found, with a space before; empty for none.

    Args:
        found: The dimension that stands there.
        wanted: The one that should.

    Returns:
        A sentence such as " Take the length times …".

    Source: derived (dimensional analysis).

    >>> remedy_between(STITCH, LENGTH)
    ' Divide the stitches by those of their fabric, such as main.stitches.'
    """
    remedy = _REMEDIES.get((found, wanted))
    if remedy:
        return f" {remedy}"
    if found == PLAIN and wanted in UNIT_WANTED:
        return f" Write numbers with their unit, such as {UNIT_WANTED[wanted].format(4)}."
    return ""


def _start(formula: Formula) -> Span:
    """Return the place of the first character that is no space."""
    return Span(len(formula.text) - len(formula.text.lstrip()), len(formula.text))


class _Checker:
    """Walks the tree; recursion is bounded by the limits of the parser."""

    def __init__(self, formula: Formula, dimensions: Mapping[str, Dimension]) -> None:
        self.formula, self.dimensions = formula, dimensions

    def sort(self, part: Expression) -> Sort:
        """Return what a part gives."""
        if isinstance(part, Number):
            return part.dimension
        if isinstance(part, Name):
            return self.dimensions[part.name]
        if part.sign in ("and", "or", "not"):
            return self.joined(part)
        if part.sign == "if":
            self.condition(part.arguments[0])
            return self.alike(part.arguments[1:], "chooses between {0} and {1}")
        return self.numeric(part)

    def numeric(self, part: Operation) -> Sort:
        """Return what an operator or function on numbers gives."""
        sign, arguments = part.sign, part.arguments
        if sign == "*":
            return self.number(arguments[0]).times(self.number(arguments[1]))
        if sign == "/":
            return self.number(arguments[0]).over(self.number(arguments[1]))
        if sign in COMPARISONS:
            self.alike(arguments, "compares {0} with {1}")
            return CONDITION
        if sign in ("neg", "pos", "abs"):
            return self.number(arguments[0])
        if sign in _ALIKE:
            return self.alike(arguments, _ALIKE[sign])
        return self.root(part) if sign == "sqrt" else self.rounded(part)

    def number(self, part: Expression) -> Dimension:
        """Return the dimension of a part that must be a number."""
        found = self.sort(part)
        if isinstance(found, str):
            raise self.formula.error(
                f"“{self.formula.cut(part.span)}” is true or false, but a number is needed here.",
                part.span,
            )
        return found

    def condition(self, part: Expression) -> None:
        """Raise unless a part is a condition."""
        found = self.sort(part)
        if not isinstance(found, str):
            raise self.formula.error(
                f"“{self.formula.cut(part.span)}” is a number, but a comparison is needed here.",
                part.span,
            )

    def joined(self, part: Operation) -> Condition:
        """Check and, or, not."""
        for argument in part.arguments:
            self.condition(argument)
        return CONDITION

    def alike(self, arguments: tuple[Expression, ...], says: str) -> Dimension:
        """Return the dimension that all arguments share; the literal 0 takes its partners'."""
        found = [(self.number(argument), argument) for argument in arguments]
        firm = [(dimension, argument) for dimension, argument in found if not is_literal_zero(argument)]
        if not firm:
            return PLAIN
        for dimension, argument in firm[1:]:
            if dimension != firm[0][0]:
                words = says.format(describe(firm[0][0]), describe(dimension))
                remedy = self.remedy((firm[0], (dimension, argument)))
                raise self.formula.error(f"The formula {words}.{remedy}", argument.span)
        return firm[0][0]

    def remedy(self, pair: tuple[tuple[Dimension, Expression], ...]) -> str:
        """Say how two parts become alike: a number that lacks its unit, else a gauge to take it times."""
        for (_, part), (dimension, _) in (pair, pair[::-1]):
            if isinstance(part, Number) and part.bare and dimension in UNIT_WANTED:
                typed = self.formula.cut(part.span)
                return f" Write {UNIT_WANTED[dimension].format(typed)}, not {typed}."
        return remedy_between(pair[1][0], pair[0][0])

    def root(self, part: Operation) -> Dimension:
        """Return the dimension of a square root."""
        inner = self.number(part.arguments[0])
        root = inner.root()
        if root is None:
            raise self.formula.error(f"The formula takes the square root of {describe(inner)}.", part.span)
        return root

    def rounded(self, part: Operation) -> Dimension:
        """Return the dimension of round, even, odd, ceiling or floor."""
        if len(part.arguments) == 2:
            return self.alike(part.arguments, f"rounds {{0}} to a multiple of {{1}} in {part.sign}")
        inner = self.number(part.arguments[0])
        if inner not in WHOLE_NUMBER_DIMENSIONS:
            hint = " Give the multiple, as in ceiling(x, 5 mm)." if part.sign in ("ceiling", "floor") else ""
            raise self.formula.error(
                f"{part.sign} takes stitches, rows or plain numbers, not {describe(inner)}.{hint}",
                part.span,
            )
        return inner


_ALIKE = {
    "+": "adds {1} to {0}",
    "-": "takes {1} from {0}",
    "min": "chooses between {0} and {1} in min",
    "max": "chooses between {0} and {1} in max",
    "sum": "adds {1} to {0} in sum",
}
