"""Lengths as people read them: in their own units."""

from typing import Protocol

from grading.core.printing.numbers import print_inches
from testing.access.typed import MM_PER_UNIT, UNIT_NAMES

USUAL_DIGITS = {"cm": 1, "in": 2}
MOST_DIGITS = 4


class Judged(Protocol):
    """A deviation with what it is held against, in mm."""

    @property
    def off_mm(self) -> float:
        """How much longer (+) or shorter (−) than expected."""
        ...

    @property
    def tolerance_mm(self) -> float:
        """How far it may be off."""
        ...


def length_in(length_mm: float, units: str) -> str:
    """Print 965 mm as "96.5 cm" or "38 in"."""
    if units == "in":
        return f"{print_inches(length_mm)} in"
    return f"{length_mm / MM_PER_UNIT['cm']:.1f} cm"


def typed_length(length_mm: float, units: str) -> str:
    """A length as somebody would type it, to the hundredth: "96.52 cm".

    >>> typed_length(965.2, "cm"), typed_length(300, "in")
    ('96.52 cm', '11.81 in')
    """
    return f"{round(length_mm / MM_PER_UNIT[units], 2):g} {units}"


def off_in(off_mm: float, units: str) -> str:
    """Print a deviation with its sign: "+1.8 cm", "−0.75 in"."""
    return f"{off_number(off_mm, units)} {units}"


def off_number(off_mm: float, units: str, decimals: int | None = None) -> str:
    """Print a deviation without its unit, where a table names that once: "+1.8", "−0.75"."""
    number = off_mm / MM_PER_UNIT[units]
    digits = f"{abs(number):.{decimals or USUAL_DIGITS[units]}f}"
    sign = "−" if number < 0 and float(digits) else "+" if float(digits) else ""
    return f"{sign}{digits}"


def deviation_in(deviation: Judged, units: str) -> str:
    """Print a deviation with as many decimals as show on which side of its tolerance it lies.

    >>> from types import SimpleNamespace as Of
    >>> [deviation_in(Of(off_mm=mm, tolerance_mm=20), "cm") for mm in (-20.4, -20, 19.6, 24)]
    ['−2.04 cm', '−2.0 cm', '+1.96 cm', '+2.4 cm']
    """
    off, allowed = (abs(mm) / MM_PER_UNIT[units] for mm in (deviation.off_mm, deviation.tolerance_mm))
    digits = USUAL_DIGITS[units]
    while off != allowed and digits < MOST_DIGITS and f"{off:.{digits}f}" == f"{allowed:.{digits}f}":
        digits += 1
    return f"{off_number(deviation.off_mm, units, digits)} {units}"


def units_in_words(units: str) -> str:
    """Print cm as "centimetres"."""
    return UNIT_NAMES[units]
