"""Reads stitches picked up or worked along an edge, and at what rate of its row ends."""

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.places import read_kind, read_place
from grading.core.audit.stitches import Stitch
from grading.core.audit.tokens import Number
from grading.core.audit.tree import Idle, Item, Next, PickUp, Work


def read_pick_up(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read `pick up and k 3 sts for every 4 rows along the edge`."""
    if any(isinstance(item, PickUp) for item in items) and not cursor.attempt(lambda: _rate(cursor)):
        more = cursor.attempt(lambda: _more_picked_up(cursor))
        if more is not None:
            return PickUp(more)
    cursor.phrase(words.EDGES)
    if not cursor.phrase(words.PICK_UP):
        return None
    take = cursor.number()
    if take is None or not read_kind(cursor, craft):
        return None
    if cursor.attempt(lambda: along_edge(cursor, craft) and cursor.clause_ended()):
        return PickUp(take)
    cursor.phrase(words.EVENLY)
    cursor.phrase(words.EDGES)
    rate = cursor.attempt(lambda: read_rate_of(cursor, take))
    if rate is not None:
        return rate
    placed = cursor.attempt(lambda: _in_next(cursor, craft, take))
    if placed is not None:
        return placed
    if not (cursor.word("for", "in", "from", "per", "along")):
        return PickUp(take)
    cursor.word("every", "each", "per")
    per = cursor.number()
    if read_kind(cursor, craft) is None:
        return None
    cursor.phrase(words.EDGES)
    return PickUp(take, 1 if per is None else per)


def _more_picked_up(cursor: Cursor) -> Number | None:
    """`and 20 along the front`, after a pick-up along another edge."""
    number = cursor.number()
    cursor.phrase(words.STITCH_NOUNS)
    if number is None or not cursor.word(*words.DIRECTIONS):
        return None
    start = cursor.place
    while not cursor.clause_ended() and cursor.place - start < 12:
        cursor.place += 1
    edge = any(token.text in words.EDGE_NOUNS for token in cursor.tokens[start : cursor.place])
    return number if edge and cursor.clause_ended() else None


def _in_next(cursor: Cursor, craft: str, take: Number) -> Work | None:
    """`1 st in each of the next 2 row ends`: so many in each place."""
    if not cursor.phrase(words.INTO):
        return None
    place = read_place(cursor, craft)
    return Work(Stitch("pick up"), place, take) if isinstance(place, Next) else None


def read_rate_of(cursor: Cursor, take: Number) -> PickUp | None:
    """`3 dc for each 2 row ends`, `3 sc into each pair of row ends`, `1 in 3 out of every 4 rows`."""
    if not cursor.phrase(words.AT_RATE):
        return None
    if cursor.phrase(words.END_OF_EACH):
        number = cursor.number()
        named = cursor.phrase(words.ROWS)
        cursor.phrase(words.EDGES)
        return PickUp(take, 1 if number is None else number) if named else None
    share = cursor.attempt(lambda: _share(cursor))
    if (
        not share
        and not cursor.word("each", "every", "per")
        and cursor.tokens[cursor.place - 1].text != "per"
    ):
        return None
    cursor.words("of the")
    paired = cursor.words("pair of") or cursor.words("two of the")
    per = 2 if paired else cursor.number()
    if not cursor.phrase(words.ROW_END_NOUNS):
        return None
    cursor.phrase(words.EDGES)
    if share:
        return PickUp(share, per) if take == 1 and per is not None else None
    return PickUp(take, 1 if per is None else per)


def _share(cursor: Cursor) -> Number | None:
    """`3 out of every`: how many of so many."""
    number = cursor.number()
    if number is None or not (
        cursor.words("out of every") or cursor.words("out of each") or cursor.words("of every")
    ):
        return None
    return number


def read_rate(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """`4 in every 3 row ends`: how a pick-up is spread, when its number has been said."""
    if not any(isinstance(item, PickUp) for item in items):
        return None
    return Idle() if cursor.attempt(lambda: _rate(cursor)) else None


def _rate(cursor: Cursor) -> bool:
    cursor.word("that", "which")
    cursor.word("is", "being", "working")
    number = cursor.number()
    if number is None:
        return False
    cursor.phrase(words.STITCH_NOUNS)
    return read_rate_of(cursor, number) is not None


def along_edge(cursor: Cursor, craft: str) -> bool:
    """`evenly along the row ends of the rib`, `up the right front`: words to the end of the clause."""
    evenly = cursor.phrase(words.EVENLY)
    if not cursor.word(*words.DIRECTIONS) and not (evenly and cursor.sees("the")):
        return evenly and cursor.clause_ended()
    edge = False
    start = cursor.place
    while not cursor.ended() and not cursor.clause_ended() and cursor.place - start < 14:
        edge = edge or cursor.sees(*words.EDGE_NOUNS)
        counted = cursor.tokens[cursor.place].kind == "number" and not cursor.sees("one")
        if counted or cursor.sees("in", "each", "every", "next", "last"):
            return False
        cursor.place += 1
    return edge
