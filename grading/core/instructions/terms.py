"""The words of the trade in US and UK terms: tables, replacement, and the terms a text uses.

A text is in the terms its author chose. Whole terms and abbreviations are replaced, longest first
and all at once, so that nothing is replaced twice. Text in backticks stays as it is.

Source: see `grading.core.instructions.term_tables`.
"""

import re
from collections.abc import Iterator
from functools import cache
from typing import Literal

from grading.core.instructions.abbreviation_tables import BY_CRAFT
from grading.core.instructions.spelling import garments_named, outside_links, spelled
from grading.core.instructions.term_tables import (
    ALSO_UK,
    ALSO_UK_CROCHET,
    ALSO_UK_TUNISIAN,
    ALSO_US,
    ALSO_US_CROCHET,
    ALSO_US_KNITTING,
    ALSO_US_TUNISIAN,
    CROCHET,
    CROCHET_PLURALS,
    KNITTING,
    STITCHES,
    UK_ONLY,
    UK_ONLY_KNITTING,
    US_ONLY,
    US_ONLY_KNITTING,
    Term,
)
from grading.core.pattern.wordings import FIRST_WORDING, NEWEST_WORDING, WIDE_WORDING
from grading.core.printing.edition import Terms

Craft = Literal["crochet", "tunisian", "knitting"]


_PREFIXES = r"(?:fp|bp|ex|e|t)?"
_SUFFIX = r"(?=(?:\d+tog|tog|blo|flo|s)?(?![A-Za-z]))"
_BACKTICKS = re.compile(r"(?<!`)(`++)(.*?)(?<!`)\1(?!`)", re.DOTALL)
_BARE_STITCH = re.compile(r"(?<![A-Za-z])(?:singles?|doubles?)(?= (?:in|into)\b(?! half\b))", re.IGNORECASE)
# The article before an abbreviation that is read letter by letter, by the terms it is put into.
_ARTICLES = {
    "UK": ((re.compile(r"\b([Aa]) (?=ss\b)"), r"\1n "), (re.compile(r"\b([Aa])n (?=d?tr\b|dc\b)"), r"\1 ")),
    "US": ((re.compile(r"\b([Aa])n (?=sl st\b)"), r"\1 "),),
}
_SENTENCE_END = re.compile(r"(?:^|[.!?:]\s+)$")


def term_table(craft: Craft) -> tuple[Term, ...]:
    """Return the pairs of terms that differ between the languages in a craft.

    Args:
        craft: Craft of the pattern.

    Returns:
        Pairs that can be replaced either way without loss.

    Source: see `grading.core.instructions.term_tables`.
    """
    return STITCHES + (KNITTING if craft == "knitting" else CROCHET)


@cache
def _replacements(home: Terms, craft: Craft, wording: int) -> dict[str, Term]:
    """Return what to look for in a text of these terms, in lower case."""
    knitting = craft == "knitting"
    is_tunisian = craft == "tunisian" and wording > 1
    table = term_table(craft) + (CROCHET_PLURALS if wording > 1 and not knitting else ())
    if home == "US":
        also = ALSO_US + (ALSO_US_KNITTING if knitting else ALSO_US_CROCHET)
        also += ALSO_US_TUNISIAN if is_tunisian else ()
        return {term.us.lower(): term for term in also + table}
    also = ALSO_UK + (() if knitting else ALSO_UK_CROCHET) + (ALSO_UK_TUNISIAN if is_tunisian else ())
    return {term.uk.lower(): term for term in also + table}


@cache
def _finder(home: Terms, craft: Craft, wording: int) -> re.Pattern[str]:
    """Return one pattern that finds all terms of a language, the longest first."""
    return _pattern_of(_replacements(home, craft, wording))


@cache
def _known_shorts(craft: Craft) -> frozenset[str]:
    """Return the abbreviations that the craft knows beside its basic stitches, in lower case."""
    return frozenset(short.lower() for short in BY_CRAFT[craft])


