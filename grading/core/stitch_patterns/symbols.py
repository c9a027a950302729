"""Symbols: which published sign stands for a stitch, and the key of those that a chart uses.

Source: the Craft Yarn Council's published lists of crochet and of knit chart symbols. The lists, and the
forms in which the signs are drawn, are from memory. A stitch that they haven't got has no sign: its
abbreviation stands in the cell. There is no published list for Tunisian work, so all of it is abbreviations.
"""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from grading.core.instructions.terms import translate
from grading.core.stitch_patterns.charts import Chart, ChartRow
from grading.core.stitch_patterns.recording import Made

_DATA = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))
NO_STITCH_SIGN = "no_stitch"
BETWEEN_SIDES = {"RS": "on right-side rows", "WS": "on wrong-side rows", "": ""}


@dataclass(frozen=True)
class Sign:
    """What stands in a cell: a sign for each stitch that is made in one place, "" where there is none.

    `shorts` are the abbreviations of the same stitches.
    """

    signs: tuple[str, ...]
    shorts: tuple[str, ...]


@dataclass(frozen=True)
class KeyLine:
    """A line of the key: the sign ("" for an abbreviation), how wide it is, and the stitches that it is for.

    `stitches` holds pairs of an abbreviation and the rows in which it is meant, "" for all.
    """

    sign: str
    short: str
    width: int
    stitches: tuple[tuple[str, str], ...]


def signs_known() -> set[str]:
    """Return the names of all signs that are published.

    Source: see the module.

    >>> {"k2tog", "double", "no_stitch"} <= signs_known()
    True
    """
    return {sign for craft in ("knitting", "crochet") for sign in _DATA[craft]} | {NO_STITCH_SIGN}


@cache
def _table(craft: str, side: str) -> dict[str, str]:
    """The signs of a craft by the stitch that is worked on one side."""
    found: dict[str, str] = {}
    for sign, stitches in _DATA.get(craft, {}).items():
        key = "wrong" if side == "WS" and "wrong" in stitches else "right"
        found |= dict.fromkeys(stitches[key], sign)
    return found


def sign_of(name: str, craft: str, side: str, terms: str) -> str:
    """Return the sign of a stitch.

    Args:
        name: The stitch in the author's terms.
        craft: crochet, tunisian or knitting.
        side: RS, WS or "" of the row that it stands in.
        terms: Terms of the author, US or UK.

    Returns:
        The name of the sign; "" where the published lists have none.

    Source: see the module.

    >>> sign_of("p", "knitting", "WS", "US"), sign_of("tr", "crochet", "", "UK")
    ('knit', 'double')
    >>> sign_of("tss", "tunisian", "", "US")
    ''
    """
    if terms == "UK" and craft == "crochet":
        name = _in_us(name)
    return _table(craft, side).get(name, "")


@cache
def _in_us(name: str) -> str:
    """A crochet stitch in US terms; loops and posts are kept."""
    prefix = name[:2] if name[:2] in ("bl", "fl", "fp", "bp") and len(name) > 3 else ""
    return prefix + translate(name[len(prefix) :], "UK", "US", "crochet")


_PREFIXES = {"bl": " blo", "fl": " flo"}
_PRINTED = {
    "ktbl": "k tbl",
    "ptbl": "p tbl",
    "sl1wyif": "sl 1 wyif",
    "sl1wyib": "sl 1 wyib",
    "sl1k": "sl 1 knitwise",
    "sl1p": "sl 1 purlwise",
}


def printed_name(name: str) -> str:
    """Return a stitch as the trade writes it.

    Args:
        name: The stitch as charts know it.

    Source: the yarn council's lists of abbreviations, from memory.

    >>> printed_name("blsc"), printed_name("fpdc"), printed_name("k2togtbl"), printed_name("p2tog")
    ('sc blo', 'FPdc', 'k2tog tbl', 'p2tog')
    """
    if name in _PRINTED:
        return _PRINTED[name]
    if name.endswith("togtbl"):
        return f"{name[:-3]} tbl"
    if name[:2] in _PREFIXES and len(name) > 3:
        return name[2:] + _PREFIXES[name[:2]]
    return name[:2].upper() + name[2:] if name[:2] in ("fp", "bp") and len(name) > 3 else name


