"""The abbreviations that a printed text uses, with what they mean in its terms."""

import re
from collections.abc import Iterator, Mapping
from functools import cache

from grading.core.instructions.abbreviation_tables import BY_CRAFT, STITCH_BASES, STITCH_PREFIXES
from grading.core.instructions.terms import Craft, is_known_short, translate
from grading.core.pattern.wordings import NEWEST_WORDING
from grading.core.printing.edition import Terms

_TOGETHER = re.compile(r"(?<![A-Za-z])([kKpP])(\d+)tog(?![A-Za-z])")


def abbreviations_used(
    text: str, terms: Terms, craft: Craft, own: Mapping[str, str], wording: int = NEWEST_WORDING
) -> list[tuple[str, str]]:
    """List the abbreviations in a text.

    Args:
        text: Printed words, in the terms given.
        terms: Terms of the text.
        craft: Craft of the pattern.
        own: The author's own abbreviations in the same terms; they win over the usual meaning.
        wording: State of our sentences.

    Returns:
        Pairs (abbreviation, meaning), each once, in alphabetical order; words that are written out
        in these terms ("cast off") explain themselves and are left out.

    Source: see `grading.core.instructions.abbreviation_tables`.

    >>> abbreviations_used("Ch 3, 1 dc in next st, dc2tog.", "US", "crochet", {})[1:3]
    [('dc', 'double crochet'), ('dc2tog', 'double crochet 2 together')]
    """
    mine, others = _own(text, own)
    found = {**dict(_usual(others, terms, craft, wording)), **dict(_stitches(others, terms, craft, wording))}
    if craft == "knitting":
        found |= dict(_knitted_together(others))
    found |= mine
    spelling = ("colour", "color") if terms == "US" else ("", "")
    pairs = [
        (short, meaning.replace(*spelling))
        for short, meaning in found.items()
        if short.casefold() != meaning.casefold()
    ]
    return sorted(pairs, key=lambda pair: (pair[0].casefold(), pair[0]))


def without_known(text: str, terms: Terms, craft: Craft, own: Mapping[str, str]) -> str:
    """Blank the abbreviations that some list has, so that the others can be looked at in their places.

    Args:
        text: Words in the terms given.
        terms: Terms of the text.
        craft: Craft of the pattern.
        own: The author's own abbreviations in the same terms.

    Returns:
        A text of the same length.

    Source: see `grading.core.instructions.abbreviation_tables`.

    >>> without_known("1 dc, 1 Tds", "US", "crochet", {})
    '1   , 1 Tds'
    """
    finders = [_own_finder(short) for short in sorted(own, key=len, reverse=True)]
    finders += [_stitch_finder(terms, craft), _finder(terms, craft, NEWEST_WORDING)]
    if craft == "knitting":
        finders.append(_TOGETHER)
    for finder in finders:
        text = finder.sub(lambda found: " " * len(found.group()), text)
    return text


def _own_finder(short: str) -> re.Pattern[str]:
    """Return a pattern that finds an abbreviation of the author's own."""
    return re.compile(rf"(?<![A-Za-z]){_either_capital(short)}(?:s|\d*)(?![A-Za-z])")


def _own(text: str, own: Mapping[str, str]) -> tuple[dict[str, str], str]:
    """Find the author's own abbreviations, longest first; and the text with what they mean in their place."""
    found: dict[str, str] = {}
    for short in sorted(own, key=len, reverse=True):
        text, count = _own_finder(short).subn("\n", text)
        if count:
            found[short] = own[short]
    return found, "\n".join([text, *found.values()])


@cache
def _meanings(terms: Terms, craft: Craft, wording: int) -> dict[str, str]:
    """Return the usual abbreviations and their meanings in these terms."""
    return {
        translate(short, "US", terms, craft, wording): translate(meaning, "US", terms, craft)
        for short, meaning in BY_CRAFT[craft].items()
        if short != "sk" or terms == "US"
    }


@cache
def _finder(terms: Terms, craft: Craft, wording: int) -> re.Pattern[str]:
    """Return a pattern that finds the usual abbreviations, the longest first."""
    shorts = sorted(_meanings(terms, craft, wording), key=len, reverse=True)
    alternatives = "|".join(_either_capital(short) for short in shorts)
    return re.compile(rf"(?<![A-Za-z])({alternatives})(?=s?(?![A-Za-z]))")


def _either_capital(short: str) -> str:
    """Return a pattern for an abbreviation that may begin a sentence."""
    if not short[:1].islower() or not short.islower():
        return re.escape(short)
    return f"[{short[0]}{short[0].upper()}]{re.escape(short[1:])}"


def _usual(text: str, terms: Terms, craft: Craft, wording: int) -> Iterator[tuple[str, str]]:
    """Find the usual abbreviations; those of Tunisian work keep the capital they are written with."""
    meanings = _meanings(terms, craft, wording)
    for found in _finder(terms, craft, wording).finditer(text):
        typed = found.group(1)
        if typed in ("st", "tog") and _ends_number(text, found, wording):
            continue
        short = typed if typed in meanings else typed[0].lower() + typed[1:]
        meaning = meanings[short]
        yield (typed if meaning.startswith("Tunisian") else short), meaning


def _ends_number(text: str, found: re.Match[str], wording: int) -> bool:
    """Tell whether letters only end a number or a count: 1st, dc2tog, dc2togs; but not 12sts."""
    before, after = text[max(0, found.start() - 1) : found.start()], text[found.end() : found.end() + 1]
    return before.isdigit() and (after != "s" or (wording > 1 and found.group(1) == "tog"))


@cache
def _stitch_finder(terms: Terms, craft: Craft) -> re.Pattern[str]:
    """Return a pattern for stitches with prefixes and numbers worked together."""
    bases = sorted((translate(base, "US", terms, craft) for base in STITCH_BASES), key=len, reverse=True)
    prefixes = "|".join(_either_capital(prefix) for prefix in STITCH_PREFIXES)
    together = r"(?:(\d+)tog)?(?=s?(?![A-Za-z]))"
    return re.compile(rf"(?<![A-Za-z])({prefixes})?({'|'.join(map(_either_capital, bases))}){together}")


def _stitches(text: str, terms: Terms, craft: Craft, wording: int) -> Iterator[tuple[str, str]]:
    """Find the crochet stitches: alone, with a prefix, worked together."""
    bases = {
        translate(base, "US", terms, craft): translate(meaning, "US", terms, craft)
        for base, meaning in STITCH_BASES.items()
    }
    for found in _stitch_finder(terms, craft).finditer(text):
        if is_known_short(found, craft, wording):
            continue
        prefix, base, together = found.group(1) or "", found.group(2).lower(), found.group(3)
        words = STITCH_PREFIXES.get(prefix) or STITCH_PREFIXES.get(prefix.lower(), "")
        short = prefix + base + (f"{together}tog" if together else "")
        meaning = f"{words} {bases[base]}".strip() + (f" {together} together" if together else "")
        yield short, meaning


def _knitted_together(text: str) -> Iterator[tuple[str, str]]:
    """Find stitches knitted or purled together."""
    for found in _TOGETHER.finditer(text):
        letter, count = found.group(1).lower(), found.group(2)
        yield f"{letter}{count}tog", f"{'knit' if letter == 'k' else 'purl'} {count} together"
