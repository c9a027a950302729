"""Lengths as people read them: in their own units."""

from grading.core.printing.numbers import print_inches
from testing.access.typed import MM_PER_UNIT, UNIT_NAMES


def length_in(length_mm: float, units: str) -> str:
    """Print 965 mm as "96.5 cm" or "38 in"."""
    if units == "in":
        return f"{print_inches(length_mm)} in"
    return f"{length_mm / MM_PER_UNIT['cm']:.1f} cm"


def off_in(off_mm: float, units: str) -> str:
    """Print a deviation with its sign: "+1.8 cm", "−0.75 in"."""
    return f"{off_number(off_mm, units)} {units}"


def off_number(off_mm: float, units: str) -> str:
    """Print a deviation without its unit, where a table names that once: "+1.8", "−0.75"."""
    number = off_mm / MM_PER_UNIT[units]
    digits = f"{abs(number):.2f}" if units == "in" else f"{abs(number):.1f}"
    sign = "−" if number < 0 and float(digits) else "+" if float(digits) else ""
    return f"{sign}{digits}"


def units_in_words(units: str) -> str:
    """Print cm as "centimetres"."""
    return UNIT_NAMES[units]
