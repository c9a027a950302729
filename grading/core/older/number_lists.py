"""Lists with a number for each size, as older patterns print them: 61 (67, 73), 61 (67: 73) [79], 61/67."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from grading.core.formula.typed_numbers import TypedNumberError, read_typed_number

DASHES = "-–—"
UNITS = {
    **dict.fromkeys(("mm",), "mm"),
    **dict.fromkeys(("cm", "cms"), "cm"),
    **dict.fromkeys(("in", "ins", "inch", "inches", '"', "”", "″"), "in"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("yd", "yds", "yard", "yards"), "yd"),
    **dict.fromkeys(("g", "gram", "grams"), "g"),
    **dict.fromkeys(("oz", "ounce", "ounces"), "oz"),
    **dict.fromkeys(("st", "sts", "stitch", "stitches", "ch", "chs", "chain", "chains"), "stitches"),
    **dict.fromkeys(("row", "rows", "rnd", "rnds", "round", "rounds"), "rows"),
    **dict.fromkeys(("time", "times"), "times"),
}

_FRACTION = r"[¼½¾⅛⅜⅝⅞]|[1357]/[248]"
_NUMBER = rf"(?:\d{{1,6}}(?:[.,]\d{{1,3}})?(?:[ ]?(?:{_FRACTION})(?!\d))?|(?:{_FRACTION})(?!\d)|[{DASHES}])"
# "in" before a word is mostly the little word ("2 in next st"), not inches.
_IN = r"ins?(?=\s*(?:$|[.,;:/()\[\]])|\s+(?:wide|long|deep|high|tall|from|or|and|above|below)\b)"
_UNIT = (
    rf"(?:{_IN}|"
    + "|".join(sorted(map(re.escape, UNITS.keys() - {"in", "ins"}), key=len, reverse=True))
    + r")(?![A-Za-z])"
)
_BRACKETED = re.compile(
    rf"(?<![\w.,/{DASHES}])({_NUMBER})[ ]?(?:{_UNIT})?((?:\s?[(\[{{][^()\[\]{{}}\n]{{1,200}}[)\]}}]){{1,12}})"
)
_GROUP = re.compile(r"[(\[{]([^()\[\]{}\n]*)[)\]}]")
_SLASHED = re.compile(r"(?<![\w.,/])\d{1,6}(?:\.\d{1,3})?(?:/\d{1,6}(?:\.\d{1,3})?){2,23}(?![\w/])")
_UNIT_AFTER = re.compile(rf"\s{{0,2}}({_UNIT})", re.IGNORECASE)
_PLAIN = re.compile(rf"({_NUMBER})\s*(?:{_UNIT})?", re.IGNORECASE)

# A comma parts two numbers; or only one with a space behind it does, and the others are decimal commas.
_COMMAS = (r",", r",\s+")

Numbers = tuple[Decimal | None, ...]


@dataclass(frozen=True)
class NumberList:
    """A list at its place in a text.

    Attributes:
        start: Where it begins, from 0.
        end: Where its last bracket ends.
        readings: The ways to read it, one number per size each, None for a dash; more than one only where a
            comma may part two numbers or stand in one, none where a number itself can be read in two ways.
        unit: cm, in, stitches … as written after or in it, "" for none.
        unit_end: Where the unit after it ends; the same as `end` without one.
    """

    start: int
    end: int
    readings: tuple[Numbers, ...]
    unit: str
    unit_end: int

    def numbers_for(self, sizes: int) -> Numbers | None:
        """The reading that has a number for each size, or None."""
        return next((numbers for numbers in self.readings if len(numbers) == sizes), None)


def find_number_lists(text: str) -> list[NumberList]:
    """Find the lists of a text in their order.

    Args:
        text: The words of a step, or of a whole pattern.

    Returns:
        The lists, with at least two numbers each.

    Source: the ways of writing sizes in brackets, after slashes and with dashes are common practice.

    >>> [found.readings[0] for found in find_number_lists("Cast on 61 (67, 73) sts.")]
    [(Decimal('61'), Decimal('67'), Decimal('73'))]
    >>> find_number_lists("Work 6 rows (see the note).")
    []
    """
    found = [*_bracketed_lists(text), *_slashed_lists(text)]
    return sorted(found, key=lambda one: one.start)


def _bracketed_lists(text: str) -> Iterator[NumberList]:
    for match in _BRACKETED.finditer(text):
        insides = _GROUP.findall(match.group(2))
        ways = [[_split(inside, comma) for inside in insides] for comma in _COMMAS]
        whole = [groups for groups in ways if all(groups)]
        if whole:
            yield _with_unit(text, match, _readings([[[match.group(1)], *groups] for groups in whole]))


def _readings(ways: list[list[list[str]]]) -> tuple[Numbers, ...]:
    """What the groups of a list say in each way to part them; none where a number can be read in two ways."""
    try:
        read = [tuple(read_number(text) for group in groups for text in group) for groups in ways]
    except TypedNumberError:
        return ()
    return tuple(dict.fromkeys(read))


def _slashed_lists(text: str) -> Iterator[NumberList]:
    for match in _SLASHED.finditer(text):
        yield _with_unit(text, match, (tuple(Decimal(number) for number in match.group().split("/")),))


def _with_unit(text: str, match: re.Match[str], readings: tuple[Numbers, ...]) -> NumberList:
    """A list with the unit after it, else with the one written at its numbers."""
    after = _UNIT_AFTER.match(text, match.end())
    inside = re.findall(_UNIT, match.group(), re.IGNORECASE)
    word = after.group(1) if after else (inside[0] if inside else "")
    unit_end = after.end() if after else match.end()
    return NumberList(match.start(), match.end(), readings, UNITS.get(word.lower(), ""), unit_end)


def _split(inside: str, comma: str) -> list[str]:
    """The numbers between two brackets, as typed; [] where it is not all numbers."""
    for separator in (";", ":", "|"):
        if separator in inside:
            return _all_numbers(inside.split(separator))
    if "/" in inside and not re.search(_FRACTION, inside):
        return _all_numbers(inside.split("/"))
    if "," not in inside:
        return _all_numbers([inside]) or _all_numbers(inside.split())
    return _all_numbers(re.split(comma, inside))


def _all_numbers(parts: list[str]) -> list[str]:
    """The parts without their units where each is a number; [] otherwise."""
    matches = [_PLAIN.fullmatch(part.strip()) for part in parts]
    return [match.group(1) for match in matches if match] if all(matches) else []


def read_number(text: str) -> Decimal | None:
    """Read one number as people type it; None for a dash.

    Raises:
        TypedNumberError: It can be read in two ways.

    >>> read_number("18½"), read_number("47,5"), read_number("–")
    (Decimal('18.5'), Decimal('47.5'), None)
    """
    return None if text in DASHES else Decimal(read_typed_number(text).digits)
