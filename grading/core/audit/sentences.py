"""Sentences of a step: cut from its text, and what each of them is."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from grading.core.audit.counts import split_said
from grading.core.audit.own_stitches import OwnStitch
from grading.core.audit.row_reading import read_rows, without_heading
from grading.core.audit.statement_kinds import Statement, Straight
from grading.core.audit.statements import read_statement
from grading.core.audit.tokens import cut_tokens
from grading.core.audit.tree import BindOff, Hold, Idle, Leave, Row, Said, Turn
from grading.core.instructions.reference_checks import expands
from grading.core.instructions.references import Reference, parse_references, without_helps

COUNTED_KINDS = ("stitches", "rows", "count")


@dataclass(frozen=True)
class Sentence:
    """A sentence with its place in the step.

    `expands` is the reference that it is when that prints lines of its own, `over` the special stitch that it
    is worked in, as its words say.
    """

    text: str
    start: int
    expands: Reference | None = None
    over: OwnStitch | None = None


_ENDS = re.compile(r"[.!?](?=\s+(?:[A-Z0-9{(\[*“\"]|$)|\s*$)|\n+")


def cut_sentences(text: str, offset: int, kinds: Mapping[str, str]) -> list[Sentence]:
    """The sentences of a passage; a closing count in brackets belongs to the sentence before it."""
    text = without_helps(text)
    expansions = [
        piece
        for piece in parse_references(text, offset).pieces
        if isinstance(piece, Reference) and expands(piece, dict(kinds))
    ]
    places = sorted({0, *(end + 1 for end in _sentence_ends(text)), *_after_counts(text), len(text)})
    parts: list[tuple[int, int]] = []
    for start, end in pairwise(places):
        if not text[start:end].strip():
            continue
        opened = text[start:end].lstrip()
        if parts and opened.startswith("(") and opened.rstrip(" .\n").endswith(")"):
            parts[-1] = (parts[-1][0], end)
        else:
            parts.append((start, end))
    return [
        sentence
        for start, end in parts
        for sentence in _with_expansions(text, start, end, offset, expansions)
    ]


_COUNT_ALONE = re.compile(r"[.!?}]\s*\([^()]*\)(?=\s+[A-Z{])")


def _after_counts(text: str) -> list[int]:
    """Where a closing count in brackets ends that stands between two sentences."""
    return [match.end() for match in _COUNT_ALONE.finditer(text)]


def _sentence_ends(text: str) -> list[int]:
    depth = 0
    ends = []
    matches = {match.start() for match in _ENDS.finditer(text)}
    for index, character in enumerate(text):
        depth += (character in "([") - (character in ")]")
        if index in matches and depth <= 0:
            ends.append(index)
    return ends


def _with_expansions(
    text: str, start: int, end: int, offset: int, expansions: list[Reference]
) -> Iterator[Sentence]:
    """A reference that expands to lines is a sentence of its own, with the closing count after it."""
    place = start
    for reference in expansions:
        at = reference.offset - offset
        if not start <= at < end:
            continue
        if text[place:at].strip(" :*_"):
            yield Sentence(text[place:at], offset + place)
        close = re.match(r"[.;]?\s*\([^()]*\)\.?", text[at + len(reference.source) : end])
        stop = at + len(reference.source) + (close.end() if close else 0)
        yield Sentence(text[at:stop], offset + at, reference)
        place = stop
    if text[place:end].strip(" .;"):
        yield Sentence(text[place:end], offset + place)


@lru_cache(maxsize=20_000)
def headed_rows(text: str, craft: str) -> tuple[Straight, str] | None:
    """A statement of how many rows, a colon, and the row."""
    if len(without_heading(cut_tokens(text))) < len(cut_tokens(text)):
        text = text.partition(":")[2]  # `Cuff: work 8 rounds of rib: …`
    head, colon, rest = text.partition(":")
    if not colon or "(" in head:
        return None
    statements = read_statement(cut_tokens(head), craft)
    straight = next((one for one in statements or () if isinstance(one, Straight)), None)
    return None if straight is None else (straight, rest)


@lru_cache(maxsize=20_000)
def statement_of(text: str, craft: str) -> tuple[tuple[Statement, ...] | None, Said | None]:
    """The statements of a sentence, and its closing count; None for a sentence that is no statement."""
    tokens, said = split_said(cut_tokens(text), craft)
    if not tokens and said is not None:
        return (), said
    return read_statement(without_heading(tokens), craft), said


def is_idle(row: Row) -> bool:
    """Whether a row does nothing and says nothing."""
    if row.said is not None or row.again is not None or row.shapings:
        return False
    return all(isinstance(item, Idle | Turn) for item in row.items)


@lru_cache(maxsize=20_000)
def head_alone(text: str, craft: str) -> Row | None:
    """The head of a row whose work stands in the next sentence, as in `Round 1: join at the underarm`."""
    rows = read_rows(text, craft)
    is_head = len(rows) == 1 and rows[0].numbers is not None and rows[0].repeats == 1
    return rows[0] if is_head and is_idle(rows[0]) else None


def splits(row: Row) -> bool:
    """Whether stitches are bound off, held or left with others worked before and after them."""
    works = [
        not isinstance(item, BindOff | Hold | Leave)
        for item in row.items
        if not isinstance(item, Idle | Turn)
    ]
    return False in works[1:-1] and works[0]


_DEFINED = re.compile(
    r"worked only where|only when the next step|^\s*(?:an?|the) \w+ (?:row|round) (?:begins|ends|is worked)",
    re.IGNORECASE,
)
_TOGETHER = re.compile(r"\bat the same time\b|\bof the same (?:rows|rounds)\b", re.IGNORECASE)
_MARKED = re.compile(
    r"\b(?:mark|place (?:a )?markers?)\b(?! the middle\b)(?=.*\b(?:ends?|edges?|sides?|armholes?)\b)",
    re.IGNORECASE | re.DOTALL,
)
_EDGES = r"(?:rib|ribbing|hem|border|edging|cuff|band)"
_EDGE = re.compile(rf"(?<!the )\b{_EDGES}\b", re.IGNORECASE)
_ABOVE_EDGE = re.compile(rf"\b(?:above|after|from) the {_EDGES}\b", re.IGNORECASE)
_ENDED = re.compile(
    r"\b(?:fasten off(?!,? and (?:re-?)?join\b)|(?:cast|bind) off (?:all|loosely|in|the rem)|to close)\b",
    re.IGNORECASE,
)


@lru_cache(maxsize=20_000)
def noticed(text: str) -> tuple[bool, bool, bool, bool]:
    """Whether a sentence ends a piece, runs with the one before, sets a marker, or is of an edge."""
    edged = _EDGE.search(text) and not _ABOVE_EDGE.search(text)
    return (*(found.search(text) is not None for found in (_ENDED, _TOGETHER, _MARKED)), bool(edged))  # type: ignore[return-value]


def runs_at_once(text: str) -> bool:
    """Whether words are worked in the rows of what stands before them.

    Args:
        text: A sentence or a step.

    Returns:
        True where they say so, as in "at the same time".

    >>> runs_at_once("At the same time the V at the start of the rows:")
    True
    """
    return _TOGETHER.search(text) is not None


_ARMHOLE = re.compile(
    r"\barmholes?\b.*\b(?:cast|bind) off\b|\b(?:cast|bind) off\b.*\barmholes?\b", re.IGNORECASE
)


def begins_armhole(text: str) -> bool:
    """Whether stitches are cast off for an armhole.

    >>> begins_armhole("Armholes: cast off 4 sts at the beginning of the next 2 rows.")
    True
    """
    return _ARMHOLE.search(text) is not None


_ALL_ROWS = re.compile(
    r"\b(?:until|till) (?:there are|you have|it has)\b(?!.*\b(?:above|after|from) the\b)", re.IGNORECASE
)


def counts_all_rows(text: str) -> bool:
    """Whether rows are worked until the piece has so many."""
    return _ALL_ROWS.search(text) is not None


_ROUNDS = re.compile(r"\bin the round\b|\b(?:rounds?|rnds?)\b", re.IGNORECASE)


_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")
_THIS_IS = re.compile(
    r"\bwas the (first|second|third|fourth|fifth) (?:row|round|rnd),? and this (?:one )?is the "
    r"(second|third|fourth|fifth|sixth)\b",
    re.IGNORECASE,
)


def row_of_these_words(text: str) -> int | None:
    """Which row a sentence says that it is, where it counts from one worked before.

    >>> row_of_these_words("Knit to the marker: the division was the first round, and this is the second.")
    2
    """
    found = _THIS_IS.search(text)
    before, row = (_ORDINALS.index(word.lower()) for word in found.groups()) if found else (0, 0)
    return row + 1 if found and row == before + 1 else None


_PART_OF_LENGTH = re.compile(
    r"\bthese (two|three|four|[2-9]) (?:rows|rounds|rnds) are part of the length\b.*"
    r"\bcount the next (?:one|row|round|rnd) as (?:the first|(?:row|round|rnd) 1)\b",
    re.IGNORECASE,
)


def rows_apart(text: str) -> int:
    """How many rows are said to be part of the length, though rows are counted from the one after them.

    >>> rows_apart("These two rounds are part of the length, but count the next one as the first.")
    2
    """
    found = _PART_OF_LENGTH.search(text)
    number = found.group(1).lower() if found else "0"
    return int(number) if number.isdecimal() else ("two", "three", "four").index(number) + 2


def speaks_of_rounds(text: str) -> bool:
    """Whether words tell that the work is joined in the round."""
    return _ROUNDS.search(text) is not None


_COUNT = re.compile(r"\s*\([^()]*\b(?:sts?|stitch(?:es)?)\b[^()]*\)\s*\.?\s*$", re.IGNORECASE)


def without_count(text: str) -> str:
    """A sentence without the closing count in brackets.

    >>> without_count("K12, turn. (80 sts)")
    'K12, turn.'
    """
    return _COUNT.sub("", text)


# Short rows change no count (common practice); what such a sentence does otherwise is unread all the same.
SHORT_ROWS = re.compile(r"\bshort (?:rows?|of the last)\b", re.IGNORECASE)

# The work goes on elsewhere (common practice), on stitches that were left some rows before.
ELSEWHERE = re.compile(r"\bsecond (?:side|shoulder)\b|\b(?:sts|stitches) that were left\b", re.IGNORECASE)


def is_definition(text: str) -> bool:
    """Whether a row is only described here, to be worked where another step says so."""
    return _DEFINED.search(text) is not None


_CHANGE = re.compile(
    r"\s*(?:to )?(?:decrease|increase|shape)"
    r"(?: (?:on|in|at|rows?|rounds?|only|each|every|both|the|rs|ws|ends?|of))*\s*:",
    re.IGNORECASE,
)


def names_a_change(text: str) -> bool:
    """Whether a sentence tells by its head how an increase or a decrease is made.

    >>> names_a_change("Decrease on RS rows only: k1, ssk, k to the end.")
    True
    """
    return _CHANGE.match(text) is not None


_HEADS_A_CHANGE = re.compile(
    r"\s*(?:now |then |and )*(?:(?:decrease|increase|dec|inc)\b[^,;:.]*|"
    r"work (?:it|this|these|the (?:decrease|increase)s?)\b[^;:.]*):\s*$",
    re.IGNORECASE,
)


def heads_a_change(text: str) -> bool:
    """Whether a sentence only leads to the rows of a shaping that is printed after it.

    >>> heads_a_change("Now decrease 1 st at each end:"), heads_a_change("Decrease row: k1, k2tog.")
    (True, False)
    """
    return _HEADS_A_CHANGE.match(text) is not None


_SEVERAL_PLACES = re.compile(
    r"\bmirror|\brevers|\bboth\b|\b(?:each|either|every) (?:edge|end|side|front|sleeve|marker|half)|"
    r"\b(?:left|right)\b.*\b(?:left|right)\b|\b(?:the same|other) (?:at|on|along|edge|end|side|half)",
    re.IGNORECASE | re.DOTALL,
)


def names_several_places(text: str) -> bool:
    """Whether a sentence has work done in several places of a row.

    >>> names_several_places("Work it at the left edge, and its mirror at the right.")
    True
    """
    return _SEVERAL_PLACES.search(text) is not None


_ABOUT_COUNTS = re.compile(
    r"\b(sts?|stitch(?:es)?|rows?|rnds?|rounds?|ch|chs|chains?|sc|hdc|dc|htr|tr|tss|tks|k|p)\b", re.IGNORECASE
)


def speaks_of_counts(text: str, units: Mapping[str, str]) -> bool:
    """Whether a sentence names stitches or rows with a number."""
    counted = any(units.get(name) in COUNTED_KINDS for name in re.findall(r"\{([a-z][a-z0-9_]*)", text))
    numbered = re.search(r"\d", text) is not None and _ABOUT_COUNTS.search(text) is not None
    return counted or numbered


def row_name(row: Row) -> str:
    """The numbers of a row, or "" where it has none."""
    if row.numbers is None:
        return ""
    first, last = row.numbers
    return str(first) if first == last else f"{first}–{last}"


def plain_title(title: str) -> str:
    """A title in small letters, without what stands in brackets."""
    return " ".join(token.text for token in cut_tokens(re.sub(r"\(.*?\)", "", title)))
