"""Reads where a stitch is worked: `next 3 sts`, `each st to last 2 sts`, `same st`, `2nd ch from hook`."""

from collections.abc import Callable
from dataclasses import replace

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.stitch_reading import read_stitch
from grading.core.audit.tree import (
    Each,
    EveryNth,
    FromHook,
    It,
    Kind,
    Next,
    Nth,
    Place,
    Ring,
    Same,
    TurningChain,
)


def read_places(cursor: Cursor, craft: str) -> tuple[Place, ...]:
    """One place or more, joined by `and in`; none when the words name none."""
    places: list[Place] = []
    place = read_place(cursor, craft)
    while place is not None:
        start = _start_of_chain(cursor) if isinstance(place, Each) else None
        places += [place] if start is None else [start, place]
        place = cursor.attempt(lambda: _further_place(cursor, craft))
    return tuple(places)


def _start_of_chain(cursor: Cursor) -> FromHook | None:
    """`in every ch from the 2nd`, `each ch across, beginning with the 3rd ch from hook`."""

    def read() -> FromHook | None:
        cursor.word(",")
        if not cursor.phrase(words.STARTING_IN):
            return None
        cursor.word("the")
        number = cursor.ordinal()
        cursor.phrase(words.CHAIN_NOUNS)
        cursor.phrase(words.FROM_HOOK)
        cursor.word("on", "onwards", "onward")
        return None if number is None else FromHook(number)

    return cursor.attempt(read)


def _further_place(cursor: Cursor, craft: str) -> Place | None:
    cursor.word(",")
    if not cursor.word("and", "then", "&"):
        return None
    cursor.word("also", "again")
    if not cursor.phrase(words.INTO) and not cursor.sees(
        "next", "each", "every", "last", "first", "the", "all"
    ):
        return None
    return read_place(cursor, craft)


def read_place(cursor: Cursor, craft: str) -> Place | None:
    """The place that the words name, or None."""
    return cursor.attempt(lambda: _read_place(cursor, craft))


def _read_place(cursor: Cursor, craft: str) -> Place | None:
    named: tuple[Callable[[Cursor], Place | None], ...] = (_ring, _from_hook, _chain_top, _same, _it)
    place = cursor.first_of(named, cursor)
    if place is not None:
        return place
    while cursor.phrase(words.BACK_LOOP_OF) or cursor.phrase(words.SIDES):
        pass
    if cursor.phrase(words.TURNING):
        return TurningChain()
    place = _counted_place(cursor, craft)
    if place is not None:
        _pass_over_tail(cursor)
    return place


def _ring(cursor: Cursor) -> Place | None:
    if not cursor.phrase(words.RING):
        return None
    return None if cursor.sees("on") else Ring()


def _same(cursor: Cursor) -> Place | None:
    if not cursor.phrase(words.SAME):
        return None
    cursor.attempt(lambda: cursor.word("as") and cursor.phrase(words.JOINING_STITCH))
    return Same()


def _it(cursor: Cursor) -> Place | None:
    return It() if cursor.phrase(words.IT) and cursor.clause_ended() else None


def _from_hook(cursor: Cursor) -> Place | None:
    cursor.word("the")
    while cursor.phrase(words.BACK_LOOP_OF):
        cursor.word("the")
    number = cursor.ordinal()
    if number is None:
        return None
    chain = cursor.phrase(words.CHAIN_NOUNS)
    if cursor.phrase(words.FROM_HOOK):
        return FromHook(number)
    return FromHook(number) if chain and not cursor.sees("of", "sp", "sps", "from", "at") else None


def _chain_top(cursor: Cursor) -> Place | None:
    """`top of ch-3`, `3rd of 3 ch`, `3rd ch of beg ch-4`, `3 ch at end`."""
    topped = cursor.phrase(words.BACK_LOOP_OF)
    cursor.word("the")
    ordinal = cursor.ordinal()
    if ordinal is not None:
        cursor.phrase(words.CHAIN_NOUNS)
        topped = cursor.word("of") and (cursor.word("the") or True)
    cursor.word("beg", "beginning", "turning", "starting", "initial", "first", "skipped")
    if cursor.phrase(words.CHAIN_NOUNS):
        if cursor.number() is None:
            return TurningChain() if topped else None
    elif cursor.number() is None or not cursor.phrase(words.CHAIN_NOUNS):
        return None
    if cursor.sees("sp", "sps", "space", "spaces", "loop", "lp"):
        return None
    ended = cursor.words("at end") or cursor.words("at the end")
    return TurningChain() if topped or ended else None


