"""Words in brackets that only explain, and words such as `it` that point back."""

from dataclasses import replace

from grading.core.audit import words
from grading.core.audit.tokens import Token
from grading.core.audit.tree import Each, Idle, It, Item, Next, Repeat, RepeatToEnd, Ring, Unread, Work

LONGEST_ASIDE = 14
"""Words of an aside between commas, with both."""


def is_aside(tokens: list[Token]) -> bool:
    """`hook goes in 2 rows down`, `21 loops on hook`: nothing that is to be done."""
    texts = {token.text for token in tokens if token.kind not in ("number", "ordinal", "mark")}
    return bool(texts & words.ASIDE_NOUNS) and texts <= words.ASIDE_WORDS | words.ASIDE_NOUNS


def without_marker_asides(tokens: list[Token]) -> list[Token]:
    """`Work as the back, with the markers of the armholes, until …` without what is between the commas."""
    kept, place = [], 0
    while place < len(tokens):
        end = _end_of_aside(tokens, place)
        if end == place:
            kept.append(tokens[place])
        place = max(end, place + 1)
    return kept


def _end_of_aside(tokens: list[Token], start: int) -> int:
    """The place behind the comma that ends an aside, where one begins at `start`; else `start`."""
    texts = [token.text for token in tokens[start : start + LONGEST_ASIDE]]
    if texts[:2] not in ([",", "with"], [",", "keeping"]) or "," not in texts[1:]:
        return start
    end = texts.index(",", 1)
    said = set(texts[1:end])
    is_known = said <= words.MARKER_ASIDES and bool(said & {"marker", "markers"})
    return start + end + 1 if is_known else start


def resolve_it(item: Item, items: list[Item]) -> Item:
    """`to the last st, sc in it`, `make a ring; 6 sc into it`: the place that `it` stands for."""
    if not isinstance(item, Work) or not isinstance(item.place, It):
        return item
    for before in reversed(items):
        if isinstance(before, Idle) and before.ring:
            return replace(item, place=Ring())
        if _leaves_one(before):
            return replace(item, place=Next(last=True))
        if isinstance(before, Work | RepeatToEnd | Repeat):
            break
    return Unread(0, 0, "it is not clear what “it” means")


def _leaves_one(item: Item) -> bool:
    if isinstance(item, RepeatToEnd):
        return item.keep == 1
    return isinstance(item, Work) and isinstance(item.place, Each) and item.place.keep == 1
