"""Short words in capitals, such as BOR, that a step uses and nothing in the pattern explains."""

import re
from collections.abc import Iterator, Mapping

from grading.core.instructions.abbreviations import without_known
from grading.core.instructions.terms import Craft, cut_at_left_alone
from grading.core.instructions.unknown_abbreviations import unknown_words
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.edition import Terms

# With a vowel: what has none is found as an abbreviation anyway, whatever its case. Source: derived.
_CAPITALS = re.compile(r"(?<![A-Za-z'’-])(?:(?=[A-Z]*[AEIOUY])[A-Z]{2,4}|SM)(?![A-Za-z'’-])")
_ROMAN = re.compile(r"[IVX]+")
# English words that are written large for emphasis, and what everybody knows. Source: common practice.
_PLAIN = frozenset(
    re.findall(
        r"\w+",
        """
    A4 A5 ALL ALSO AND ANY AT BACK BE BOTH BY CARE CAST CUT DO DONE EACH ECO EDGE ELSE END ENDS EU
    EVEN FIRM FIT FOR FROM HAVE HERE HOLD HOOK ID IF IN INTO IS IT ITS JOIN KEEP KNIT LAST LEFT LESS
    LIKE LOOP MAKE MIND MORE MOST MUST NEW NEXT NO NOR NOT NOTE NOW ODD OF OFF OK ON ONCE ONE ONLY
    OR OUT OVER PDF PICK PULL READ REST ROW ROWS SAME SEE SEW SIDE SIX SIZE SKIP SLIP SO STOP TAKE
    TEN THAN THAT THE THEM THEN THIS TIME TIP TO TOO TOP TURN TWO UK UP US USE WARN WORK WRAP YARN
    YOU YOUR
        """,
    )
)
# No English word is so written: they are found in a sentence written large too.
_NEVER_WORDS = frozenset({"BOR", "EOR"})
_SHOUTED = re.compile(r"(?:[A-Z]{2,}[ ,]+)+[A-Z]{2,}")
_LONG = re.compile(r"[A-Z]{5,}")
# “beginning of round (BOR)”, “BOR = beginning of round”, “BOR: …”, “BOR means …”.
_EXPLAINED = re.compile(
    r"\w \(([A-Z]{2,4})\)|\b([A-Z]{2,4}) ?(?:=|:|\bmeans\b|\bstands for\b|\bis short for\b)"
)


def explained_capitals(pattern: PatternFile) -> frozenset[str]:
    """Return the short words in capitals that some step of a pattern explains."""
    found = (
        one for section in pattern.sections for step in section.steps for one in _EXPLAINED.findall(step)
    )
    return frozenset(short for pair in found for short in pair if short)


def unknown_capitals(
    words: str, terms: Terms, craft: Craft, own: Mapping[str, str], known: frozenset[str] = frozenset()
) -> Iterator[tuple[int, str]]:
    """Find short words in capitals that nothing explains.

    Args:
        words: A step with its references blanked.
        terms: Terms of the text.
        craft: Craft of the pattern.
        own: The author's own abbreviations.
        known: Labels of sizes, and what the pattern explains elsewhere.

    Returns:
        For each the place where it stands first, and a sentence.

    Source: common practice: BOR, EOR, PM and SM are the usual ones of knitting in the round.

    >>> [place for place, _ in unknown_capitals("To BOR, SM. DO NOT turn.", "US", "knitting", {})]
    [3, 8]
    """
    seen: set[str] = set()
    for stretch, start, quoted in cut_at_left_alone(words):
        if quoted:
            continue
        shouted = [found.span() for found in _SHOUTED.finditer(stretch) if _is_shouted(found.group())]
        for found in _CAPITALS.finditer(without_known(stretch, terms, craft, own)):
            short = found.group()
            if short in seen | _PLAIN | known or _ROMAN.fullmatch(short):
                continue
            is_shouted = any(first <= found.start() < last for first, last in shouted)
            if is_shouted and short not in _NEVER_WORDS:
                continue
            seen.add(short)
            yield start + found.start(), unknown_words(short, terms, craft, own)


def _is_shouted(words: str) -> bool:
    """Whether words in capitals are a sentence written large: most of them are plain English or long."""
    typed = re.findall(r"[A-Z]+", words)
    return 2 * sum(word in _PLAIN or _LONG.fullmatch(word) is not None for word in typed) > len(typed)
