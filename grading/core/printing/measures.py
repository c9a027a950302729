"""Measures as an edition prints them: in one system of units, or in both.

Each number is rounded from the value itself, so that it is the same one in every edition, page and e-mail.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from grading.core.pattern.wordings import FIRST_WORDING, NEWEST_WORDING
from grading.core.printing.edition import PrintForm, Units
from grading.core.printing.numbers import (
    number_list,
    print_cm,
    print_grams,
    print_half_cm,
    print_half_inches,
    print_inches,
    print_metres,
    print_metres_to_buy,
    print_ounces,
    print_ratio,
    print_whole,
    print_yards,
    print_yards_to_buy,
)


@dataclass(frozen=True)
class PrintedList:
    """The numbers of one value in one unit, printed: one text per size (None = none)."""

    texts: tuple[str | None, ...]
    unit: str


# Half of a length, of which the whole is given: it is printed so that twice it is what is printed of that.
HALF_LENGTH = "half length"

_METRIC = {
    "length": (print_cm, "cm"),
    "weight": (print_grams, "g"),
    "yarn": (print_metres, "m"),
    HALF_LENGTH: (print_half_cm, "cm"),
}
_IMPERIAL = {
    "length": (print_inches, "in"),
    "weight": (print_ounces, "oz"),
    "yarn": (print_yards, "yd"),
    HALF_LENGTH: (print_half_inches, "in"),
}
# In the first wording every length of yarn was rounded as one to buy.
_FIRST_YARN = {"m": print_metres_to_buy, "yd": print_yards_to_buy}


def printed_lists(
    kind: str,
    numbers: Sequence[float],
    units: Units,
    wording: int = NEWEST_WORDING,
) -> list[PrintedList]:
    """Print a value for every size, once for each system of units asked for.

    Args:
        kind: Kind of the value: length, stitches, rows, count, ratio, weight, yarn or area.
        numbers: One number per size, in size order, in mm, g, m or counts; NaN where none.
        units: Units of the edition.
        wording: State of our sentences.

    Returns:
        One list, or two (metric, then imperial) for a measure in both units.

    >>> printed_lists("length", [500.0, float("nan")], "both")[1]
    PrintedList(texts=('19¾', None), unit='in')
    """
    if kind not in _METRIC:
        return [_list(numbers, print_ratio if kind == "ratio" else print_whole, "")]
    metric, imperial = _METRIC[kind], _IMPERIAL[kind]
    if wording == FIRST_WORDING and kind == "yarn":
        metric, imperial = ((_FIRST_YARN[unit], unit) for _, unit in (metric, imperial))
    printers = {"cm": [metric], "in": [imperial], "both": [metric, imperial]}[units]
    return [_list(numbers, *printer) for printer in printers]


def _list(numbers: Sequence[float], show: Callable[[float], str], unit: str) -> PrintedList:
    """Print one number per size."""
    return PrintedList(tuple(None if math.isnan(n) else show(float(n)) for n in numbers), unit)


def lists_in(form: PrintForm, kind: str, numbers: Sequence[float], wording: int) -> Sequence[PrintedList]:
    """Print a value for every size in the units of an edition, those first that stand first there.

    Args:
        form: The edition.
        kind: Kind of the value, as in `printed_lists`.
        numbers: One number per size, in size order, in mm, g, m or counts; NaN where none.
        wording: State of our sentences.

    Returns:
        One list, or two for a measure in both units.

    >>> [one.texts for one in lists_in(PrintForm("both", "US"), "length", [193.0, 197.0], 3)]
    [('7½', '7¾'), ('19.5', '19.5')]
    """
    return form.in_order(printed_lists(kind, numbers, form.units, wording))


def length_range(numbers_mm: Sequence[float], form: PrintForm, wording: int = NEWEST_WORDING) -> str:
    """Lengths from the least to the most, in each system of units of the edition; a dash for none.

    >>> length_range([965.0, 1321.0], PrintForm("both", "UK"))
    '96.5 to 132 cm (38 to 52 in)'
    """
    known = [number for number in numbers_mm if math.isfinite(number)]
    if not known:
        return "–"
    ends = lists_in(form, "length", [min(known), max(known)], wording)
    told = [f"{' to '.join(dict.fromkeys(text for text in one.texts if text))} {one.unit}" for one in ends]
    return f"{told[0]} ({told[1]})" if len(told) > 1 else told[0]


def print_measure(
    form: PrintForm,
    kind: str,
    numbers: Sequence[float],
    kept: Sequence[int] | None = None,
    wording: int = NEWEST_WORDING,
) -> str:
    """Print a value for all sizes as it stands in a sentence of an edition, with its units.

    Args:
        form: The edition.
        kind: Kind of the value, as in `printed_lists`.
        numbers: One number per size, in size order, in mm, g, m or counts; NaN where none.
        kept: Positions (from 0) of the sizes to print, None for all.
        wording: State of our sentences.

    Returns:
        "97 (102, 107) cm / 38¼ (40¼, 42¼) in".

    >>> print_measure(PrintForm("both", "US"), "length", [500.0, 520.0])
    '19¾ (20½) in / 50 (52) cm'
    """
    return _beside(lists_in(form, kind, numbers, wording), kept)


def print_value(
    kind: str,
    numbers: Sequence[float],
    units: Units,
    kept: Sequence[int] | None = None,
    wording: int = NEWEST_WORDING,
) -> str:
    """Print a value for all sizes as it stands in a sentence, with its unit, the metric one first.

    Args:
        kind: Kind of the value, as in `printed_lists`.
        numbers: One number per size, in size order, in mm, g, m or counts; NaN where none.
        units: Units of the edition; "both" prints the metric list / the imperial list.
        kept: Positions (from 0) of the sizes to print, None for all.
        wording: State of our sentences.

    Returns:
        "97 (102, 107) cm / 38¼ (40¼, 42¼) in".

    >>> print_value("length", [500.0, 520.0], "both")
    '50 (52) cm / 19¾ (20½) in'
    >>> print_value("stitches", [61.0, 67.0], "cm", kept=[1])
    '67'
    """
    return _beside(printed_lists(kind, numbers, units, wording), kept)


def _beside(lists: Sequence[PrintedList], kept: Sequence[int] | None) -> str:
    """Lists in one or two units beside one another, each with its unit."""
    return " / ".join(f"{number_list(one.texts, kept)} {one.unit}".rstrip() for one in lists)
