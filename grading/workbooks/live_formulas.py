"""Formulas of a sheet as formulas of a spreadsheet, with the same tolerances and the same treatment of nulls.

The text made here belongs to no spreadsheet program yet: arguments are parted by `;`, `[Values.12]` is row 12
of sheet Values in the size's own column, `[Fabrics.F2]` a fixed cell. A null is #N/A and spreads by itself.
"""

import re
from collections.abc import Callable, Mapping

from grading.core.formula.rounding import WorkableStep
from grading.core.formula.tree import COMPARISONS, Expression, Name, Number, Operation

NULL = "NA()"
TOLERANCE = "0.000000001"
HALF_UP = "0.500000001"
# Beyond these a part gets a row of its own: spreadsheet programs read 8,192 characters and 64 brackets deep.
LONGEST_REPEATED = 60
LONGEST_PART = 1500
DEEPEST_PART = 30

_REFERENCE = re.compile(r"\[(\w+)\.([A-Z]*)([0-9]+)\]")

Keep = Callable[[str], str]
Text = Callable[[str], str]


class LiveFormula:
    """Translates a formula whose names stand in cells; `keep` puts a part in a row and returns its place."""

    def __init__(self, places: Mapping[str, str], keep: Keep) -> None:
        self.places, self.keep = places, keep

    def text(self, part: Expression) -> str:
        """Return the text of a part, short and flat enough to stand within another."""
        if isinstance(part, Number):
            return formula_number(part.value)
        if isinstance(part, Name):
            return self.places[part.name]
        text = self._operation(part)
        if len(text) > LONGEST_PART or _depth(text) > DEEPEST_PART:
            return self.keep(text)
        return text

    def repeated(self, part: Expression) -> str:
        """Return the text of a part that is needed more than once; a long one gets a row of its own."""
        text = self.text(part)
        return self.keep(text) if len(text) > LONGEST_REPEATED else text

    def _operation(self, part: Operation) -> str:
        """Return the text of an operator or a function."""
        if part.sign in COMPARISONS:
            return compared_formula(part.sign, *(self.repeated(argument) for argument in part.arguments))
        if part.sign in ("round", "even", "odd", "ceiling", "floor"):
            return _ROUNDED[part.sign](*(self.repeated(argument) for argument in part.arguments))
        texts = [self.text(argument) for argument in part.arguments]
        if part.sign in ("+", "-", "*", "/"):
            return f"({texts[0]}{part.sign}{texts[1]})"
        if part.sign in ("neg", "pos"):
            return f"(-{texts[0]})" if part.sign == "neg" else texts[0]
        return f"{part.sign.upper()}({';'.join(texts)})"


def formula_number(number: float) -> str:
    """Return a number as spreadsheets read it."""
    if number < 0 or str(number).startswith("-"):
        return f"(-{formula_number(abs(number))})"
    return repr(int(number)) if float(number).is_integer() and number < 1e15 else repr(float(number)).upper()


def compared_formula(sign: str, a: str, b: str) -> str:
    """Return a comparison that forgives 1e-9 of the larger number, or of 1."""
    slack = f"{TOLERANCE}*MAX(1;ABS({a});ABS({b}))"
    return {
        "=": f"(ABS({a}-{b})<={slack})",
        "<>": f"(ABS({a}-{b})>{slack})",
        "<": f"(({a}-{b})<-{slack})",
        ">": f"(({a}-{b})>{slack})",
        "<=": f"(({a}-{b})<={slack})",
        ">=": f"(({a}-{b})>=-{slack})",
    }[sign]


def _up(number: str) -> str:
    """Return a number rounded up, forgiving 1e-9."""
    return f"(-INT({TOLERANCE}-{number}))"


def _round(x: str) -> str:
    """To whole numbers, ties away from zero."""
    return f"(SIGN({x})*INT(ABS({x})+{HALF_UP}))"