def _counted_place(cursor: Cursor, craft: str) -> Place | None:
    readers: tuple[Callable[[Cursor, str], Place | None], ...] = (
        _rest,
        _ends_of_rows,
        _every_nth,
        _nth,
        _next,
        _each,
        _plain,
    )
    return cursor.first_of(readers, cursor, craft)


def _rest(cursor: Cursor, craft: str) -> Place | None:
    """`in each of the others`, `the rest`, `all the sts in between`."""
    if not cursor.phrase(words.FILL_REST) or not cursor.clause_ended():
        return None
    return Each(kind=Kind.STITCH)


def _ends_of_rows(cursor: Cursor, craft: str) -> Place | None:
    """`the end of each row`, `the side of every row`."""
    if not cursor.phrase(words.END_OF_EACH):
        return None
    return Each(kind=Kind.ROW_END) if cursor.phrase(words.ROWS) else None


def _every_nth(cursor: Cursor, craft: str) -> Place | None:
    """`every other st`, `each alternate st`, `every 3rd row end`."""
    if not cursor.word("every", "each"):
        return None
    number = 2 if cursor.word("other", "alt", "alternate") else cursor.ordinal()
    kind = read_kind(cursor, craft)
    if number is None or number < 2 or kind is None or kind is Kind.SPACE:
        return None
    cursor.phrase(words.END)
    return EveryNth(number, kind)


def _nth(cursor: Cursor, craft: str) -> Place | None:
    """`2nd st`: counted from the start of the row."""
    cursor.word("the")
    number = cursor.ordinal()
    if number is None or read_kind(cursor, craft) is not Kind.STITCH:
        return None
    return None if cursor.sees("from", "before", "after", "of", "below") else Nth(number)


def _next(cursor: Cursor, craft: str) -> Place | None:
    """`next 3 sts`, `each of the next 3 sts`, `first st`, `last 2 sts`, `each of last 7 sts`."""
    each = cursor.phrase(words.EACH_OF)
    first = cursor.phrase(words.FIRST)
    last = not first and cursor.phrase(words.LAST)
    rest = not first and not last and cursor.phrase(words.REST)
    if not (first or last or rest or cursor.phrase(words.NEXT)):
        return None
    number = cursor.count()
    if number is None and (rest or (each and not first and not last)):
        return None
    kind = read_kind(cursor, craft)
    if kind is None:
        if not cursor.clause_ended():
            return None
        kind = Kind.STITCH
    return Next(1 if number is None else number, kind, first=first, last=bool(last))


def _each(cursor: Cursor, craft: str) -> Place | None:
    """`each st to end`, `each of the 14 chs just made`, `every ch-1 sp around`."""
    if not cursor.phrase(words.EACH):
        return None
    left = cursor.word("rem", "remaining", "other")
    number = cursor.count()
    kind = read_kind(cursor, craft)
    if kind is None:
        return Each() if number is None and cursor.phrase(words.END) else None
    if number is not None:
        return Next(number, kind)
    _pass_over_tail(cursor)
    return replace(read_extent(cursor, craft, kind) or Each(kind=kind), left=left)


def _plain(cursor: Cursor, craft: str) -> Place | None:
    """`ch-2 sp`, `corner sp`, `a st`, `3 sts`."""
    cursor.word("a", "the", "one", "that")
    corner = cursor.word("corner", "edge", "border", "marked")
    number = cursor.count()
    kind = read_kind(cursor, craft)
    if kind is None or (kind is Kind.STITCH and number is None and not corner):
        return None
    return Next(1 if number is None else number, kind)


