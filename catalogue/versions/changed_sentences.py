"""Whole sentences that changed between two versions, old and new, for the sizes of an edition."""

import re
from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher

_ENDS = re.compile(r"(?<=[.:)])\s+(?=[A-Z(])")
_ONE = r"(?:–|once|\d[\d.]*[¼½¾]?(?:st|nd|rd|th\b| times?\b)?|[¼½¾])"
_LIST = re.compile(rf"(?<![\w(\[]){_ONE}(?:\s?[(\[]{_ONE}(?:, {_ONE})*[)\]])+")
_NUMBER = re.compile(_ONE)


def changed_sentences(pieces: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Put the words of a changed step together again, and return the sentences that differ.

    Args:
        pieces: Marks "same", "gone" or "new", each with its words.

    Returns:
        Pairs of what was said and what is said now; "" where nothing was, or nothing is.

    Source: derived.

    >>> changed_sentences([("same", "Turn. Work "), ("gone", "4 (6)"), ("new", "5 (7)"), ("same", " rows.")])
    [('Work 4 (6) rows.', 'Work 5 (7) rows.')]
    """
    known = list(pieces)
    old, new = (
        _ENDS.split("".join(text for mark, text in known if mark != left_out).strip())
        for left_out in ("new", "gone")
    )
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    return [
        (" ".join(old[a:b]), " ".join(new[c:d]))
        for tag, a, b, c, d in matcher.get_opcodes()
        if tag != "equal"
    ]


def for_size(text: str, place: int, sizes: int) -> str:
    """Reduce the lists of a sentence to the number of one size.

    Args:
        text: A sentence with lists over all sizes.
        place: The size, from 0.
        sizes: How many sizes the lists have; a list of another length stays as it is.

    Returns:
        The sentence for one size.

    Source: derived.

    >>> for_size("Work 4 (6, 8) sts in 12 rows.", 2, 3)
    'Work 8 sts in 12 rows.'
    """

    def own(found: re.Match[str]) -> str:
        numbers: Sequence[str] = _NUMBER.findall(found.group())
        return numbers[place] if len(numbers) == sizes else found.group()

    return _LIST.sub(own, text)
