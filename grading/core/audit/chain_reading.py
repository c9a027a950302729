"""Reads chains, rings, slip stitches and joins."""

from dataclasses import replace

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.places import read_extent, read_kind, read_place
from grading.core.audit.stitch_reading import read_slip, read_stitch
from grading.core.audit.tree import (
    CastOn,
    Chain,
    Each,
    FromHook,
    Idle,
    Item,
    Kind,
    Next,
    Opposite,
    Place,
    Same,
    Skip,
    Slip,
    Turn,
    TurningChain,
    Unread,
)


def read_join(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read how a round is joined, or a chain closed to a ring; nothing of it is counted."""
    if cursor.attempt(lambda: _joins_with_stitch(cursor, craft)):
        return Idle()
    joined = cursor.phrase(words.JOIN_WITH)
    stitched = cursor.phrase(words.JOIN_STITCH)
    if not joined and not stitched:
        return None
    ring = cursor.attempt(lambda: _to_ring(cursor, craft))
    if ring:
        return Idle(ring=True)
    if not joined and (not has_work(items) or cursor.attempt(lambda: _picot_base(cursor))):
        return None
    if cursor.attempt(lambda: cursor.phrase(words.JOIN_INTO) and _first_or_top(cursor, craft)):
        cursor.attempt(lambda: cursor.words("to join") or cursor.words("and join"))
        return Idle()
    if cursor.words("to join"):
        cursor.attempt(lambda: cursor.phrase(words.JOIN_INTO) and _first_or_top(cursor, craft))
        return Idle()
    if joined:
        cursor.phrase(words.UNTWISTED)
    return Idle() if joined and cursor.clause_ended() else None


def _to_ring(cursor: Cursor, craft: str) -> bool:
    """`join to form a ring`, `sl st in first ch to form ring`."""
    cursor.attempt(lambda: cursor.phrase(words.JOIN_STITCH))
    if cursor.phrase(words.TO_RING):
        return True
    cursor.attempt(lambda: cursor.phrase(words.JOIN_INTO) and read_place(cursor, craft))
    return cursor.phrase(words.TO_RING)


def read_ring(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """`Make a magic ring`, `magic ring,`, `in a magic circle work`: what follows is worked into it."""
    made = cursor.phrase(words.MAKE_RING)
    into = not made and cursor.phrase(words.INTO)
    start = cursor.place
    if not cursor.phrase(words.RING) or (not made and cursor.tokens[start].text in ("loop", "circle", "the")):
        return None
    if not into:
        return Idle(ring=True) if cursor.clause_ended() else None
    if not cursor.word(",", ":") and not cursor.phrase(words.VERBS):
        return None
    return Idle(ring=True)


def read_chain(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read chains."""
    cursor.phrase(words.VERBS)
    if cursor.phrase(words.CHAIN):
        number = cursor.number()
        if number is None:
            number = 1
        cursor.phrase(words.CHAIN_NOUNS)
    else:
        number = cursor.number()
        if number is None or not cursor.phrase(words.CHAIN_NOUNS):
            return None
    if cursor.sees("sp", "sps", "space", "spaces", "loop", "lp", "lps"):
        return None
    if cursor.word("more"):
        pass
    if cursor.word("+"):
        extra = cursor.number()
        number = number + extra if isinstance(number, int) and isinstance(extra, int) else number
    cursor.phrase(words.CHAIN_TAILS)
    return Chain(number, on_slip=cursor.phrase(words.ON_SLIP))


def read_slip_stitches(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read slip stitches over places."""
    if craft == "knitting":
        return None
    cursor.phrase(words.VERBS)
    number = cursor.number()
    if not read_slip(cursor):
        return None
    after = cursor.number()
    cursor.phrase(words.SIDES)
    if cursor.attempt(lambda: _picot_base(cursor)):
        return Slip(FromHook(1))
    space = cursor.attempt(lambda: _to_space(cursor, craft))
    if space is not None:
        return Slip(space)
    extent = cursor.attempt(lambda: _extent_alone(cursor, craft))
    if extent is not None:
        return Slip(extent)
    if cursor.phrase(words.INTO) or cursor.word("over", "across"):
        place = read_place(cursor, craft)
        if place is None and cursor.now() is not None:
            cursor.word("next", "first")
            many = cursor.number()
            place = Next(many) if many is not None and read_kind(cursor, craft) else None
        return None if place is None else Slip(_and_into_next(cursor, craft, place))
    number = number if number is not None else after
    return Slip(Next(number)) if number is not None else None


def _extent_alone(cursor: Cursor, craft: str) -> Each | None:
    """`across`, `to the last 3 sts`; `across the next 3 sts` names places."""
    extent = read_extent(cursor, craft)
    return extent if cursor.clause_ended() else None


def _to_space(cursor: Cursor, craft: str) -> Next | None:
    """`to next ch-2 sp`, `in next 2 dc and into ch-sp`: the hook is brought to a space."""
    cursor.word("to", "up")
    cursor.word("to")
    cursor.phrase(words.INTO)
    place = read_place(cursor, craft)
    if isinstance(place, Next) and place.kind is Kind.STITCH:
        cursor.word(",")
        cursor.word("and", "then")
        if not (cursor.phrase(words.INTO) or cursor.word("to")):
            return None
        place = read_place(cursor, craft)
    return place if isinstance(place, Next) and place.kind is Kind.SPACE else None


def _picot_base(cursor: Cursor) -> bool:
    """`in first of these 3 ch`, `in the first ch of the ch-3`: a picot is closed."""
    if not cursor.phrase(words.INTO) or not cursor.phrase(words.FIRST):
        return False
    cursor.phrase(words.CHAIN_NOUNS)
    if not cursor.word("of"):
        return False
    cursor.word("these", "those", "the", "this")
    cursor.number()
    named = cursor.phrase(words.CHAIN_NOUNS)
    cursor.number()
    cursor.words("just made")
    return named


def _and_into_next(cursor: Cursor, craft: str, place: Place) -> Place:
    """`over 4 sts and into the next st` is 5."""

    def further() -> Next | None:
        cursor.word(",")
        cursor.word("and", "then")
        if not cursor.phrase(words.INTO):
            return None
        found = read_place(cursor, craft)
        return found if isinstance(found, Next) and found.number == 1 else None

    if not isinstance(place, Next) or not isinstance(place.number, int) or place.kind is not Kind.STITCH:
        return place
    return replace(place, number=place.number + 1) if cursor.attempt(further) else place


def _joins_with_stitch(cursor: Cursor, craft: str) -> bool:
    """`Join B with sc in first st`: the yarn is joined by the stitch that follows."""
    if not cursor.word("join", "attach", "rejoin"):
        return False
    if not cursor.phrase(words.COLOURS):
        cursor.word("new", "next")
        if not cursor.word("yarn", "colour", "color"):
            return False
    if not cursor.word("with"):
        return False
    cursor.word("a", "an", "standing")
    start = cursor.place
    follows = read_stitch(cursor, craft) is not None and not cursor.texts[start].startswith(("sl", "ss"))
    cursor.place = start
    return follows


def has_work(items: list[Item]) -> bool:
    """Whether anything has been worked yet."""
    return any(not isinstance(item, Chain | Idle | Turn | Skip | Slip | Unread) for item in items)


def _first_or_top(cursor: Cursor, craft: str) -> bool:
    """What a round is joined to."""
    place = read_place(cursor, craft)
    if isinstance(place, Next) and place.first and place.number == 1:
        return True
    return isinstance(place, TurningChain | Same | FromHook)


def read_foundation(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """`Fsc 50`, `work 36 foundation single crochet (fsc)`: a row without a chain beneath."""
    if craft != "crochet":
        return None
    cursor.phrase(words.VERBS)
    number = cursor.number()
    cursor.phrase(words.VERBS)
    if not cursor.phrase(words.FOUNDATION_STITCHES):
        return None
    cursor.attempt(lambda: cursor.word("(") and cursor.phrase(words.FOUNDATION_STITCHES) and cursor.word(")"))
    number = cursor.number() if number is None else number
    cursor.phrase(words.STITCH_NOUNS)
    return CastOn(number) if number is not None and cursor.clause_ended() else None


def read_opposite(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read that the other side of the starting chain is worked."""
    cursor.phrase(words.OPPOSITE_VERBS)
    cursor.word("the")
    return Opposite() if cursor.phrase(words.OPPOSITE) else None
