"""The abbreviations that a printed text uses, with what they mean in its terms."""

import re
from collections.abc import Iterator, Mapping
from functools import cache

from grading.core.instructions.abbreviation_tables import (
    BY_CRAFT,
    KNITTING_SINCE,
    STITCH_BASES,
    STITCH_PREFIXES,
    TUNISIAN_SINCE,
)
from grading.core.instructions.terms import Craft, is_known_short, translate
from grading.core.pattern.wordings import NEWEST_WORDING, WIDE_WORDING
from grading.core.printing.edition import Terms

# Several Tunisian stitches worked as one: Tss2tog, TKS3tog.
_TUNISIAN_TOGETHER = re.compile(
    r"(?<![A-Za-z])([tT])([skpf]s|[SKPF]S)(\d+)tog(?=s?(?![A-Za-z]))",
)
_TOGETHER_AFTER = re.compile(r"\d+tog(?![A-Za-rt-z])")
# How often the yarn is laid over the hook before a stitch begins, and how many pairs of loops close first.
_WRAPS = {"sc": (0, 0), "hdc": (1, 0), "dc": (1, 1), "tr": (2, 2), "dtr": (3, 3), "trtr": (4, 4)}
_TUNISIAN_STITCH = {"s": "simple", "k": "knit", "p": "purl", "f": "full"}
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

    >>> abbreviations_used("Ch 3, 1 dc in next st, sc2tog.", "US", "crochet", {})[1:3]
    [('dc', 'double crochet'), ('sc2tog', 'single crochet 2 together: [draw up a loop in the next stitch] \
twice, yarn over, draw through all loops')]
    """
    mine, others = _own(text, own)
    found = {**dict(_usual(others, terms, craft, wording)), **dict(_stitches(others, terms, craft, wording))}
    if craft == "knitting":
        found |= dict(_knitted_together(others))
    if craft == "tunisian" and wording > 1:
        found |= dict(_tunisian_together(others))
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
    if craft == "tunisian":
        finders.insert(0, _TUNISIAN_TOGETHER)
    for finder in finders:
        text = finder.sub(lambda found: " " * len(found.group()), text)
    return text


def _own_finder(short: str) -> re.Pattern[str]:
    """Return a pattern that finds an abbreviation of the author's own."""
    return re.compile(rf"(?<![A-Za-z]){_either_capital(short)}(?:s|\d*)(?![A-Za-z])")


def uses_own(short: str, text: str) -> bool:
    """Tell whether a text has an abbreviation of the author's own.

    Args:
        short: The abbreviation.
        text: Words in its terms.

    Returns:
        True for its plural and with a number too.

    >>> uses_own("fsc", "12 fscs, turn."), uses_own("fsc", "1 sc")
    (True, False)
    """
    return _own_finder(short).search(text) is not None


def _own(text: str, own: Mapping[str, str]) -> tuple[dict[str, str], str]:
    """Find the author's own abbreviations, longest first; and the text with what they mean in their place."""
    found: dict[str, str] = {}
    for short in sorted(own, key=len, reverse=True):
        text, count = _own_finder(short).subn("\n", text)
        if count:
            found[short] = own[short]
    return found, "\n".join([text, *found.values()])


def _since(craft: Craft, wording: int) -> Mapping[str, str]:
    """Return the abbreviations that have come in, or are told better, since the first wording."""
    if craft == "knitting" and wording > WIDE_WORDING:
        return KNITTING_SINCE
    return TUNISIAN_SINCE if craft == "tunisian" and wording > 1 else {}


@cache
def _meanings(terms: Terms, craft: Craft, wording: int) -> dict[str, str]:
    """Return the usual abbreviations and their meanings in these terms."""
    return {
        translate(short, "US", terms, craft, wording): translate(meaning, "US", terms, craft)
        for short, meaning in {**BY_CRAFT[craft], **_since(craft, wording)}.items()
        if short != "sk" or terms == "US"
    }


@cache
def _finder(terms: Terms, craft: Craft, wording: int) -> re.Pattern[str]:
    """Return a pattern that finds the usual abbreviations, the longest first."""
    shorts = sorted(_meanings(terms, craft, wording), key=len, reverse=True)
    capitals = [short.upper() for short in shorts if _is_written_in_capitals(short, craft, wording)]
    alternatives = "|".join([*capitals, *(_either_capital(short) for short in shorts)])
    return re.compile(rf"(?<![A-Za-z])({alternatives})(?=s?(?![A-Za-z]))")


def _is_written_in_capitals(short: str, craft: Craft, wording: int) -> bool:
    """Tell whether an abbreviation is often written in capitals: TSS, TKS."""
    return craft == "tunisian" and wording > 1 and re.fullmatch(r"t[a-z]{1,3}s", short) is not None


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
        if wording > 1 and _TOGETHER_AFTER.match(text, found.end()):
            continue
        short = next(one for one in (typed, typed[0].lower() + typed[1:], typed.lower()) if one in meanings)
        meaning = meanings[short]
        is_kept = meaning.startswith("Tunisian") or (wording > 1 and "Tunisian" in meaning)
        yield (typed if is_kept else short), meaning


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
    base_us = {translate(base, "US", terms, craft): base for base in STITCH_BASES}
    for found in _stitch_finder(terms, craft).finditer(text):
        if is_known_short(found, craft, wording):
            continue
        prefix, base, together = found.group(1) or "", found.group(2).lower(), found.group(3)
        words = STITCH_PREFIXES.get(prefix) or STITCH_PREFIXES.get(prefix.lower(), "")
        short = prefix + base + (f"{together}tog" if together else "")
        meaning = f"{words} {bases[base]}".strip() + (f" {together} together" if together else "")
        if together and not prefix and wording > WIDE_WORDING:
            meaning += translate(f": {_method(base_us[base], int(together))}", "US", terms, craft)
        yield short, meaning


def _method(base: str, count: int) -> str:
    """Return how a stitch is worked over several stitches, in US terms.

    Source: common practice, from memory.
    """
    wraps, closings = _WRAPS[base]
    before = {0: "", 1: "yarn over, "}.get(wraps, f"yarn over {wraps} times, ")
    after = {0: "", 1: ", yarn over, draw through 2 loops"}.get(
        closings, f", (yarn over, draw through 2 loops) {closings} times"
    )
    times = "twice" if count == 2 else f"{count} times"
    return f"[{before}draw up a loop in the next stitch{after}] {times}, yarn over, draw through all loops"


def _tunisian_together(text: str) -> Iterator[tuple[str, str]]:
    """Find Tunisian stitches that are worked together, as they are written."""
    for found in _TUNISIAN_TOGETHER.finditer(text):
        name, count = _TUNISIAN_STITCH[found.group(2)[0].lower()], found.group(3)
        yield found.group(), f"Tunisian {name} stitch over {count} stitches together"


def _knitted_together(text: str) -> Iterator[tuple[str, str]]:
    """Find stitches knitted or purled together."""
    for found in _TOGETHER.finditer(text):
        letter, count = found.group(1).lower(), found.group(2)
        yield f"{letter}{count}tog", f"{'knit' if letter == 'k' else 'purl'} {count} together"