def sign_in(made: Made, row: ChartRow, craft: str, terms: str) -> Sign:
    """Return what stands in a cell of a row.

    Args:
        made: What is made there.
        row: Its row.
        craft: Craft of the stitch pattern.
        terms: Terms of the author.

    Returns:
        The signs, one for each stitch that is made in one place.
    """
    if not made.names:
        return Sign((NO_STITCH_SIGN,), ("",))
    return Sign(tuple(sign_of(name, craft, row.side, terms) for name in made.names), made.names)


def key_of(chart: Chart, craft: str, terms: str) -> list[KeyLine]:
    """Return the key of a chart: the signs that it uses, and no others.

    Args:
        chart: The chart.
        craft: Its craft.
        terms: Terms of the author.

    Returns:
        Signs in the order in which they are worked, then abbreviations, then cells that are no stitch.

    Source: common practice.
    """
    found: dict[tuple[str, str, int], dict[tuple[str, str], None]] = {}
    has_gaps = False
    for row in chart.rows:
        has_gaps = has_gaps or any(not one.names for one in row.cells)
        for made in row.worked:
            is_turning = len(made.names) > 1 and made.width == 1
            for name in () if made.colour or is_turning else made.names:
                sign = sign_of(name, craft, row.side, terms)
                width = made.width if len(made.names) == 1 else 1
                found.setdefault((sign, "" if sign else name, width), {})[name, row.side] = None
    lines = [KeyLine(sign, short, width, _sides(used)) for (sign, short, width), used in found.items()]
    lines.sort(key=lambda line: not line.sign)
    return [*lines, *([KeyLine(NO_STITCH_SIGN, "", 1, ())] if has_gaps else [])]


def _sides(used: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Stitches with the rows in which they are meant; without where the same is worked on both sides."""
    names: dict[str, list[str]] = {}
    for name, side in used:
        names.setdefault(name, []).append(side)
    if len(names) == 1:
        return tuple((name, "") for name in names)
    return tuple((name, BETWEEN_SIDES[sides[0]] if len(sides) == 1 else "") for name, sides in names.items())


# What a row says of a stitch whose name alone is no instruction.
_SAID = {"k": "k1", "p": "p1", "sl": "sl 1", "sl1wyif": "sl 1 wyif", "m1": "m1", "ch": "ch 1"}
_IN_NEXT = {"sl st", "sc", "hdc", "dc", "tr", "dtr", "fpdc", "bpdc"}
# Signs that are drawn over several stitches or in a loop, and are left to be typed.
_TYPED = ("cross", "back_loop", "front_loop", "bobble", "popcorn", "picot")


def words_of_signs(craft: str, terms: str) -> list[tuple[KeyLine, str]]:
    """Return the signs of a craft with the words that a row has for each, as on the right side.

    Args:
        craft: crochet, tunisian or knitting.
        terms: Terms of the author, US or UK.

    Returns:
        A line of the key and the words, in the order of the lists; none for Tunisian work.

    Source: see the module.

    >>> [words for _, words in words_of_signs("crochet", "UK")][:4]
    ['ch 1', 'ss in next st', 'dc in next st', 'htr in next st']
    """
    found = []
    for sign, stitches in _DATA.get(craft, {}).items():
        if sign.startswith(_TYPED):
            continue
        name = stitches["right"][0]
        words = f"{name} in next st" if name in _IN_NEXT else _SAID.get(name, name)
        if terms == "UK" and craft == "crochet":
            name, words = (translate(one, "US", "UK", "crochet") for one in (name, words))
        found.append((KeyLine(sign, name, 1, ((name, ""),)), words))
    return found
