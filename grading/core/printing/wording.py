"""Small pieces of a sentence: numbers for all sizes with their nouns, row numbers, groups."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby

from grading.core.pattern.wordings import FIRST_WORDING, NEWEST_WORDING, WIDE_WORDING
from grading.core.printing.numbers import DASH, number_list


@dataclass(frozen=True)
class Voice:
    """Whom a sentence is for.

    `labels` are the sizes of the pattern; `kept` the positions (from 0) of the sizes printed, None
    for all; `mirrored` exchanges starts and ends, for a left hand where work is never turned;
    `print_list` prints one text per size where the usual brackets are not wanted, and is told what the
    texts are; `wording` is the state of our sentences that the pattern is printed in.
    """

    labels: tuple[str, ...]
    craft: str
    terms: str = "US"
    kept: tuple[int, ...] | None = None
    mirrored: bool = False
    print_list: Callable[[Sequence[str | None], str], str] | None = None
    wording: int = NEWEST_WORDING

    def listing(self, texts: Sequence[str | None], label: str = "") -> str:
        """Print one text per size; the label names them where they stand in a table."""
        return self.print_list(texts, label) if self.print_list else number_list(texts, self.kept)

    @property
    def places(self) -> list[int]:
        """Positions of the sizes printed."""
        return list(range(len(self.labels)) if self.kept is None else self.kept)

    @property
    def for_one(self) -> bool:
        """Whether a single size is printed."""
        return len(self.places) == 1

    @property
    def casting_off(self) -> str:
        """What knitters call closing stitches."""
        return "cast off" if self.terms == "UK" else "bind off"


Column = Sequence[int | None]


# More rows than these are told by how they are spaced; of a stretch up to these each is named.
MOST_NAMED, MOST_APART = 15, 4

FEWEST_LINES = 4  # so many ways stand in lines of their own

# A name as typed is a V, or a word with a capital within.
_ORDINARY = re.compile(r"[A-Z][a-z]")

# What is counted, as the row of a table is named.
_COUNTED = {"st": "Stitches"}


def number(column: Column, voice: Voice, label: str = "") -> str:
    """Print one number per size.

    Args:
        column: One whole number per size of the pattern, None where a size has none.
        voice: Whom it is for.
        label: What the numbers are, where they stand in a table.

    Returns:
        The trade's list of numbers.

    >>> number([4, None, 6], Voice(("S", "M", "L"), "knitting"))
    '4 (–, 6)'
    """
    return voice.listing([None if n is None else str(n) for n in column], label)


def counted(column: Column, noun: str, voice: Voice, label: str = "") -> str:
    """Print one number per size with its noun, in the singular where every number is 1.

    Args:
        column: One whole number per size, None where a size has none.
        noun: A noun that takes an s.
        voice: Whom it is for.
        label: What the numbers are, where they stand in a table; else what is counted.

    Returns:
        As "4 (6) sts".

    >>> counted([1, 1], "st", Voice(("S", "M"), "knitting"))
    '1 st'
    """
    named = label or _COUNTED.get(noun, f"{noun.capitalize()}s")
    return f"{number(column, voice, named)} {noun if shown(column, voice) == {1} else noun + 's'}"


def shown(column: Column, voice: Voice) -> set[int]:
    """Collect the numbers that are printed, without the dashes.

    Args:
        column: One whole number per size, None where a size has none.
        voice: Whom it is for.

    Returns:
        The different numbers.

    >>> sorted(shown([1, None, 2], Voice(("S", "M", "L"), "knitting", kept=(0, 1))))
    [1]
    """
    return {found for place in voice.places if (found := column[place]) is not None}


def ordinal(count: int) -> str:
    """Write a count as an ordinal.

    Args:
        count: 0 or more.

    Returns:
        As "1st", "22nd", "13th".

    >>> [ordinal(n) for n in (1, 2, 3, 4, 11, 22)]
    ['1st', '2nd', '3rd', '4th', '11th', '22nd']
    """
    teens = 10 <= count % 100 <= 20
    return f"{count}{'th' if teens else {1: 'st', 2: 'nd', 3: 'rd'}.get(count % 10, 'th')}"


def how_often(column: Column, voice: Voice, label: str = "Times") -> str:
    """Print a number of times.

    Args:
        column: One number per size, None where a size has none.
        voice: Whom it is for.
        label: What the numbers are, where they stand in a table.

    Returns:
        "once", "twice", "5 times", or "1 (5) times"; in the second wording "once (5 times)" where a size has
        it once, and "2 times" up to it.

    >>> how_often([1, 1], Voice(("S", "M"), "knitting")), how_often([1, 5], Voice(("S", "M"), "knitting"))
    ('once', '1 (5) times')
    >>> how_often([None, 1], Voice(("S", "M"), "knitting"))
    '– (once)'
    """
    numbers = shown(column, voice)
    is_for_all = all(column[place] is not None for place in voice.places)
    if numbers == {1} and (is_for_all or voice.wording == FIRST_WORDING):
        return "once"
    is_twice = numbers == {2} and voice.wording > WIDE_WORDING
    if is_twice and is_for_all:
        return "twice"
    is_worded = numbers == {1} or is_twice or (voice.wording == WIDE_WORDING and 1 in numbers)
    if not is_worded:
        return f"{number(column, voice, label)} times"
    words = [None if count is None else times_said(int(count), voice.wording) for count in column]
    return voice.listing(words, label)


def times_said(times: int, wording: int = NEWEST_WORDING) -> str:
    """Print how often something is done.

    Args:
        times: How often, from 1.
        wording: The wording of the pattern.

    Returns:
        "once", "twice" or "5 times"; "2 times" up to the second wording.

    >>> times_said(1), times_said(2), times_said(5), times_said(2, wording=2)
    ('once', 'twice', '5 times', '2 times')
    """
    if times == 2 and wording > WIDE_WORDING:
        return "twice"
    return "once" if times == 1 else f"{times} times"


def listed(parts: Sequence[str]) -> str:
    """Join words as in a sentence.

    Args:
        parts: One word or more.

    Returns:
        As "2, 4 and 6".

    >>> listed(["2", "4", "6"])
    '2, 4 and 6'
    """
    return " and ".join([*([", ".join(parts[:-1])] if parts[1:] else []), *parts[-1:]])


def rows_listed(rows: Sequence[int], noun: str) -> str:
    """Name rows.

    Args:
        rows: Row numbers, one or more, rising.
        noun: "row" or "round".

    Returns:
        As "row 2", "rows 2, 4 and 6" or, for more than two in a row, "rows 2 to 6".

    >>> rows_listed([2, 3, 4], "row"), rows_listed([7, 8], "round")
    ('rows 2 to 4', 'rounds 7 and 8')
    """
    if len(rows) == 1:
        return f"{noun} {rows[0]}"
    if len(rows) > 2 and rows[-1] - rows[0] == len(rows) - 1:
        return f"{noun}s {rows[0]} to {rows[-1]}"
    return f"{noun}s {listed([str(row) for row in rows])}"


def rows_named(rows: Sequence[int], noun: str) -> str:
    """Name rows, more than two that follow one another by the first and the last.

    Args:
        rows: Row numbers, one or more, rising.
        noun: "row" or "round".

    Returns:
        As "row 2", "rows 2 and 4" or "rows 1 to 5, 7 and 9".

    >>> rows_named([1, 2, 3, 7, 9], "row"), rows_named([5, 6], "round"), rows_named([3, 4, 5], "row")
    ('rows 1 to 3, 7 and 9', 'rounds 5 and 6', 'rows 3 to 5')
    """
    parts = [" to ".join(str(row) for row in run) for run in _stretches(rows)]
    return f"{noun}{'s' if len(rows) > 1 else ''} {listed(parts)}"


def rows_spaced(rows: Sequence[int], noun: str) -> str:
    """Name many rows: those that are evenly spaced by their gap, the first and the last.

    Args:
        rows: Row numbers, one or more, rising.
        noun: "row" or "round".

    Returns:
        As `rows_named` says up to 15 rows; more by each gap, so that its change is seen.

    >>> rows_spaced(range(1, 175, 2), "row")
    'every 2nd row from 1 to 173'
    >>> rows_spaced([*range(2, 67, 2), 70, 74], "round")
    'every 2nd round from 2 to 66, then rounds 70 and 74'
    """
    if len(rows) <= MOST_NAMED:
        return rows_named(rows, noun)
    parts, alone, left = list[str](), list[int](), list(rows)
    while left:
        gap = left[1] - left[0] if left[1:] else 1
        even = next((i for i in range(1, len(left)) if left[i] - left[i - 1] != gap), len(left))
        stretch, left = left[:even], left[even:]
        is_short = len(stretch) <= MOST_APART
        alone += stretch if is_short else []
        if alone and not (is_short and left):
            parts.append(_rows_apart(alone, noun))
            alone = []
        if not is_short:
            every = f"every {noun}" if gap == 1 else f"every {ordinal(gap)} {noun}"
            parts.append(f"{every} from {stretch[0]} to {stretch[-1]}")
    return ", then ".join(parts)


def _rows_apart(rows: Sequence[int], noun: str) -> str:
    """Name each row by its number."""
    return f"{noun}{'s' if rows[1:] else ''} {listed([str(row) for row in rows])}"


def by_size(texts: dict[int, str], voice: Voice) -> list[tuple[str, str]]:
    """Gather sizes whose words are the same.

    Args:
        texts: Words by position of the size.
        voice: Whom they are for; its sizes without words get a dash.

    Returns:
        (size labels, words), by the first size of each; more than two sizes that follow one another by
        the first and the last.

    >>> by_size({0: "a", 1: "b", 2: "a"}, Voice(("S", "M", "L"), "knitting"))
    [('S, L', 'a'), ('M', 'b')]
    """
    found: dict[str, list[int]] = {}
    for place in voice.places:
        found.setdefault(texts.get(place, DASH), []).append(place)
    return [(", ".join(size_names(places, voice)), words) for words, places in found.items()]


def size_names(places: Sequence[int], voice: Voice) -> list[str]:
    """Name sizes, more than two that follow one another by the first and the last.

    Args:
        places: Positions of the sizes, from 0, rising.
        voice: Whom it is for.

    Returns:
        As "XS" or "S to XL", one entry for each name or stretch; in the first wording every name.

    >>> size_names([0, 2, 3, 4], Voice(("XS", "S", "M", "L", "XL"), "knitting"))
    ['XS', 'M to XL']
    """
    if voice.wording == FIRST_WORDING:
        return [voice.labels[place] for place in places]
    return [
        f"{voice.labels[run[0]]} to {voice.labels[run[1]]}" if len(run) > 1 else voice.labels[run[0]]
        for run in _stretches(places)
    ]


def _stretches(numbers: Sequence[int]) -> list[tuple[int, ...]]:
    """Cut rising numbers into single ones and the ends of stretches of more than two."""
    parts: list[tuple[int, ...]] = []
    for _, group in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        parts += [(run[0], run[-1])] if len(run) > 2 else [(number,) for number in run]
    return parts


def size_by_size(texts: dict[int, str], voice: Voice) -> str:
    """Write words once where all sizes agree, else after the labels of their sizes.

    Args:
        texts: Words by position of the size.
        voice: Whom they are for.

    Returns:
        As "S, L: a; M: b".

    >>> size_by_size({0: "a", 1: "b"}, Voice(("S", "M"), "knitting"))
    'S: a; M: b'
    """
    gathered = by_size(texts, voice)
    if len(gathered) == 1:
        return gathered[0][1]
    return "; ".join(f"{sizes}: {words}" for sizes, words in gathered)


def size_lines(head: str, told: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    """Write words in a line for each way, where sizes differ in four ways or more.

    Args:
        head: What all sizes do, up to its colon.
        told: (size labels, words), as `by_size` gathers them.

    Returns:
        What all do, then the words after the labels of their sizes; none for fewer ways.

    Source: common practice.

    >>> size_lines("work 3 sts:", [("S", "a"), ("M", "b"), ("L", "c"), ("XL", "d")])[:2]
    ('Work 3 sts:', 'S: a.')
    >>> size_lines("work 3 sts:", [("S", "a"), ("M", "b")])
    ()
    """
    if len(told) < FEWEST_LINES:
        return ()
    return (capital(head), *(f"{sizes}: {words}." for sizes, words in told))


def as_sentence(words: str) -> str:
    """Begin with a capital and end with a full stop.

    Args:
        words: At least one word.

    Returns:
        A sentence.

    >>> as_sentence("work straight")
    'Work straight.'
    """
    return f"{capital(words)}."


def capital(words: str) -> str:
    """Begin with a capital, as on a line of its own.

    Args:
        words: Any words, or none.

    Returns:
        The same, the first letter large.

    >>> capital("with long sleeves")
    'With long sleeves'
    """
    return words[:1].upper() + words[1:]


def small(words: str) -> str:
    """Begin small, as within a sentence.

    Args:
        words: Any words, or none.

    Returns:
        The same, the first letter of an ordinary word small; what is written otherwise stays.

    >>> small("Long sleeves"), small("V"), small("RS band")
    ('long sleeves', 'V', 'RS band')
    """
    return words[:1].lower() + words[1:] if _ORDINARY.match(words) else words
