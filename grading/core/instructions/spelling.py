"""Spelling of a few words that patterns use often, American or British."""

import re

from grading.core.printing.edition import Terms

# Beginnings of words with the vowels that differ. Source: common practice.
_FORMS = (
    r"\b(?P<head>(?:multi)?col){vowel}(?=(?:s|ed|ing|ful|less|ways?|work)?\b)|\b(?P<grey>gr){grey}(?=ys?\b)"
)
# Web addresses are never respelled.
_WEB = ("http://", "https://")
_LINK = re.compile(r"(https?://\S+)")
_US = re.compile(_FORMS.format(vowel="(?P<vowel>or)", grey="a"), re.IGNORECASE)
_UK = re.compile(_FORMS.format(vowel="(?P<vowel>our)", grey="e"), re.IGNORECASE)


def spelled(text: str, wanted: Terms) -> str:
    """Put color and gray, and words made from them, into the spelling of the terms of an edition.

    Args:
        text: Words of the author.
        wanted: The terms of the edition: US or UK.

    Returns:
        The text; a word in capitals keeps them.

    Source: common practice.

    >>> spelled("Colors: two-colored, in gray", "UK"), spelled("COLOUR, Grey", "US")
    ('Colours: two-coloured, in grey', 'COLOR, Gray')
    >>> spelled("Colorwork as on https://larkmoss.example/color", "UK")
    'Colourwork as on https://larkmoss.example/color'
    """
    finder, vowel, grey = (_US, "our", "e") if wanted == "UK" else (_UK, "or", "a")

    def put(found: re.Match[str]) -> str:
        if found["grey"]:
            return found["grey"] + (grey.upper() if found.group()[-1].isupper() else grey)
        return found["head"] + (vowel.upper() if found["vowel"].isupper() else vowel)

    return "".join(one if one.startswith(_WEB) else finder.sub(put, one) for one in _LINK.split(text))
