"""What people type into the forms of a test call, read into mm, grams and counts; pure."""

from dataclasses import dataclass

from grading.core.formula.literals import G_PER_OUNCE, LENGTH_UNITS_MM, MM_PER_INCH
from grading.core.formula.typed_numbers import FRACTION_SIGNS, TypedNumberError, read_typed_number

MM_PER_UNIT = {"cm": LENGTH_UNITS_MM["cm"], "in": MM_PER_INCH}
UNIT_NAMES = {"cm": "centimetres", "in": "inches"}
# Gauge is counted over a square of 10 cm or of 4 in, exactly 101.6 mm.
GAUGE_SPAN_MM = {"cm": 100.0, "in": 4 * MM_PER_INCH}
# The keyboard of a phone that a length is typed with: inches need “18 1/2”, which a number pad has not.
LENGTH_KEYBOARDS = {"cm": "decimal", "in": "text"}
GAUGE_SPAN_NAMES = {"cm": "10 cm", "in": "4 in"}
LONGEST_MM = 5_000.0
HEAVIEST_G = 10_000.0
MOST_COUNTED = 200.0
MOST_HOURS = 2_000.0
MOST_WORKED = 100_000
LONGEST_100G_M = 10_000.0
METRE_NAMES = {"m": "metres", "yd": "yards"}
METRE_UNITS = {"cm": "m", "in": "yd"}  # what a yarn's length is told in beside a person's unit of length

_WEIGHT_UNITS_G = {"g": 1.0, "kg": 1000.0, "oz": G_PER_OUNCE}
_METRE_UNITS_M = {"m": 1.0, "yd": LENGTH_UNITS_MM["yd"] / 1000}


@dataclass
class TypedError(ValueError):
    """An entry that can't be read; one sentence for the person who typed it."""

    says: str

    def __str__(self) -> str:
        return self.says


def read_length_mm(text: str, unit: str) -> float:
    """Read "47", "47.5 cm", "18 1/2" or "18½ in" into mm; `unit` is meant where none is typed.

    >>> read_length_mm("18 1/2", "in")
    469.9
    >>> read_length_mm("47,5 cm", "in")
    475.0
    """
    number, typed_unit = _split(text, f"47.5 or 18 1/2, in {UNIT_NAMES[unit]}")
    factor = LENGTH_UNITS_MM.get(typed_unit) if typed_unit else MM_PER_UNIT[unit]
    if factor is None:
        raise TypedError(f"“{typed_unit}” is not a unit of length that Evenrow knows: write cm or in.")
    return _within(number * factor, LONGEST_MM, "5 metres")


def read_weight_g(text: str) -> float:
    """Read "312", "312 g" or "11 oz" into grams.

    >>> read_weight_g("11 oz")
    311.84475437500004
    """
    number, typed_unit = _split(text, "312 g or 11 oz")
    factor = _WEIGHT_UNITS_G.get(typed_unit or "g")
    if factor is None:
        raise TypedError(f"“{typed_unit}” is not a unit of weight that Evenrow knows: write g or oz.")
    return _within(number * factor, HEAVIEST_G, "10 kg")


def read_count(text: str) -> float:
    """Read the stitches or rows counted over a gauge square, such as "17.5"."""
    number, typed_unit = _split(text, "18 or 17.5")
    _refuse_word(text, typed_unit)
    return _within(number, MOST_COUNTED, "200")


def read_hours(text: str) -> float:
    """Read hours of work, such as "42" or "42.5"."""
    number, typed_unit = _split(text, "42 or 42.5")
    if typed_unit not in ("", "h", "hours", "hour"):
        raise TypedError("Only the number of hours is needed here.")
    return _within(number, MOST_HOURS, "2,000 hours")


def read_worked(text: str) -> float:
    """Read a count that was worked, such as "198": a whole number."""
    number, typed_unit = _split(text, "198")
    _refuse_word(text, typed_unit)
    if number != int(number):
        raise TypedError("A count is a whole number, such as 198.")
    return _within(number, MOST_WORKED, "100,000")


def read_metres(text: str, unit: str) -> float:
    """Read the length of 100 g of yarn, such as "230", "230 m" or "250 yd", into metres.

    >>> read_metres("250 yd", "m")
    228.6
    """
    number, typed_unit = _split(text, f"230 {unit}")
    factor = _METRE_UNITS_M.get(typed_unit or unit)
    if factor is None:
        raise TypedError(f"“{typed_unit}” is not a unit of yarn length that Evenrow knows: write m or yd.")
    return _within(number * factor, LONGEST_100G_M, "10,000 metres")


def has_unit(typed: str) -> bool:
    """Whether a length was typed with its unit.

    >>> has_unit("37 in"), has_unit("37½")
    (True, False)
    """
    return bool(typed.strip()) and not typed.strip()[-1].isnumeric()


def units_of(typed: str, units: str) -> str:
    """The units that a length was typed in: those in use where it has none.

    >>> units_of("40 1/4 in", "cm"), units_of("40", "in"), units_of("103 cm", "in")
    ('in', 'in', 'cm')
    """
    if not has_unit(typed):
        return units
    return "in" if _split(typed, "47 or 18 1/2 in")[1] in ("in", "ft", "yd") else "cm"


def as_typed(typed: str, units: str) -> str:
    """A length as it was typed, with the unit in use where none was.

    >>> as_typed("40 3/8", "in"), as_typed("103 cm", "in")
    ('40 3/8 in', '103 cm')
    """
    return typed if has_unit(typed) else f"{typed} {units}"


def _split(text: str, example: str) -> tuple[float, str]:
    """Split an entry into its number and its unit, in lower case."""
    try:
        typed = read_typed_number(text, is_lone=True)
    except TypedNumberError as unread:
        raise TypedError(f"{unread} Write it like {example}.")
    return float(typed.number), typed.unit


def _refuse_word(text: str, typed_unit: str) -> None:
    """Refuse a word behind a bare number, as it was typed: “sts” and not what it stands for."""
    if typed_unit:
        word = text.strip().lstrip("+-0123456789.,/ " + "".join(FRACTION_SIGNS))
        raise TypedError(f"Only the number is needed here, without “{word}”.")


def _within(number: float, most: float, most_name: str) -> float:
    """Hold a reading between nothing and the most that makes sense."""
    if number <= 0:
        raise TypedError("The number must be more than 0.")
    if number > most:
        raise TypedError(f"That is more than {most_name}; please check the number and its unit.")
    return number
