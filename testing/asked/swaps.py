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
        # Over the point, a decimal that was a half or nothing must still be one.
        is_odd = second - first > 1 and text[second] in _HALVES and text[first] not in _HALVES
        if text[first] != text[second] and not is_odd:
            texts.append("".join(digits))
    return texts
