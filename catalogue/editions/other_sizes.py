"""Sentences about sizes that an edition does not have: in that of one size they are left out."""

import re
from collections.abc import Sequence

from catalogue.editions.sources import Source
from grading.core.pattern.wordings import WIDE_WORDING

_BETWEEN_SENTENCES = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")
_JOINED = re.compile(r"(?:,? (?P<joint>and|or|to) |, )")
# More sizes than the named ones may be meant.
_MORE = re.compile(r" ?[-–—+]| (?:through|and|or|to|upwards?|onwards?)\b")


def without_other_sizes(text: str, source: Source) -> str:
    """What is said of the pattern, without sentences that begin with sizes of which the edition has none.

    Sizes that a sentence names further on are no matter: “in size 8y, a drawing” is true in every edition.
    """
    if source.edition.only is None or source.facts.pattern.wording <= WIDE_WORDING:
        return text
    sentences = _BETWEEN_SENTENCES.split(text)
    kept = [one for one in sentences if _holds(one, source.facts.pattern.sizes, source.sizes)]
    return text if len(kept) == len(sentences) else " ".join(kept)


def _holds(sentence: str, every: Sequence[str], kept: Sequence[str]) -> bool:
    """Whether a sentence begins with no size, or with one that is kept."""
    named = sizes_at_start(sentence, every)
    return not named or not set(named).isdisjoint(kept)


def sizes_at_start(sentence: str, sizes: Sequence[str]) -> list[str]:
    """The sizes that a sentence begins with; those between two that are joined by “to” are among them.

    None where more may be meant than are named: “Sizes M and up”.

    >>> sizes_at_start("Size 2y closes with tape.", ["2y", "4y", "6y"])
    ['2y']
    >>> sizes_at_start("Sizes 4y to 8y have buttons.", ["2y", "4y", "6y", "8y"])
    ['4y', '6y', '8y']
    >>> sizes_at_start("Sizes run large.", ["2y", "4y"])
    []
    >>> sizes_at_start("Sizes M and up have a zip.", ["S", "M", "L"])
    []
    >>> sizes_at_start("Size 0 to 3 months closes with tape.", ["0 to 3 months", "3 to 6 months"])
    ['0 to 3 months']
    """
    label = "|".join(re.escape(size) for size in sorted(sizes, key=len, reverse=True))
    found = re.match(rf"Sizes? ({label})(?!\w)", sentence)
    named: list[str] = []
    joint, at = "", 0
    while found:
        size, at = found[found.lastindex or 0], found.end()
        start = sizes.index(named[-1]) + 1 if joint == "to" else sizes.index(size)
        named.extend(sizes[start : sizes.index(size) + 1])
        joined = re.compile(rf"{_JOINED.pattern}({label})(?!\w)").match(sentence, at)
        joint = joined["joint"] or "" if joined else ""
        found = joined
    return [] if _MORE.match(sentence, at) else named
