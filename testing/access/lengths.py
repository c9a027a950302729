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
    def measured_mm(self) -> float:
        """What was measured."""
        ...

    @property
    def expected_mm(self) -> float:
        """What was expected."""
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

    In cm it is what the two printed lengths leave, as long as that lies on the same side.

    >>> from types import SimpleNamespace as Of
    >>> of = lambda mm, due=1000: Of(off_mm=mm, tolerance_mm=20, measured_mm=due + mm, expected_mm=due)
    >>> [deviation_in(of(mm), "cm") for mm in (-20.4, -20, 19.6, 24)]
    ['−2.04 cm', '−2.0 cm', '+1.96 cm', '+2.4 cm']
    >>> deviation_in(of(-18.49, 1618.49), "cm")  # 160.0 cm less 161.8 cm
    '−1.8 cm'
    """
    off, allowed = (abs(mm) / MM_PER_UNIT[units] for mm in (deviation.off_mm, deviation.tolerance_mm))
    digits = USUAL_DIGITS[units]
    if units == "cm":
        left = round(round(deviation.measured_mm / 10, 1) - round(deviation.expected_mm / 10, 1), 1)
        if f"{abs(left):.1f}" != f"{allowed:.1f}" and (abs(left) > allowed) == (off > allowed):
            return f"{off_number(10 * left, units, digits)} {units}"
    while off != allowed and digits < MOST_DIGITS and f"{off:.{digits}f}" == f"{allowed:.{digits}f}":
        digits += 1
    return f"{off_number(deviation.off_mm, units, digits)} {units}"


def units_in_words(units: str) -> str:
    """Print cm as "centimetres"."""
    return UNIT_NAMES[units]
