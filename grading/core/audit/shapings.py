"""Reads shaping over several rows at an edge, and rows that are worked again."""

from dataclasses import replace

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.places import read_kind
from grading.core.audit.tokens import Number, Token
from grading.core.audit.tree import Again, EndShaping, Kind


def read_shapings(tokens: list[Token], craft: str) -> tuple[EndShaping, ...]:
    """`Dec 1 st at each end of next 4 rows`; nothing when any word is left over."""
    cursor = Cursor(tokens)
    found: list[EndShaping] = []
    while True:
        cursor.skip_separators()
        if cursor.ended():
            return tuple(found)
        shaping = cursor.attempt(lambda: _shaping(cursor, craft, found)) or cursor.attempt(
            lambda: _ends_first(cursor, craft)
        )
        if shaping is None:
            return ()
        found.append(shaping)


def _shaping(cursor: Cursor, craft: str, before: list[EndShaping]) -> EndShaping | None:
    cursor.phrase(words.VERBS)
    change = _change(cursor, craft) or cursor.attempt(lambda: _same_change(cursor, craft, before))
    if change is None:
        return None
    number, sign, bound = change
    ends = _ends(cursor)
    if ends is None:
        return None
    shaping = _over_rows(cursor, craft, number, sign, ends, bound)
    if shaping is not None:
        _pass_over_rest(cursor, craft)
    return shaping


def _ends_first(cursor: Cursor, craft: str) -> EndShaping | None:
    """`At each end of the next 4 rows dec 1 st`."""
    ends = _ends(cursor)
    if ends is None or not cursor.phrase(words.OF):
        return None
    rows = _row_span(cursor)
    if rows is None:
        return None
    cursor.word(",")
    cursor.phrase(words.VERBS)
    change = _change(cursor, craft)
    if change is None:
        return None
    _pass_over_rest(cursor, craft)
    return EndShaping(change[0], change[1], ends, rows[0], None, change[2])


def _pass_over_rest(cursor: Cursor, craft: str) -> None:
    """`and work to the end`: what is not shaped stays as it is."""

    def rest() -> bool:
        cursor.word(",", ";")
        cursor.word("and", "then")
        cursor.word("then")
        if not (
            cursor.phrase(words.EVEN)
            or cursor.word("k", "p", "knit", "purl", "sc", "dc", "tss", "tks", "hdc")
        ):
            return False
        return cursor.phrase(words.END)

    cursor.attempt(rest)


def _change(cursor: Cursor, craft: str) -> tuple[Number, int, bool] | None:
    """How many stitches, more or fewer, and whether they are bound off."""
    if cursor.phrase(words.INCREASE):
        sign, bound = 1, False
    elif cursor.phrase(words.DECREASE):
        sign, bound = -1, False
    elif cursor.phrase(words.BIND_OFF):
        sign, bound = -1, True
    elif cursor.phrase(words.CAST_ON):
        sign, bound = 1, False
    else:
        return None
    number = cursor.number()
    if number is None and cursor.word("a", "one"):
        number = 1
    if number is None:
        return None
    read_kind(cursor, craft)
    return number, sign, bound


def _same_change(cursor: Cursor, craft: str, before: list[EndShaping]) -> tuple[Number, int, bool] | None:
    """`…, then 2 sts at beg of foll 4 rows`: what was said to be done goes on."""
    number = cursor.number()
    if not before or number is None or read_kind(cursor, craft) is not Kind.STITCH:
        return None
    return number, before[-1].sign, before[-1].bound_off


def _ends(cursor: Cursor) -> int | None:
    if cursor.phrase(words.EACH_END):
        return 2
    if cursor.phrase(words.ONE_END):
        cursor.word("only")
        return 1
    return None


ONE_BY_ONE = ("the", "next", "this", "and", "row", "rows", "rnd", "rnds", "round", "rounds")


def _over_rows(
    cursor: Cursor, craft: str, number: Number, sign: int, ends: int, bound: bool
) -> EndShaping | None:
    cursor.phrase(words.OF)
    start = cursor.place
    span = _row_span(cursor)
    if span is None:
        return None
    rows, opened = span
    one_by_one = all(
        token.kind == "number" or token.text in ONE_BY_ONE for token in cursor.tokens[start : cursor.place]
    )
    until = cursor.attempt(lambda: _until(cursor, craft))
    if opened and until is None:
        return None
    return EndShaping(number, sign, ends, rows, until, bound, one_by_one and until is None)


def _row_span(cursor: Cursor) -> tuple[tuple[Number, ...], bool] | None:
    """How many rows are shaped, and whether the text leaves their number open."""
    rows: list[Number] = []
    opened = False
    while True:
        term = cursor.attempt(lambda: _rows_term(cursor))
        if term is None:
            return (tuple(rows), opened) if rows or opened else None
        number, is_open = term
        opened = opened or is_open
        if not is_open:
            rows.append(number)
        if cursor.phrase(words.IN_ALL):
            return (number,), opened
        if not cursor.attempt(lambda: _and_then(cursor)):
            return tuple(rows), opened


