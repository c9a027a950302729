"""Lengths as people read them: in their own units."""

from django import template

from grading.core.printing import print_inches
from testing.typed import MM_PER_UNIT, UNIT_NAMES

register = template.Library()


@register.filter
def length_in(length_mm: float, units: str) -> str:
    """Print 965 mm as "96.5 cm" or "38 in"."""
    if units == "in":
        return f"{print_inches(length_mm)} in"
    return f"{length_mm / MM_PER_UNIT['cm']:.1f} cm"


@register.filter
def off_in(off_mm: float, units: str) -> str:
    """Print a deviation with its sign: "+1.8 cm", "−0.75 in"."""
    return f"{off_number(off_mm, units)} {units}"


@register.filter
def off_number(off_mm: float, units: str) -> str:
    """Print a deviation without its unit, where a table names that once: "+1.8", "−0.75"."""
    number = off_mm / MM_PER_UNIT[units]
    digits = f"{abs(number):.2f}" if units == "in" else f"{abs(number):.1f}"
    sign = "−" if number < 0 and float(digits) else "+" if float(digits) else ""
    return f"{sign}{digits}"


@register.filter
def units_in_words(units: str) -> str:
    """Print cm as "centimetres"."""
    return UNIT_NAMES[units]
