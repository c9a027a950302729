"""Literals: one signed number with its unit, in millimetres, grams and metres of yarn inside."""

import re
from functools import lru_cache
from typing import NamedTuple

from grading.core.formula.dimensions import LENGTH, PLAIN, ROW, STITCH, WEIGHT, YARN, Dimension
from grading.core.formula.errors import FormulaError

# International Yard and Pound Agreement, 1959: 1 in = 25.4 mm, 1 lb = 453.59237 g, 1 oz = 1/16 lb, all exact.
MM_PER_INCH = 25.4
G_PER_OUNCE = 453.59237 / 16

LENGTH_UNITS_MM = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
    "yd": 36 * MM_PER_INCH,
}
UNITS: dict[str, tuple[float, Dimension]] = {
    **{unit: (mm, LENGTH) for unit, mm in LENGTH_UNITS_MM.items()},
    "g": (1.0, WEIGHT),
    "kg": (1000.0, WEIGHT),
    "oz": (G_PER_OUNCE, WEIGHT),
    "stitch": (1.0, STITCH),
    "stitches": (1.0, STITCH),
    "row": (1.0, ROW),
    "rows": (1.0, ROW),
    "%": (0.01, PLAIN),
}
KEYWORDS = frozenset({"if", "then", "else", "and", "or", "not", "true", "false", "yarn", "size_number"})
FUNCTIONS = frozenset({"min", "max", "sum", "abs", "sqrt", "round", "even", "odd", "ceiling", "floor"})
RESERVED = KEYWORDS | FUNCTIONS | frozenset(UNITS)

MOST_DECIMALS = 6
LARGEST = 1_000_000
_LITERAL = re.compile(r"\s*([+-]?)\s*([0-9]+(?:\.([0-9]+))?)\s*(%|[a-z]+(?:\s+yarn)?)?\s*", re.ASCII)


class Quantity(NamedTuple):
    """A number in mm, g, m of yarn or counts, with its dimension."""

    number: float
    dimension: Dimension


def in_unit(number: str, unit: str) -> Quantity | None:
    """Return a number with its unit in the units kept inside.

    Args:
        number: Decimal digits, as typed.
        unit: "" or a unit; a length unit followed by "yarn" is a length of yarn.

    Returns:
        The quantity, or None for an unknown unit.

    Source: International Yard and Pound Agreement, 1959.

    >>> in_unit("4", "in").number
    101.6
    >>> in_unit("80", "m yarn")
    Quantity(number=80.0, dimension=Dimension(length=0, stitch=0, row=0, weight=0, yarn=1))
    """
    if not unit:
        return Quantity(float(number), PLAIN)
    words = unit.split()
    if len(words) == 2 and words[1] == "yarn" and words[0] in LENGTH_UNITS_MM:
        return Quantity(_scale(number, LENGTH_UNITS_MM[words[0]]) / 1000, YARN)
    if len(words) != 1 or words[0] not in UNITS:
        return None
    factor, dimension = UNITS[words[0]]
    return Quantity(_scale(number, factor), dimension)


def _scale(number: str, factor: float) -> float:
    """Multiply by a unit; a hundredth is divided so that 7 % is exactly the double nearest to 0.07."""
    return float(number) / 100 if factor == 0.01 else float(number) * factor


@lru_cache(maxsize=4096)
def parse_literal(text: str) -> Quantity:
    """Read one signed number with its unit, as in "12 cm".

    Args:
        text: The literal as typed.

    Returns:
        The quantity in mm, g, m or counts.

    Raises:
        FormulaError: The text is no literal, is too precise or too large.

    Source: International Yard and Pound Agreement, 1959.

    >>> parse_literal("-2.5 cm").number
    -25.0
    """
    found = _LITERAL.fullmatch(text) if len(text) <= 60 else None
    if found is None:
        raise FormulaError(f"“{text[:60]}” is not one number with its unit, such as “12 cm”.")
    sign, number, decimals, unit = found.groups()
    if decimals and len(decimals) > MOST_DECIMALS:
        raise FormulaError(f"“{text}” has more than {MOST_DECIMALS} decimals.")
    quantity = in_unit(number, unit or "")
    if quantity is None:
        raise FormulaError(f"“{unit}” in “{text}” is not a unit; the units are {', '.join(UNITS)}.")
    if quantity.number > LARGEST:
        raise FormulaError(f"“{text}” is more than {LARGEST:,} mm, g, m or stitches.")
    return quantity._replace(number=-quantity.number if sign == "-" and quantity.number else quantity.number)