def _and_then(cursor: Cursor) -> bool:
    cursor.word(",", ";")
    cursor.word("and")
    cursor.word("then")
    cursor.word("on", "of", "in", "at")
    number = cursor.now()
    if number is not None and number.kind == "number":
        return cursor.texts[cursor.place + 1 : cursor.place + 2] in (
            ["foll"],
            ["following"],
            ["alt"],
            ["alternate"],
        )
    return cursor.sees("next", "every", "foll", "following", "the", "each", "alt", "alternate")


def _rows_term(cursor: Cursor) -> tuple[Number, bool] | None:
    """`next 5 rows`, `foll 4 alt rows`, `every foll 4th row 3 times`; True where no number ends it."""
    cursor.word("the")
    if cursor.sees("this") and cursor.texts[cursor.place + 1 : cursor.place + 2] != ["and"]:
        cursor.word("this")
        return (1, False) if cursor.phrase(words.ROWS) else None
    if cursor.word("next", "foll", "following", "this") and cursor.sees("and", ",", "then", "&"):
        return 1, False
    if cursor.ordinal() is not None and cursor.sees("and", ",", "then", "&"):
        return 1, False
    every = cursor.word("every", "each")
    number = cursor.number()
    cursor.word("foll", "following", "other", "alt", "alternate", "rs", "ws")
    number = cursor.number() if number is None else number
    spaced = (
        cursor.word("alt", "alternate", "other", "rs", "ws", "right-side") or cursor.ordinal() is not None
    )
    spaced = spaced or every
    if not cursor.phrase(words.ROWS):
        return None
    times = cursor.attempt(lambda: _how_many(cursor))
    if times is not None:
        return times, False
    if every:
        return 0, True
    return (1 if number is None else number), False


def _how_many(cursor: Cursor) -> Number | None:
    cursor.word(",")
    return cursor.times()


def _until(cursor: Cursor, craft: str) -> Number | None:
    cursor.word(",")
    if not cursor.word("until", "to", "till"):
        return None
    cursor.words("there are")
    cursor.words("you have")
    cursor.word("only")
    number = cursor.number()
    if number is None or read_kind(cursor, craft) is None:
        return None
    cursor.phrase(words.SAID_END)
    return number


def read_again(tokens: list[Token], craft: str) -> Again | None:
    """`Rep rows 2 and 3 four more times`, `As row 2`, `Rep last 2 rows until there are 20 rows`."""
    cursor = Cursor(tokens)
    again = cursor.attempt(lambda: _again(cursor, craft))
    cursor.skip_separators()
    while cursor.phrase(words.IDLE):
        cursor.skip_separators()
    return again if again is not None and cursor.ended() else None


def _again(cursor: Cursor, craft: str) -> Again | None:
    if not cursor.phrase(words.AGAIN):
        return None
    rows = _last_rows(cursor) or cursor.attempt(lambda: _numbered_rows(cursor))
    if rows is None:
        return None
    cursor.word(",")
    more = cursor.attempt(lambda: _how_often(cursor))
    until_rows = cursor.attempt(lambda: _until_rows(cursor)) if more is None else None
    until = cursor.attempt(lambda: _until(cursor, craft)) if more is None and until_rows is None else None
    return replace(rows, times=more, until=until, until_rows=until_rows)


def _last_rows(cursor: Cursor) -> Again | None:
    def read() -> Again | None:
        these = cursor.word("the", "these", "those", "both")
        these = these or cursor.word("this")
        if not cursor.word("last", "previous", "prev", "these", "preceding", "above") and not these:
            return None
        number = cursor.number()
        if number is None and not cursor.sees("row", "rnd", "round", "two"):
            return None
        cursor.word(
            "heel", "rib", "lace", "pattern", "patt", "decrease", "dec", "inc", "increase", "short", "shaping"
        )
        return Again(last=1 if number is None else number) if cursor.phrase(words.ROWS) else None

    return cursor.attempt(read)


def _numbered_rows(cursor: Cursor) -> Again | None:
    cursor.word("the")
    named = cursor.phrase(words.ROWS)
    first = _row_number(cursor)
    if first is None:
        return None
    to: Number | None = first
    if cursor.word("-", "to", "and", "&", "through"):
        cursor.phrase(words.ROWS)
        to = _row_number(cursor)
    if to is None:
        return None
    named = cursor.phrase(words.ROWS) or named
    return Again(first, to) if named else None


def _row_number(cursor: Cursor) -> Number | None:
    number = cursor.number()
    return cursor.ordinal() if number is None else number


def _how_often(cursor: Cursor) -> Number | None:
    if cursor.sees("once", "twice", "thrice"):
        times = cursor.times()
        cursor.word("more", "again")
        return times
    cursor.word("another", "a", "for")
    cursor.words("further")
    number = cursor.number()
    if number is None:
        return None
    if cursor.phrase(words.MORE_TIMES) or cursor.word("times", "time"):
        cursor.word("more")
        return number
    return None


def _until_rows(cursor: Cursor) -> Number | None:
    if not cursor.word("until", "to", "till"):
        return None
    cursor.words("there are")
    cursor.words("you have")
    number = cursor.number()
    if number is None or not cursor.phrase(words.ROWS):
        return None
    cursor.attempt(lambda: (cursor.word("of", "in") and cursor.phrase(words.PLAIN_FABRICS)) or None)
    cursor.words("in all")
    return number
