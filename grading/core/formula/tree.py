"""The tree of a formula, and where its parts stand in the text."""

from dataclasses import dataclass

from grading.core.formula.dimensions import Dimension
from grading.core.formula.errors import FormulaError

COMPARISONS = ("<=", ">=", "<>", "<", ">", "=")


@dataclass(frozen=True, slots=True)
class Span:
    """Where a part of a formula stands: offsets from 0 into the text."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Number:
    """A literal, in the units kept inside; `bare` without a unit or %."""

    value: float
    dimension: Dimension
    span: Span
    bare: bool


@dataclass(frozen=True, slots=True)
class Name:
    """A reference such as `bust`, `main.stitches` or `front_neck.length`."""

    name: str
    span: Span


@dataclass(frozen=True, slots=True)
class Operation:
    """An operator (+ − * / and or not, comparisons, neg), a function or `if` with its arguments."""

    sign: str
    arguments: "tuple[Expression, ...]"
    span: Span


Expression = Number | Name | Operation


@dataclass(frozen=True)
class Formula:
    """A formula that could be read; `names` in the order in which they first appear."""

    text: str
    tree: Expression
    names: tuple[str, ...]

    def cut(self, span: Span) -> str:
        """Return the part of the text that a span covers."""
        return self.text[span.start : span.end]

    def error(self, says: str, span: Span) -> FormulaError:
        """Return an error placed at a span."""
        return error_at(self.text, says, span.start)

    def place_of(self, name: str) -> Span:
        """Return where a name first appears."""
        found: list[Span] = []
        open_parts: list[Expression] = [self.tree]
        while open_parts:
            part = open_parts.pop()
            if isinstance(part, Name) and part.name == name:
                found.append(part.span)
            elif isinstance(part, Operation):
                open_parts.extend(part.arguments)
        return min(found, key=lambda span: span.start, default=Span(0, 0))


def line_and_column(text: str, offset: int) -> tuple[int, int]:
    """Return line and column, both from 1, of an offset from 0.

    >>> line_and_column("bust + 1", 7)
    (1, 8)
    """
    before = text[:offset]
    return before.count("\n") + 1, offset - (before.rfind("\n") + 1) + 1


def error_at(text: str, says: str, offset: int) -> FormulaError:
    """Return an error with the line and column of an offset."""
    return FormulaError(says, *line_and_column(text, offset))


def is_literal_zero(part: Expression) -> bool:
    """Return whether this is the literal 0, which fits any dimension."""
    return isinstance(part, Number) and part.value == 0 and part.bare