def is_known_short(found: re.Match[str], craft: Craft, wording: int) -> bool:
    """Tell whether what was found is the beginning of an abbreviation that it has nothing to do with.

    Args:
        found: A stitch as found in a text.
        craft: Craft of the pattern.
        wording: State of our sentences.

    Returns:
        True for the "tr" of "trs" in Tunisian work, which is the reverse stitch and no plural.
    """
    plural = f"{found.group()}s".lower()
    follows = found.string[found.end() : found.end() + 1] in ("s", "S")
    return wording > 1 and follows and plural in _known_shorts(craft)


def _pattern_of(terms: dict[str, Term]) -> re.Pattern[str]:
    """Return a pattern of three groups: prefix, abbreviation, and word in full."""
    short = sorted((text for text, term in terms.items() if term.abbreviation), key=len)[::-1]
    words = sorted((text for text, term in terms.items() if not term.abbreviation), key=len)[::-1]
    spaced = [re.escape(text).replace(r"\ ", r"\s+") for text in words]
    return re.compile(
        rf"(?<![A-Za-z])(?:({_PREFIXES})({'|'.join(short)}){_SUFFIX}"
        rf"|({'|'.join(spaced)})(?![A-Za-z]))",
        re.IGNORECASE,
    )


def outside_backticks(text: str) -> Iterator[tuple[str, int, bool]]:
    """Cut a text at its backticks.

    Args:
        text: Words of a step.

    Yields:
        Each stretch, its offset from 0, and whether it stands in backticks.

    >>> list(outside_backticks("a `b` c"))
    [('a ', 0, False), ('`b`', 2, True), (' c', 5, False)]
    """
    place = 0
    for found in _BACKTICKS.finditer(text):
        if found.start() > place:
            yield text[place : found.start()], place, False
        yield found.group(), found.start(), True
        place = found.end()
    if place < len(text):
        yield text[place:], place, False


def cut_at_left_alone(text: str, wording: int = NEWEST_WORDING) -> Iterator[tuple[str, int, bool]]:
    """Cut a text at what is left alone: backticks, and web addresses after the second wording.

    Args:
        text: Words of a step.
        wording: State of our sentences.

    Yields:
        Each stretch, its offset from 0, and whether it is left alone.

    >>> list(cut_at_left_alone("`a` b https://larkmoss.example/dc"))
    [('`a`', 0, True), (' b ', 3, False), ('https://larkmoss.example/dc', 6, True)]
    """
    for stretch, start, quoted in outside_backticks(text):
        if quoted or wording <= WIDE_WORDING:
            yield stretch, start, quoted
        else:
            yield from ((one, start + place, is_link) for one, place, is_link in outside_links(stretch))


def translate(text: str, home: Terms, wanted: Terms, craft: Craft, wording: int = NEWEST_WORDING) -> str:
    """Put a text into the terms of an edition.

    Args:
        text: Words in the author's terms.
        home: The author's terms.
        wanted: The terms of the edition.
        craft: Craft of the pattern.
        wording: State of our sentences.

    Returns:
        The text with whole terms and abbreviations replaced, those in backticks left alone;
        after the second wording those in web addresses as well.

    Source: see `grading.core.instructions.term_tables`.

    >>> translate("Dc in next st, 2 hdc, sc2tog, FPdc.", "US", "UK", "crochet")
    'Tr in next st, 2 htr, dc2tog, FPtr.'
    >>> translate("Join with a sl st.", "US", "UK", "crochet")
    'Join with an ss.'
    """
    if home == wanted:
        return text
    finder, table = _finder(home, craft, wording), _replacements(home, craft, wording)

    def replace(found: re.Match[str]) -> str:
        if is_known_short(found, craft, wording):
            return found.group()
        prefix, short, words = found.group(1) or "", found.group(2), found.group(3)
        typed = short or words
        term = table[" ".join(typed.lower().split())]
        return prefix + _like(typed, term.uk if wanted == "UK" else term.us, found)

    def in_terms(stretch: str) -> str:
        replaced = finder.sub(replace, stretch)
        if wording == FIRST_WORDING:
            return replaced
        if wording > WIDE_WORDING:
            for found, article in _ARTICLES[wanted]:
                replaced = found.sub(article, replaced)
        return garments_named(spelled(replaced, wanted, wording), wanted, wording)

    return "".join(
        stretch if quoted else in_terms(stretch) for stretch, _, quoted in cut_at_left_alone(text, wording)
    )


