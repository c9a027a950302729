"""Cells of the grid as typed: labels, formulas and numbers, read or refused in one sentence."""

from grading.core.formula.dimensions import COUNT_KINDS, KINDS, PLAIN
from grading.core.formula.errors import FormulaError
from grading.core.formula.formula import parse_formula
from grading.core.formula.literals import Quantity, parse_literal
from grading.core.formula.typed_numbers import (
    TypedNumber,
    TypedNumberError,
    formula_with_points,
    read_typed_number,
)
from grading.entries.single_lines import in_one_line
from grading.grid.shown_numbers import in_units

LONGEST_LABEL = 200
_SUCH = {
    "length": "such as 4 cm",
    "stitches": "such as 64",
    "rows": "such as 24",
    "count": "such as 3",
    "ratio": "such as 1.5",
    "weight": "such as 50 g",
    "yarn": "such as 80 m yarn",
    "area": "such as 900",
}


class CellRefusedError(ValueError):
    """A cell cannot be what was typed: what to write, which cell, and in a formula the column (from 1)."""

    def __init__(self, says: str, where: str, column: int = 0) -> None:
        super().__init__(says)
        self.says, self.where, self.column = says, where, column


def read_cell(text: str, where: str) -> TypedNumber:
    """A number as typed into a cell, with or without its unit."""
    try:
        return read_typed_number(text.replace("−", "-"))
    except TypedNumberError as error:
        raise CellRefusedError(str(error), where) from error


def size_cells(typed: dict[str, str]) -> list[tuple[str, str]]:
    """The cells of sizes, in order."""
    return [(where, text) for where, text in typed.items() if where.isdecimal()]


def label_of_line(typed: dict[str, str], before: str) -> str:
    """The label as typed, in one line; an empty one is refused."""
    label = in_one_line(typed.get("label", before))
    if not label and "label" in typed:
        raise CellRefusedError("Type a label: each line needs one.", "label")
    if len(label) > LONGEST_LABEL:
        raise CellRefusedError(f"A label has {LONGEST_LABEL} characters at most.", "label")
    return label


def readable_formula(text: str) -> str:
    """A formula that can be read, as typed."""
    try:
        text = formula_with_points(text)
        parse_formula(text)
    except FormulaError as error:
        raise CellRefusedError(error.says, "source", error.column if error.line == 1 else 0) from error
    return text


def fitting_literal(text: str, kind: str | None, where: str) -> Quantity:
    """A number with a unit that fits its kind."""
    try:
        found = parse_literal(text)
    except FormulaError as error:
        raise CellRefusedError(error.says, where) from error
    if kind is not None and found.dimension not in {KINDS[kind], *([PLAIN] if kind in COUNT_KINDS else [])}:
        adds = "; to add, type it without a unit, such as +2" if kind in COUNT_KINDS else ""
        raise CellRefusedError(
            f"“{text}” is not a number for this line, whose kind is {kind}: {_SUCH[kind]}{adds}.", where
        )
    return found


def plain_number(text: str) -> int | float:
    """A number, whole where it is."""
    number = float(text)
    return int(number) if number.is_integer() else number


def worked_text(number: float, kind: str, units: str) -> str:
    """A worked number in the person's units, with so many decimals that it is the same again."""
    text = f"{round(in_units(number, kind, units), 6):f}"
    return text.rstrip("0").rstrip(".")
