"""Whole sentences that changed between two versions, old and new, for the sizes of an edition."""

import re
from collections.abc import Callable, Iterable, Sequence
from difflib import SequenceMatcher

from grading.core.printing.numbers import number_list

_ENDS = re.compile(r"(?<=[.:)])\s+(?=[A-Z(])")
_ONE = r"(?:–|once|twice|\d[\d.]*[¼½¾]?(?:st|nd|rd|th\b| times?\b)?|[¼½¾])"
_LIST = re.compile(rf"(?<![\w(\[]){_ONE}(?:\s?[(\[]{_ONE}(?:, {_ONE})*[)\]])+")
_NUMBER = re.compile(_ONE)
# A part of a step for some sizes only, and the rows of the table below it.
_FOR_SOME = re.compile(
    r"^(?:[^\n]*; )?Sizes? ([^\n]+?) only: [^\n]*(?:\n\[[a-z]+\] [^\n]*)*\n?", re.MULTILINE
)
# A line for some sizes, after their labels; and such a part of a sentence, after a semicolon.
_LINE_FOR_SOME = re.compile(r"^([^\n:]+): [^\n]*\n?", re.MULTILINE)
_WORDS_FOR_SOME = re.compile(r"; ([^;:.\n]+): (?:[^;.\n]|\.(?=\d))*")
_NAMES = re.compile(r", | and ")


def changed_sentences(
    pieces: Iterable[tuple[str, str]], told: Callable[[str], str] = str
) -> list[tuple[str, str]]:
    """Put the words of a changed step together again, and return the sentences that differ.

    Args:
        pieces: Marks "same", "gone" or "new", each with its words.
        told: What is told of a whole step, old or new, as that for some sizes.

    Returns:
        Pairs of what was said and what is said now; "" where nothing was, or nothing is.

    Source: derived.

    >>> changed_sentences([("same", "Turn. Work "), ("gone", "4 (6)"), ("new", "5 (7)"), ("same", " rows.")])
    [('Work 4 (6) rows.', 'Work 5 (7) rows.')]
    """
    known = list(pieces)
    old, new = (
        _ENDS.split(told("".join(text for mark, text in known if mark != left_out)).strip())
        for left_out in ("new", "gone")
    )
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    return [
        (_joined(old[a:b]), _joined(new[c:d])) for tag, a, b, c, d in matcher.get_opcodes() if tag != "equal"
    ]


def _joined(sentences: Sequence[str]) -> str:
    """Sentences together, each that is for some sizes on a line of its own."""
    return re.sub(r" (?=Sizes? [^.:]+:)", "\n", " ".join(sentences))


def for_sizes(text: str, kept: Sequence[int], sizes: int) -> str:
    """Reduce the lists of a sentence to the numbers of some sizes, each list standing as it always does.

    Args:
        text: A sentence with lists over all sizes.
        kept: The sizes, from 0, in size order.
        sizes: How many sizes the lists have; a list of another length stays as it is.

    Returns:
        The sentence for these sizes.

    Source: derived.

    >>> for_sizes("Work 4 (6, 8) sts in 12 rows.", [2], 3)
    'Work 8 sts in 12 rows.'
    >>> for_sizes("Work 4 (6, 8) sts in 12 rows.", [0, 1], 3)
    'Work 4 (6) sts in 12 rows.'
    """

    def own(found: re.Match[str]) -> str:
        numbers: Sequence[str] = _NUMBER.findall(found.group())
        return number_list(numbers, kept) if len(numbers) == sizes else found.group()

    return _LIST.sub(own, text)


def without_other_sizes(text: str, kept: Sequence[int], labels: Sequence[str]) -> str:
    r"""A step without its parts that are for other sizes only; one whose sizes can't be read stays.

    Args:
        text: A step of a record, its parts in lines.
        kept: The sizes that are told of, from 0.
        labels: All sizes, in size order.

    Returns:
        The step for these sizes.

    Source: derived.

    >>> without_other_sizes("Join A.\nSizes M to XL only: Work 2 rows.", [0], ["S", "M", "L", "XL"])
    'Join A.\n'
    >>> without_other_sizes("Shape it:\nS: on row 2.\nM, L: on row 4.\nTurn.", [1], ["S", "M", "L"])
    'Shape it:\nM, L: on row 4.\nTurn.'
    """
    places = {label: place for place, label in enumerate(labels)}

    def own(found: re.Match[str]) -> str:
        concerned = set[int]()
        for name in _NAMES.split(found[1]):
            first, _, last = name.partition(" to ")
            ends = [places.get(end) for end in ((name, name) if name in places else (first, last))]
            if ends[0] is None or ends[1] is None:
                return found[0]
            concerned.update(range(ends[0], ends[1] + 1))
        return found[0] if concerned & set(kept) else ""

    for part in (_FOR_SOME, _LINE_FOR_SOME, _WORDS_FOR_SOME):
        text = part.sub(own, text)
    return text
