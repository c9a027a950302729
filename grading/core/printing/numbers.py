"""Numbers as the trade prints them: one row of numbers for all sizes, lengths, weights, yarn.

One rule for the brackets, wherever numbers for several sizes are printed:

- the first size printed stands outside, the others in round brackets: 61 (67, 73, 79);
- a pattern of more than 8 sizes uses groups of three after its first size, in round and square
  brackets by turns: 61 (67, 73, 79) [85, 91, 97] (103, 109). The groups hang on the place of a
  size in the whole pattern, so that a size always stands in the same bracket, also where a step
  is printed for some of the sizes only;
- more than 12 numbers make a small table (`needs_table`); the brackets are what plain text gets.
"""

import math
from collections.abc import Sequence
from itertools import groupby

from grading.core.printing.edition import Units

DASH = "–"
GROUP_SIZE = 3  # common practice: three numbers are still read at a glance
MOST_UNGROUPED = 8
MOST_IN_LINE = 12
SHORT = 10.0  # m, yd or g: what is less is told to its parts
TOLERANCE = 1e-9

# International Yard and Pound Agreement, 1959: exact.
MM_PER_CM = 10.0
MM_PER_INCH = 25.4
GRAMS_PER_OUNCE = 28.349523125
METRES_PER_YARD = 0.9144

_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
_BRACKETS = (("(", ")"), ("[", "]"))


