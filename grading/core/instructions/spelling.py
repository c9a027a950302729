"""Spelling of a few words that patterns use often, American or British."""

import re
from collections.abc import Iterator

from grading.core.pattern.wordings import NEWEST_WORDING, WIDE_WORDING
from grading.core.printing.edition import Terms

# Beginnings of words with the vowels that differ. Source: common practice.
_FORMS = (
    r"\b(?P<head>(?:multi)?col){vowel}(?=(?:s|ed|ing|ful|less|ways?|work)?\b)|\b(?P<grey>gr){grey}(?=ys?\b)"
)
_LINK = re.compile(r"\b(?:https?://|www\.)\S+", re.IGNORECASE)
# Up to the second wording.
_WIDE_LINK = re.compile(r"https?://\S+")
_US = re.compile(_FORMS.format(vowel="(?P<vowel>or)", grey="a"), re.IGNORECASE)
_UK = re.compile(_FORMS.format(vowel="(?P<vowel>our)", grey="e"), re.IGNORECASE)

# After the second wording: centre and center, with their plurals.
_MIDDLE = {
    "US": re.compile(r"\b(cent)(re)(?=s?\b)", re.IGNORECASE),
    "UK": re.compile(r"\b(cent)(er)(?=s?\b)", re.IGNORECASE),
}

# Garments by their names in the US and the UK. Source: common practice.
_GARMENTS = (("sweater", "jumper"), ("turtleneck", "polo neck"))


def garments_named(text: str, wanted: Terms, wording: int = NEWEST_WORDING) -> str:
    """Name garments as makers of the other terms do; up to the second wording they stay as they are.

    Args:
        text: Words of the author, who writes in the other terms.
        wanted: The terms of the edition: US or UK.
        wording: State of our sentences.

    Returns:
        The text; a word keeps its capital and its plural.

    Source: common practice.

    >>> garments_named("Raglan jumper. Jumpers with a polo neck", "US")
    'Raglan sweater. Sweaters with a turtleneck'
    >>> garments_named("A sweater", "UK"), garments_named("A jumper", "US", 2)
    ('A jumper', 'A jumper')
    """
    if wording <= WIDE_WORDING:
        return text
    for american, british in _GARMENTS:
        old, new = (british, american) if wanted == "US" else (american, british)
        for one, other in ((old, new), (old.capitalize(), new.capitalize())):
            text = re.sub(rf"\b{one}(?=s?\b)", other, text)
    return text


def outside_links(text: str, wording: int = NEWEST_WORDING) -> Iterator[tuple[str, int, bool]]:
    """Cut a text at its web addresses, in which no word means anything.

    Args:
        text: Words of the author.
        wording: State of our sentences; up to the second only "http://" and "https://" begin an address.

    Yields:
        Each stretch, its offset from 0, and whether it is an address.

    >>> list(outside_links("see www.larkmoss.example/dc now"))
    [('see ', 0, False), ('www.larkmoss.example/dc', 4, True), (' now', 27, False)]
    """
    place = 0
    for found in (_LINK if wording > WIDE_WORDING else _WIDE_LINK).finditer(text):
        if found.start() > place:
            yield text[place : found.start()], place, False
        yield found.group(), found.start(), True
        place = found.end()
    if place < len(text):
        yield text[place:], place, False


def spelled(text: str, wanted: Terms, wording: int = NEWEST_WORDING) -> str:
    """Put color, gray and center, and words made from them, into the spelling of the terms of an edition.

    Args:
        text: Words of the author.
        wanted: The terms of the edition: US or UK.
        wording: State of our sentences.

    Returns:
        The text; a word in capitals keeps them.

    Source: common practice.

    >>> spelled("Colors: two-colored, in gray", "UK"), spelled("COLOUR, Grey", "US")
    ('Colours: two-coloured, in grey', 'COLOR, Gray')
    >>> spelled("Center back, centers", "UK"), spelled("CENTRE of the centred motif", "US")
    ('Centre back, centres', 'CENTER of the centred motif')
    >>> spelled("Colorwork as on https://larkmoss.example/color", "UK")
    'Colourwork as on https://larkmoss.example/color'
    """
    finder, vowel, grey = (_US, "our", "e") if wanted == "UK" else (_UK, "or", "a")

    def put(found: re.Match[str]) -> str:
        if found["grey"]:
            return found["grey"] + (grey.upper() if found.group()[-1].isupper() else grey)
        return found["head"] + (vowel.upper() if found["vowel"].isupper() else vowel)

    def in_middle(found: re.Match[str]) -> str:
        ending = "er" if wanted == "US" else "re"
        return found[1] + (ending.upper() if found[2].isupper() else ending)

    def put_all(stretch: str) -> str:
        put_in = finder.sub(put, stretch)
        return _MIDDLE[wanted].sub(in_middle, put_in) if wording > WIDE_WORDING else put_in

    stretches = outside_links(text, wording)
    return "".join(one if is_link else put_all(one) for one, _, is_link in stretches)