def _even(x: str) -> str:
    """To even numbers, away from zero."""
    return f"(-SIGN({x})*2*INT(({TOLERANCE}-ABS({x}))/2))"


def _odd(x: str) -> str:
    """To odd numbers, away from zero."""
    return f"(IF({x}<0;-1;1)*(2*MAX(0;-INT((1+{TOLERANCE}-ABS({x}))/2))+1))"


def _ceiling(x: str, multiple: str = "1") -> str:
    """Up to a multiple."""
    return f"({_up(f'{x}/ABS({multiple})')}*ABS({multiple}))"


def _floor(x: str, multiple: str = "1") -> str:
    """Down to a multiple."""
    return f"(INT({x}/ABS({multiple})+{TOLERANCE})*ABS({multiple}))"


_ROUNDED: dict[str, Callable[..., str]] = {
    "round": _round,
    "even": _even,
    "odd": _odd,
    "ceiling": _ceiling,
    "floor": _floor,
}


def rounded(text: str, step: WorkableStep, cells: tuple[str, str] | None = None) -> str:
    """Return a text rounded to multiple × k + plus, k whole, and 0 or more when plus is above 0.

    `cells` holds the places of multiple and plus where they stand in cells, as those of a fabric do.
    """
    multiple, plus = cells or (formula_number(step.multiple), formula_number(step.plus))
    times = text if (multiple, plus) == ("1", "0") else f"({text}-{plus})/{multiple}"
    if step.to == "nearest":
        times = f"INT({times}+{HALF_UP})"
    else:
        times = _up(times) if step.to == "up" else f"INT({times}+{TOLERANCE})"
    if cells:
        times = f"MAX(IF({plus}>0;0;-1E+15);{times})"
    elif step.plus > 0:
        times = f"MAX(0;{times})"
    return times if (multiple, plus) == ("1", "0") else f"{times}*{multiple}+{plus}"


def straight_edge(across: str, down: str, keep: Keep) -> str:
    """Return the length of a straight edge, from its extent in two directions."""
    a, d = keep(across), keep(down)
    return f"SQRT({a}*{a}+{d}*{d})"


def quarter_ellipse(across: str, down: str, keep: Keep) -> str:
    """Return a quarter of the perimeter of an ellipse by the arithmetic-geometric mean, step by step."""
    a, d = keep(across), keep(down)
    longer, shorter = keep(f"MAX({a};{d})"), keep(f"MIN({a};{d})")
    mean, geometric = longer, shorter
    correction = keep(f"({longer}*{longer}-{shorter}*{shorter})/2")
    for step in range(8):
        apart = f"(({mean}-{geometric})/2)"
        correction = keep(f"{correction}+{2**step}*{apart}*{apart}")
        mean, geometric = keep(f"({mean}+{geometric})/2"), keep(f"SQRT({mean}*{geometric})")
    curved = f"PI()/(2*{mean})*({longer}*{longer}-{correction})"
    return f"IF({shorter}<={longer}*{TOLERANCE};{longer};{curved})"


def _depth(text: str) -> int:
    """Return how deep the brackets of a text go."""
    deepest = depth = 0
    for character in text:
        depth += (character == "(") - (character == ")")
        deepest = max(deepest, depth)
    return deepest


def as_excel(text: str, column: str) -> str:
    """Return a text as the formula of an XLSX cell in a size's column."""

    def place(found: re.Match[str]) -> str:
        sheet, fixed, row = found.groups()
        return f"{sheet}!${fixed}${row}" if fixed else f"{sheet}!{column}{row}"

    return "=" + _REFERENCE.sub(place, text).replace(";", ",")


def as_open_formula(text: str, column: str) -> str:
    """Return a text as the OpenFormula of an ODS cell in a size's column."""

    def place(found: re.Match[str]) -> str:
        sheet, fixed, row = found.groups()
        return f"[${sheet}.${fixed}${row}]" if fixed else f"[${sheet}.{column}{row}]"

    return "of:=" + _REFERENCE.sub(place, text)
