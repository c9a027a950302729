"""Reads the name of a stitch."""

import re
from functools import cache

from grading.core.audit import stitches
from grading.core.audit.cursor import Cursor
from grading.core.audit.phrases import Phrases
from grading.core.audit.stitches import CABLE, TOGETHER, Stitch
from grading.core.audit.words import SIDES


def read_stitch(cursor: Cursor, craft: str) -> Stitch | None:
    """The stitch named here, with words such as `blo` passed over."""
    return cursor.attempt(lambda: _read_stitch(cursor, craft))


def read_slip(cursor: Cursor) -> bool:
    """Read `sl st` in one of its forms; knitting has none."""
    return cursor.phrase(_phrases(stitches.SLIPS))


def _read_stitch(cursor: Cursor, craft: str) -> Stitch | None:
    while craft != "knitting" and cursor.phrase(_phrases(stitches.PREFIXES)):
        pass
    token = cursor.now()
    if token is None:
        return None
    found = _defined(cursor)
    if found is not None:
        return found
    found = _joined_in_one_word(token.text, craft)
    if found:
        cursor.place += 1
    else:
        found = _named(cursor, craft)
    if found is None:
        return None
    found = _together(cursor, found, craft)
    while cursor.attempt(lambda: (cursor.phrase(SIDES) and not cursor.sees("of")) or None):
        pass
    return found


def _defined(cursor: Cursor) -> Stitch | None:
    """A stitch that the row itself explains."""
    for name, stitch in cursor.defined.items():
        if cursor.words(name):
            return stitch
    return None


def _joined_in_one_word(text: str, craft: str) -> Stitch | None:
    """`sc2tog`, `c6f`, `k1fb`, `2/2rc` and the like."""
    if text in ("k1tbl", "p1tbl", "sl1k", "sl1p", "sl1wyif", "sl1wyib") and craft == "knitting":
        return Stitch(text)
    match = TOGETHER.fullmatch(text)
    if match and match.group(1) in ("sl", "slip"):
        return Stitch(text, int(match.group(2)), int(match.group(2)))
    if match and _known_base(match.group(1), craft):
        return Stitch(text, int(match.group(2)), 1)
    crossed = re.fullmatch(r"(\d)/(\d)[a-z]+", text)
    if crossed and craft == "knitting":
        number = int(crossed.group(1)) + int(crossed.group(2))
        return Stitch(text, number, number)
    cable = CABLE.fullmatch(text)
    if cable and craft == "knitting":
        return Stitch(text, int(cable.group(1)), int(cable.group(1)))
    return None


def _known_base(base: str, craft: str) -> bool:
    if craft == "knitting":
        return base in ("k", "p", "sl")
    return base in _table(craft)


def _named(cursor: Cursor, craft: str) -> Stitch | None:
    table = _table(craft)
    start = cursor.place
    if cursor.phrase(_phrases(tuple(table))):
        return table[" ".join(token.text for token in cursor.tokens[start : cursor.place])]
    return None


def _together(cursor: Cursor, stitch: Stitch, craft: str) -> Stitch:
    """`single crochet 2 together`, `k 2 tog`."""

    def read() -> Stitch | None:
        cursor.words("next")
        number = cursor.number()
        if not isinstance(number, int) or stitch.takes != 1 or not 2 <= number <= 9:
            return None
        cursor.word("st", "sts", "stitches")
        if not cursor.word("tog", "together"):
            return None
        leaves = number if stitch.name in ("sl", "slip") else 1
        return Stitch(f"{stitch.name}{number}tog", number, leaves)

    return cursor.attempt(read) or stitch


@cache
def _table(craft: str) -> dict[str, Stitch]:
    """All names of a craft, plurals and post stitches too."""
    table: dict[str, Stitch] = {}
    for name, stitch in stitches.stitches_of(craft).items():
        for form in (name, f"{name}s", f"{name}es"):
            table[form] = stitch
            if craft != "knitting" and " " not in name and stitch.takes == stitch.leaves == 1:
                table |= {f"{prefix}{form}": Stitch(f"{prefix}{name}") for prefix in ("fp", "bp", "fl", "bl")}
    if craft == "knitting":
        del table["ks"], table["ps"]
    return table


@cache
def _phrases(names: tuple[str, ...]) -> Phrases:
    return Phrases(*names)
