"""Numbers with two neighbouring digits swapped, as fingers do; pure."""

import re
from itertools import pairwise

_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_HALVES = ("0", "5")


def swapped_digits(text: str) -> list[str]:
    """Every text that comes of swapping two neighbouring digits of its first number; the point stays.

    A tape read to halves gives no other decimals: they are no likely origin of what was typed.

    >>> swapped_digits("101.5 cm")
    ['011.5 cm', '110.5 cm']
    """
    found = _NUMBER.search(text)
    if found is None:
        return []
    places = [place for place in range(*found.span()) if text[place].isdigit()]
    texts = []
    for first, second in pairwise(places):
        digits = list(text)
        digits[first], digits[second] = digits[second], digits[first]
        crosses = second - first > 1
        if text[first] != text[second] and not (crosses and not _keeps_halves(text[second], text[first])):
            texts.append("".join(digits))
    return texts


def _keeps_halves(before: str, after: str) -> bool:
    """Whether a decimal that was a half or nothing still is."""
    return before not in _HALVES or after in _HALVES
