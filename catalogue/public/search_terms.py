"""Words of the public list: how they are looked for, and which of them name a garment."""

import re
from collections.abc import Iterator
from unicodedata import combining, normalize

# Words that nobody looks for, left out of what is searched.
SMALL_WORDS = frozenset(
    ("a", "an", "and", "at", "by", "for", "from", "in", "is", "of", "on", "or", "the", "to", "with")
)
_WORD = re.compile(r"[^\W_]+")

# Kinds of garment and the words that name them; common practice, in the words of both countries.
GARMENTS = {
    "blanket": ("blanket", "afghan"),
    "cardigan": ("cardigan",),
    "cowl": ("cowl", "snood"),
    "dress": ("dress", "pinafore"),
    "gloves or mittens": ("gloves", "mittens", "mitts", "wristers"),
    "hat": ("hat", "beanie", "beret", "bonnet"),
    "jacket or coat": ("jacket", "coat"),
    "jumper or pullover": ("jumper", "pullover", "sweater"),
    "poncho or cape": ("poncho", "cape"),
    "scarf": ("scarf",),
    "shawl": ("shawl", "shawlette", "stole"),
    "skirt": ("skirt",),
    "socks or slippers": ("socks", "slippers", "bootees"),
    "top": ("top", "tee", "camisole", "tunic"),
    "trousers": ("trousers", "leggings", "shorts"),
    "waistcoat or vest": ("waistcoat", "vest", "gilet"),
}
# Words of technique as well ("worked from the top"): a garment in a title alone.
_ONLY_IN_TITLES = "top"


def terms_of(text: str) -> Iterator[str]:
    """The words of a text that are worth looking for, without case, accents and plural."""
    plain = "".join(one for one in normalize("NFKD", text) if not combining(one))
    for found in _WORD.findall(plain.casefold()):
        if found not in SMALL_WORDS:
            yield found.removesuffix("s") if len(found) > 3 else found


def garment_named(title: str, summary: str) -> str:
    """The garment that a title names last, else the one that the summary names first; empty for none."""
    named = [_NAMED[word] for word in terms_of(title) if word in _NAMED]
    if named:
        return named[-1]
    told = (_NAMED[word] for word in terms_of(summary) if word in _NAMED and word != _ONLY_IN_TITLES)
    return next(told, "")


_NAMED = {form: garment for garment, names in GARMENTS.items() for name in names for form in terms_of(name)}
