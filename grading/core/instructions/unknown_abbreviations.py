"""Abbreviations that a step uses and no list explains."""

import re
from collections.abc import Iterator, Mapping

from grading.core.instructions.abbreviations import without_known
from grading.core.instructions.term_tables import UK_ONLY, US_ONLY
from grading.core.instructions.terms import Craft, cut_at_left_alone
from grading.core.printing.edition import Terms

# No English word has no vowel, so what has none is short for something. Source: derived.
_SHORT = re.compile(
    r"(?<![A-Za-z'’])(?:[eE](?=(?:h?dc|h?tr|sc|t[kpfd]s|tss)))?"
    r"[yY]?[b-df-hj-np-tv-xzB-DF-HJ-NP-TV-XZ]{2,7}(?:\d+tog)?(?![A-Za-z'’])"
)
# Letters on both sides of a number are short for something too: k2togtbl. Source: derived.
_GLUED = re.compile(r"(?<![\w'’-])[A-Za-z]+\d+[A-Za-z]\w*(?![\w'’])")
# No English word begins with other three consonants than these: skpo, JSSBO. Source: derived.
_CLUSTER = re.compile(
    r"(?<![\w'’-])(?!chr|phl|phr|sch|scl|scr|shr|sph|spl|spr|str|thr|thw|tsk)"
    r"[b-df-hj-np-tv-xz]{3}[a-z]{1,5}(?![\w'’])",
    re.IGNORECASE,
)
# What is short and no abbreviation of the trade: units, numbers, sizes. Source: common practice.
_EVERYDAY = frozenset(
    {"cm", "dk", "ft", "kg", "lb", "lbs", "ltd", "ml", "mm", "mr", "mrs", "nb", "nth", "oz", "pdf", "ply",
     "pt", "pts", "sm", "tv", "vs", "wpi", "xl", "xs", "xxl", "xxs", "xxxl", "yd", "yds"}
)  # fmt: skip
_ORDINALS = frozenset({"st", "nd", "rd", "th"})
# Forms of the trade's abbreviations that only the tables of terms know.
_OTHER_FORMS = frozenset({"slst", "yrh", "yrn"}) | {
    short for short in (*US_ONLY, *UK_ONLY) if " " not in short
}


def unknown_abbreviations(
    words: str, terms: Terms, craft: Craft, own: Mapping[str, str], sizes: tuple[str, ...] = ()
) -> Iterator[tuple[int, str]]:
    """Find abbreviations that are in no list.

    Args:
        words: A step with its references blanked.
        terms: Terms of the text.
        craft: Craft of the pattern.
        own: The author's own abbreviations.
        sizes: Labels of sizes, which are none.

    Returns:
        For each the place where it stands first, and a sentence.

    Source: derived.

    >>> list(unknown_abbreviations("Ch 3, 2 Tds in next st.", "US", "crochet", {}))[0][0]
    8
    """
    seen: set[str] = set()
    labels = {label.casefold() for label in sizes}
    for stretch, start, quoted in cut_at_left_alone(words):
        if quoted:
            continue
        others = without_known(stretch, terms, craft, own)
        glued = [one for one in _GLUED.finditer(stretch) if not _is_known(one.group(), terms, craft, own)]
        spans = [one.span() for one in glued]
        apart = (
            one
            for one in (*_SHORT.finditer(others), *_CLUSTER.finditer(others))
            if not any(first <= one.start() < last for first, last in spans)
        )
        for found in sorted((*glued, *apart), key=re.Match.start):
            short, before = found.group(), stretch[max(0, found.start() - 1) : found.start()]
            if short in seen or short.casefold() in _EVERYDAY | _OTHER_FORMS | labels:
                continue
            if before.isdigit() and short.casefold() in _ORDINALS:
                continue
            seen.add(short)
            yield start + found.start(), unknown_words(short, terms, craft, own)


def _is_known(short: str, terms: Terms, craft: Craft, own: Mapping[str, str]) -> bool:
    """Whether some list has every part of an abbreviation, or of one of which there are several."""
    return any(
        re.search("[A-Za-z]", without_known(one, terms, craft, own)) is None
        for one in (short, short.removesuffix("s"))
    )


def unknown_words(short: str, terms: Terms, craft: Craft, own: Mapping[str, str]) -> str:
    """Say that no list explains an abbreviation, or that one does so in small letters.

    Args:
        short: The abbreviation as typed.
        terms: Terms of the text.
        craft: Craft of the pattern.
        own: The author's own abbreviations.

    Source: derived.

    >>> unknown_words("PM", "US", "knitting", {})
    'The list of abbreviations has “pm” in small letters: write it so, and the list explains it.'
    """
    small = short.lower()
    if short.isupper() and not without_known(small, terms, craft, own).strip():
        return (
            f"The list of abbreviations has “{small}” in small letters: "
            "write it so, and the list explains it."
        )
    return (
        f"“{short}” is in no list of abbreviations: write it out, "
        "or add it to the pattern’s own abbreviations."
    )