def read_kind(cursor: Cursor, craft: str) -> Kind | None:
    """The kind of place that a noun names."""
    cursor.word("rem", "remaining", "unworked", "free", "live")
    if cursor.attempt(lambda: _space_noun(cursor)):
        return Kind.SPACE
    if cursor.phrase(words.STITCH_NOUNS):
        return Kind.STITCH
    if cursor.phrase(words.ROW_END_NOUNS):
        return Kind.ROW_END
    if cursor.phrase(words.CHAIN_NOUNS):
        return Kind.CHAIN
    if craft != "knitting" and read_stitch(cursor, craft):
        cursor.attempt(lambda: cursor.phrase(words.STITCH_NOUNS))
        return Kind.STITCH
    if craft == "knitting" and cursor.word("knit", "purl", "k", "p"):
        return Kind.STITCH if cursor.phrase(words.STITCH_NOUNS) else None
    return None


def _space_noun(cursor: Cursor) -> bool:
    cursor.word("corner", "same")
    if cursor.phrase(words.CHAIN_NOUNS):
        cursor.number()
    elif cursor.number() is not None and not cursor.phrase(words.CHAIN_NOUNS):
        return False
    return cursor.phrase(words.SPACE_NOUNS)


def read_extent(cursor: Cursor, craft: str, kind: Kind = Kind.STITCH) -> Each | None:
    """How far: to the end, to the last so many, to so many before a marker."""
    readers = (_except_last, _to_remaining, _to_marker, _to_last, _to_turning_chain)
    extent = cursor.first_of(readers, cursor, craft, kind)
    if extent is not None:
        return extent
    return Each(kind=kind) if cursor.phrase(words.END) else None


def _except_last(cursor: Cursor, craft: str, kind: Kind) -> Each | None:
    """`into all sts except the last 2`."""
    if not cursor.phrase(words.EXCEPT_LAST):
        return None
    number = cursor.number()
    read_kind(cursor, craft)
    return Each(1 if number is None else number, kind) if cursor.clause_ended() else None


def _to_last(cursor: Cursor, craft: str, kind: Kind) -> Each | None:
    cursor.phrase(words.END)
    cursor.word("and")
    if not cursor.phrase(words.TO_LAST):
        return None
    number = cursor.number()
    noun = read_kind(cursor, craft)
    if number is None and noun is None:
        return None
    if noun is None and not cursor.clause_ended():
        return None
    _pass_over_tail(cursor)
    return Each(1 if number is None else number, kind)


def _to_turning_chain(cursor: Cursor, craft: str, kind: Kind) -> Each | None:
    cursor.phrase(words.END)
    if not cursor.word("to", "until", "till") and not cursor.words("up to") and not cursor.words("as far as"):
        return None
    cursor.word("beg")
    return Each(1, kind, to_turning_chain=True) if cursor.phrase(words.TURNING) else None


def _to_remaining(cursor: Cursor, craft: str, kind: Kind) -> Each | None:
    """`until 3 sts remain`, `to within 2 sts of end`, `to 3 sts before the end`."""
    cursor.phrase(words.END)
    within = cursor.words("to within") or cursor.words("until within")
    if not within and not cursor.phrase(words.UNTIL_REMAIN):
        return None
    cursor.words("there are")
    cursor.word("only", "the", "last")
    number = cursor.number()
    noun = read_kind(cursor, craft)
    if number is None or noun is None:
        return None
    if within:
        ended = cursor.words("of end") or cursor.words("of the end")
        return Each(number, kind) if ended else None
    return Each(number, kind) if cursor.phrase(words.REMAIN) else None


def _to_marker(cursor: Cursor, craft: str, kind: Kind) -> Each | None:
    cursor.phrase(words.END)
    if not cursor.phrase(words.TO_MARKER):
        return None
    cursor.words("the last") or cursor.word("within", "last")
    one = cursor.words("the st before") or cursor.words("st before")
    number = 1 if one else cursor.number()
    if (
        number is not None
        and not one
        and (read_kind(cursor, craft) is None or not cursor.word("before", "from", "of"))
    ):
        return None
    if not cursor.phrase(words.MARKER):
        return None
    return Each(0 if number is None else number, kind, marker=True)


def _pass_over_tail(cursor: Cursor) -> None:
    """Words after a place that change nothing."""
    while cursor.phrase(words.PLACE_TAILS) or cursor.phrase(words.SIDES):
        pass