def _like(typed: str, replacement: str, found: re.Match[str]) -> str:
    """Give a replacement the capitals of the term that was typed."""
    start = found.start()
    if typed.isupper() and len(typed) > 1:
        if " " in typed or " " not in replacement:
            return replacement.upper()
        capital = _SENTENCE_END.search(found.string[max(0, start - 4) : start]) is not None
    else:
        capital = typed[0].isupper()
    return replacement[:1].upper() + replacement[1:] if capital else replacement


def terms_used(text: str, home: Terms, craft: Craft, wording: int = NEWEST_WORDING) -> list[tuple[str, str]]:
    """Return the terms of a text that read differently in the other language.

    Args:
        text: Words in the author's terms.
        home: The author's terms.
        craft: Craft of the pattern.
        wording: State of our sentences.

    Returns:
        Pairs (the author's term, the other language's term), in alphabetical order, once each.

    >>> terms_used("1 dc, 3 Dc, skip 1", "US", "crochet")
    [('dc', 'tr'), ('skip', 'miss')]
    """
    table = _replacements(home, craft, wording)
    found: dict[str, str] = {}
    for match in _terms_in(text, home, craft, wording):
        term = table[" ".join((match.group(2) or match.group(3)).lower().split())]
        mine, theirs = (term.us, term.uk) if home == "US" else (term.uk, term.us)
        if mine != theirs:
            found[mine] = theirs
    return sorted(found.items())


def _terms_in(text: str, home: Terms, craft: Craft, wording: int) -> Iterator[re.Match[str]]:
    """Find the terms of a language outside backticks and web addresses."""
    for stretch, _, quoted in cut_at_left_alone(text, wording):
        if not quoted:
            found = _finder(home, craft, wording).finditer(stretch)
            yield from (one for one in found if not is_known_short(one, craft, wording))


@cache
def _foreign_finder(home: Terms, craft: Craft) -> re.Pattern[str]:
    """Return a pattern that finds what only the other language knows."""
    words: tuple[str, ...] = UK_ONLY if home == "US" else US_ONLY
    if craft == "knitting":
        words += UK_ONLY_KNITTING if home == "US" else US_ONLY_KNITTING
    return _pattern_of({word: Term(word, word, word.isalpha() and len(word) < 4) for word in words})


def doubtful_terms(text: str, home: Terms, craft: Craft) -> list[tuple[int, str]]:
    """Find terms that can't be told apart between the two languages.

    Args:
        text: Words in the author's terms.
        home: The author's terms.
        craft: Craft of the pattern.

    Returns:
        Offsets (from 0) with one sentence each: a term that only the other language knows, or a
        stitch called "single" or "double" alone.

    >>> doubtful_terms("2 htr in next st", "US", "crochet")[0][0]
    2
    """
    other = "UK" if home == "US" else "US"
    found: list[tuple[int, str]] = []
    for stretch, start, quoted in cut_at_left_alone(text, NEWEST_WORDING):
        if quoted:
            continue
        for match in _foreign_finder(home, craft).finditer(stretch):
            says = f"“{match.group()}” is a {other} term in a pattern in {home} terms: use the {home} term."
            found.append((start + match.start(), says))
        for match in _BARE_STITCH.finditer(stretch):
            says = f"“{match.group()}” differs between US and UK terms: write the term in full."
            found.append((start + match.start(), says))
    return sorted(found)
