"""Numbers as the sheet shows them: in the person's own units, with the decimals a designer works with."""

import math
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

MM_PER_UNIT = {"cm": 10.0, "in": 25.4}
METRES_PER_YARD = 0.9144
WORDS = {"stitches": "sts", "rows": "rows", "count": "", "ratio": "", "weight": "g", "area": "sts × rows"}
DECIMALS = {"length": 2, "weight": 1, "yarn": 1, "ratio": 3, "area": 0}
NONE = "–"


def unit_of(kind: str, units: str) -> str:
    """The word for the unit of a kind of value."""
    if kind == "length":
        return units
    if kind == "yarn":
        return "m" if units == "cm" else "yd"
    return WORDS[kind]


def in_units(number: float, kind: str, units: str) -> float:
    """A number in mm, g, m or counts as one in the person's units."""
    if kind == "length":
        return number / MM_PER_UNIT[units]
    return number / METRES_PER_YARD if kind == "yarn" and units == "in" else number


def figure(number: float | None, kind: str, units: str) -> str:
    """Return a number as text; a dash where there is none. Decimals that are 0 are left out."""
    if number is None or math.isnan(number):
        return NONE
    return decimal_text(in_units(number, kind, units), DECIMALS.get(kind, 2))


@lru_cache(maxsize=50_000)  # the cells of a few sheets of 24 sizes by 400 values
def decimal_text(number: float, decimals: int) -> str:
    """A number with at most so many decimals, half-up."""
    exact = Decimal(repr(float(number)))
    rounded = exact.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP) + 0
    text = f"{rounded:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
