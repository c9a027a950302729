"""The sides of numbered rows: in work that is turned, odd rows lie on one side and even rows on the other."""

import re
from dataclasses import dataclass
from functools import lru_cache

_HEAD = re.compile(
    r"^\s*rows?\s+\d+[^:.]{0,24}?[(,]\s*(?P<side>rs|ws|right side|wrong side)\b(?!\s*(?:facing|rows?))",
    re.IGNORECASE,
)
# After these words numbers may begin on another side (common practice).
_ANEW = re.compile(
    r"\b(?:re)?join|\bfasten off|\bbreak yarn|\bcut yarn|\bfacing|\bshort[- ]rows?", re.IGNORECASE
)


@lru_cache(maxsize=20_000)
def side_named(text: str) -> str:
    """The side that the head of a row names: RS, WS, or "" where it names none.

    >>> side_named("Row 3 (right side): knit."), side_named("Row 4: purl the wrong side.")
    ('RS', '')
    """
    found = _HEAD.match(text)
    return "" if found is None else ("RS" if found.group("side")[0] in "rR" else "WS")


@lru_cache(maxsize=20_000)
def begins_anew(text: str) -> bool:
    """Whether the side of the next row no longer follows from the row before."""
    return _ANEW.search(text) is not None


@dataclass
class Facing:
    """The last numbered row whose side is known, while rows are numbered on from it."""

    number: int = 0
    side: str = ""
    last: int = 0

    def begin_anew(self) -> None:
        """What comes next hangs on nothing before it."""
        self.number, self.side, self.last = 0, "", 0

    def wrong_side(self, numbers: tuple[int, int], side: str) -> str:
        """Say what is wrong with the side of a row that is numbered on; "" where nothing is."""
        first, last = numbers
        if first != self.last + 1:
            self.begin_anew()
        self.last = last
        if not side:
            return ""
        before, self.number, self.side = (self.number, self.side), first, side
        turned = (first - before[0]) % 2 == 1
        if not before[1] or (before[1] != side) == turned:
            return ""
        return f"row {first} is said to be {side}, after row {before[0]} as {before[1]}"
