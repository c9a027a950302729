"""Sentences about sizes that an edition does not have: in that of one size they are left out."""

import re
from collections.abc import Sequence

from catalogue.editions.sources import Source
from grading.core.pattern.wordings import WIDE_WORDING

_BETWEEN_SENTENCES = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")
_JOINED = re.compile(r",? (?:and|or|to) |, ")


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

    >>> sizes_at_start("Size 2y closes with tape.", ["2y", "4y", "6y"])
    ['2y']
    >>> sizes_at_start("Sizes 4y to 8y have buttons.", ["2y", "4y", "6y", "8y"])
    ['4y', '6y', '8y']
    >>> sizes_at_start("Sizes run large.", ["2y", "4y"])
    []
    """
    label = "|".join(re.escape(size) for size in sorted(sizes, key=len, reverse=True))
    found = re.match(rf"Sizes? ((?:{label})(?:(?:{_JOINED.pattern})(?:{label}))*)(?!\w)", sentence)
    if found is None:
        return []
    first, *others = re.split(rf"({_JOINED.pattern})", found[1])
    named = [first]
    for joint, size in zip(others[::2], others[1::2], strict=True):
        start = sizes.index(named[-1]) + 1 if joint.strip() == "to" else sizes.index(size)
        named.extend(sizes[start : sizes.index(size) + 1])
    return named