def number_list(texts: Sequence[str | None], kept: Sequence[int] | None = None) -> str:
    """Print one text per size in the bracket notation of the trade.

    Args:
        texts: One text per size of the pattern, in size order; None where a size has none.
        kept: Positions (from 0) of the sizes to print, None for all.

    Returns:
        "61 (67, 73, 79)"; a single text when all are equal; a dash where a size has none.

    Source: common practice; the grouping is set out in the docstring of this module.

    >>> number_list(["61", "67", None, "79"])
    '61 (67, –, 79)'
    >>> number_list(["61", "61", "61"])
    '61'
    >>> number_list([str(n) for n in range(1, 10)])
    '1 (2, 3, 4) [5, 6, 7] (8, 9)'
    """
    places = list(range(len(texts)) if kept is None else kept)
    printed = {place: texts[place] or DASH for place in places}
    if len(set(printed.values())) <= 1:
        return next(iter(printed.values()), DASH)
    in_bracket = GROUP_SIZE if len(texts) > MOST_UNGROUPED else len(texts)
    numbers = printed[places[0]]
    for group, members in groupby(places[1:], key=lambda place: (place - 1) // in_bracket):
        left, right = _BRACKETS[group % len(_BRACKETS)]
        numbers += f" {left}{', '.join(printed[place] for place in members)}{right}"
    return numbers


def needs_table(texts: Sequence[str | None], kept: Sequence[int] | None = None) -> bool:
    """Tell whether these numbers are too many for a line of text.

    Args:
        texts: One text per size of the pattern, in size order; None where a size has none.
        kept: Positions (from 0) of the sizes to print, None for all.

    Returns:
        True when more than 12 numbers would stand there that are not all equal.

    >>> needs_table(["1"] * 24), needs_table([str(n) for n in range(13)])
    (False, True)
    """
    shown = list(texts) if kept is None else [texts[place] for place in kept]
    return len(shown) > MOST_IN_LINE and len(set(shown)) > 1


def half_up(number: float, step: float) -> float:
    """Round to the nearest multiple of step, ties up.

    Args:
        number: Any finite number.
        step: Greater than 0, in the unit of number.

    Returns:
        The multiple; within 1e-9 of a tie counts as the tie.

    Source: derived (floor of the half-shifted quotient).

    >>> half_up(50.25, 0.5), half_up(50.2499999999999, 0.5), half_up(50.24, 0.5)
    (50.5, 50.5, 50.0)
    """
    return math.floor(number / step + 0.5 + TOLERANCE) * step


def _round_up(number: float, step: float) -> float:
    """Round up to a multiple of step; within 1e-9 of a multiple stays there."""
    return math.ceil(number / step - TOLERANCE) * step


def print_whole(number: float) -> str:
    """Print a count: stitches, rows, repeats.

    Args:
        number: A count; printed to the nearest whole number, ties up.

    Returns:
        Its digits.

    >>> print_whole(61.0), print_whole(-2.0)
    ('61', '−2')
    """
    return _signed(number, f"{abs(half_up(number, 1.0)):.0f}")


def _signed(number: float, digits: str) -> str:
    """Put a minus sign before the digits of a negative number, but never before a zero."""
    return f"−{digits}" if number < 0 and digits.strip("0.") else digits


def print_ratio(number: float) -> str:
    """Print a ratio with two decimals.

    Args:
        number: A plain number.

    Returns:
        Two decimals, ties up.

    >>> print_ratio(0.125), print_ratio(2)
    ('0.13', '2.00')
    """
    return _signed(number, f"{abs(half_up(number, 0.01)):.2f}")


def _print_quarters(number: float) -> str:
    """Print to the nearest quarter, ties up, as 19¾."""
    return _signed(number, _with_eighths(abs(half_up(number, 0.25))))


def _with_eighths(number: float) -> str:
    """Print a number from 0 up that is a multiple of an eighth."""
    whole, part = divmod(round(number * 8), 8)
    return f"{whole if whole or not part else ''}{_EIGHTHS[part]}"


def print_cm(length_mm: float) -> str:
    """Print a length in centimetres to the nearest half, without the unit.

    Args:
        length_mm: Length in mm.

    Returns:
        "50" or "50.5"; ties up.

    >>> print_cm(502.5), print_cm(500)
    ('50.5', '50')
    """
    rounded = half_up(length_mm / MM_PER_CM, 0.5)
    return _signed(length_mm, f"{abs(rounded):g}")


def print_inches(length_mm: float) -> str:
    """Print a length in inches to the nearest quarter, without the unit.

    Args:
        length_mm: Length in mm.

    Returns:
        "40", "19¾" or "¼"; ties up.

    Source: inch of 25.4 mm, International Yard and Pound Agreement, 1959.

    >>> print_inches(1016), print_inches(501.65), print_inches(6.35), print_inches(0)
    ('40', '19¾', '¼', '0')
    """
    return _print_quarters(length_mm / MM_PER_INCH)


def print_half_cm(length_mm: float) -> str:
    """Print half of a length in centimetres as printed, without the unit: twice it is what is printed.

    Args:
        length_mm: The whole length in mm.

    Returns:
        "43" or "42.75".

    >>> print_cm(855), print_half_cm(855), print_half_cm(860)
    ('85.5', '42.75', '43')
    """
    return _signed(length_mm, f"{abs(half_up(length_mm / MM_PER_CM, 0.5)) / 2:g}")


def print_half_inches(length_mm: float) -> str:
    """Print half of a length in inches as printed, without the unit: twice it is what is printed.

    Args:
        length_mm: The whole length in mm.

    Returns:
        "17" or "16⅞".

    Source: inch of 25.4 mm, International Yard and Pound Agreement, 1959.

    >>> print_inches(857.25), print_half_inches(857.25), print_half_inches(863.6)
    ('33¾', '16⅞', '17')
    """
    return _signed(length_mm, _with_eighths(abs(half_up(length_mm / MM_PER_INCH, 0.25)) / 2))


def print_count(number: float) -> str:
    """Print a count that was worked out, to the quarter where it is not whole.

    Args:
        number: A count.

    Returns:
        Its digits.

    >>> print_count(12.0), print_count(12.5)
    ('12', '12½')
    """
    return _print_quarters(number)


def print_grams(weight_g: float) -> str:
    """Print a weight in whole grams, without the unit.

    Args:
        weight_g: Weight in g.

    Returns:
        Whole grams, ties up.

    >>> print_grams(49.5)
    '50'
    """
    return print_whole(weight_g)


def print_ounces(weight_g: float) -> str:
    """Print a weight in ounces to the nearest quarter, without the unit.

    Args:
        weight_g: Weight in g.

    Returns:
        "1¾"; ties up.

    Source: avoirdupois ounce, a sixteenth of the pound of the agreement of 1959.

    >>> print_ounces(50), print_ounces(100)
    ('1¾', '3½')
    """
    return _print_quarters(weight_g / GRAMS_PER_OUNCE)


def print_metres_to_buy(length_m: float) -> str:
    """Print a length of yarn in metres, up to the next 10, without the unit.

    Args:
        length_m: Yarn length in m.

    Returns:
        Whole metres.

    >>> print_metres_to_buy(201), print_metres_to_buy(210.0000000001)
    ('210', '210')
    """
    return print_whole(_round_up(length_m, 10.0))


def print_yards_to_buy(length_m: float) -> str:
    """Print a length of yarn in yards, up to the next 10, without the unit.

    Args:
        length_m: Yarn length in m.

    Returns:
        Whole yards.

    Source: yard of 0.9144 m, International Yard and Pound Agreement, 1959.

    >>> print_yards_to_buy(201.168)
    '220'
    """
    return print_whole(_round_up(length_m / METRES_PER_YARD, 10.0))


def print_grams_to_buy(weight_g: float) -> str:
    """Print a weight of yarn in grams, up to the next 5, without the unit.

    Args:
        weight_g: Weight in g.

    Returns:
        Whole grams.

    >>> print_grams_to_buy(401), print_grams_to_buy(405.0)
    ('405', '405')
    """
    return print_whole(_round_up(weight_g, 5.0))


def print_metres(length_m: float) -> str:
    """Print a length of yarn to be left or cut in metres, without the unit.

    Args:
        length_m: Yarn length in m.

    Returns:
        Metres, up to the next tenth below 10, to the next whole one above: it must not be too short.

    Source: common practice.

    >>> print_metres(1.55), print_metres(12.2)
    ('1.6', '13')
    """
    return f"{_short_metres(length_m):g}"


def print_yards(length_m: float) -> str:
    """Print a length of yarn to be left or cut in yards, without the unit.

    Args:
        length_m: Yarn length in m.

    Returns:
        Yards of as many metres as are printed, up to the next quarter below 10, to the next whole one above.

    Source: yard of 0.9144 m, International Yard and Pound Agreement, 1959.

    >>> print_yards(1.55), print_yards(12.2)
    ('1¾', '15')
    """
    yards = _short_metres(length_m) / METRES_PER_YARD
    return _print_quarters(_round_up(yards, 0.25 if yards < SHORT else 1.0))


def _short_metres(length_m: float) -> float:
    """Round a length of yarn up, finely where it is short."""
    return _round_up(length_m, 0.1 if length_m < SHORT else 1.0)


def print_ball(weight_g: float, length_m: float, units: Units) -> str:
    """Print what a ball weighs and how long it is, the units of the edition first.

    Args:
        weight_g: Weight of a ball in g.
        length_m: Its length in m.
        units: Units of the edition.

    Returns:
        As "50 g = 110 m (120 yd)".

    >>> print_ball(49.6117, 109.728, "in"), print_ball(50, 110, "cm")
    ('1¾ oz (50 g) = 120 yd (110 m)', '50 g = 110 m (120 yd)')
    """
    grams = f"{half_up(weight_g, 1.0 if weight_g >= SHORT else 0.1):g} g"
    metres, yards = f"{half_up(length_m, 1.0):.0f} m", f"{half_up(length_m / METRES_PER_YARD, 1.0):.0f} yd"
    if units == "in":
        return f"{print_ounces(weight_g)} oz ({grams}) = {yards} ({metres})"
    return f"{grams} = {metres} ({yards})"
