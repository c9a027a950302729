"""Reads single items of a row: joins, chains, slip stitches, held stitches, words that say nothing."""

from dataclasses import replace

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.phrases import Phrases
from grading.core.audit.places import read_extent, read_kind, read_place
from grading.core.audit.stitch_reading import read_slip
from grading.core.audit.tree import (
    BindOff,
    CastOn,
    Chain,
    FromHook,
    Hold,
    Idle,
    Item,
    Kind,
    Leave,
    Next,
    Opposite,
    PickUp,
    Place,
    Same,
    Skip,
    Slip,
    Turn,
    TurningChain,
    Unread,
    UntilRows,
)


def read_join(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read how a round is joined, or a chain closed to a ring; nothing of it is counted."""
    joined = cursor.phrase(words.JOIN_WITH)
    stitched = cursor.phrase(words.JOIN_STITCH)
    if not joined and not stitched:
        return None
    ring = cursor.attempt(lambda: _to_ring(cursor, craft))
    if ring:
        return Idle(ring=True)
    if not joined and not _has_work(items):
        return None
    if cursor.attempt(lambda: cursor.phrase(words.JOIN_INTO) and _first_or_top(cursor, craft)):
        cursor.attempt(lambda: cursor.words("to join") or cursor.words("and join"))
        return Idle()
    if cursor.words("to join"):
        cursor.attempt(lambda: cursor.phrase(words.JOIN_INTO) and _first_or_top(cursor, craft))
        return Idle()
    return Idle() if joined and cursor.clause_ended() else None


def _to_ring(cursor: Cursor, craft: str) -> bool:
    """`join to form a ring`, `sl st in first ch to form ring`."""
    cursor.attempt(lambda: cursor.phrase(words.JOIN_STITCH))
    cursor.attempt(lambda: cursor.phrase(words.JOIN_INTO) and read_place(cursor, craft))
    return cursor.phrase(words.TO_RING)


def read_bind_off(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read stitches bound off; None as a number for all that are left."""
    if craft == "crochet" or not cursor.phrase(words.BIND_OFF):
        return None
    cursor.phrase(words.EVEN_TAILS)
    _pass_over_one(cursor, (words.MIDDLE, words.EACH, words.LAST, words.REST, words.NEXT, words.FIRST))
    number = cursor.number()
    cursor.phrase(words.MIDDLE)
    noun = read_kind(cursor, craft)
    while cursor.phrase(words.BIND_TAILS):
        pass
    return BindOff(number) if number is not None or noun or cursor.clause_ended() else None


def read_cast_on(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read stitches cast on."""
    if not cursor.phrase(words.CAST_ON):
        return None
    number = cursor.number()
    if number is None:
        return None
    cursor.word("new", "more")
    read_kind(cursor, craft)
    while cursor.phrase(words.CAST_TAILS):
        pass
    return CastOn(number)


def read_hold(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read stitches put on a holder in mid-row, or left there at its end."""
    if not cursor.phrase(words.HOLD_VERBS):
        return None
    cursor.phrase(words.THESE)
    following = cursor.phrase(words.NEXT) or cursor.phrase(words.FIRST)
    rest = not following and (cursor.phrase(words.LAST) or cursor.phrase(words.REST))
    number = cursor.number()
    if read_kind(cursor, craft) is None or not cursor.phrase(words.HOLDERS):
        return None
    while cursor.phrase(words.IDLE):
        pass
    if rest or (number is None and not following):
        return Leave(number)
    return Hold(1 if number is None else number)


def read_leave(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read stitches left unworked at the end."""
    with_word = cursor.sees("with")
    if not cursor.phrase(words.LEAVE):
        return None
    rest = _pass_over_one(cursor, (words.THESE, words.LAST, words.REST, words.NEXT))
    number = cursor.number()
    unworked = cursor.phrase(words.UNWORKED)
    noun = unworked or read_kind(cursor, craft)
    unworked = unworked or cursor.phrase(words.UNWORKED)
    if not (rest or number is not None) or (with_word and not unworked) or not (noun or unworked):
        return None
    return Leave(number)


def read_left(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """`the other 21 sts stay unworked`: what is left comes first."""
    if not _pass_over_one(cursor, (words.REST, words.LAST, words.THESE)):
        return None
    number = cursor.number()
    if read_kind(cursor, craft) is None or not cursor.phrase(words.STAY):
        return None
    return Leave(number) if cursor.phrase(words.UNWORKED) or cursor.phrase(words.HOLDERS) else None


def read_skip(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read places passed over."""
    start = cursor.attempt(lambda: cursor.phrase(words.STARTING_IN) and read_place(cursor, craft))
    if isinstance(start, FromHook):
        return Skip(start)
    if not cursor.phrase(words.SKIP):
        return None
    place = read_place(cursor, craft)
    if place is None:
        number = cursor.number()
        read_kind(cursor, craft)
        place = Next(number) if number is not None else None
    return Skip(place) if isinstance(place, Next | Same | TurningChain) else None


def read_opposite(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read that the other side of the starting chain is worked."""
    cursor.phrase(words.OPPOSITE_VERBS)
    cursor.word("the")
    return Opposite() if cursor.phrase(words.OPPOSITE) else None


def read_until_rows(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """`until there are 20 rows`: the row is worked again and again."""
    if not cursor.phrase(words.UNTIL_THERE_ARE) or cursor.tokens[cursor.place - 1].text == "for":
        return None
    number = cursor.number()
    if number is None or not cursor.phrase(words.ROWS):
        return None
    cursor.phrase(words.IN_ALL)
    return UntilRows(number) if items else None


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
    if cursor.phrase(words.INTO) or cursor.word("over", "across"):
        place = read_place(cursor, craft)
        if place is None and cursor.now() is not None:
            cursor.word("next", "first")
            many = cursor.number()
            place = Next(many) if many is not None and read_kind(cursor, craft) else None
        return None if place is None else Slip(_and_into_next(cursor, craft, place))
    extent = read_extent(cursor, craft)
    if extent is not None:
        return Slip(extent)
    number = number if number is not None else after
    return Slip(Next(number)) if number is not None else None


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


def read_return(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read the return pass of Tunisian work, over all loops or so many."""
    if craft != "tunisian" or not cursor.phrase(words.RETURN):
        return None
    cursor.attempt(lambda: _over_loops(cursor, craft))
    return Idle()


def _over_loops(cursor: Cursor, craft: str) -> bool:
    """`over 13 sts`, `over these sts`, `through all loops`."""
    if not cursor.word("over", "through", "across", "on"):
        return False
    cursor.phrase(words.THESE)
    cursor.phrase(words.EACH)
    cursor.number()
    return read_kind(cursor, craft) is not None and (cursor.word("only") or True)


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


def read_idle(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read words that no count depends on: turning, tools, colours, markers."""
    if cursor.phrase(words.QUARTER_TURN):
        return Idle()
    if cursor.phrase(words.TURN):
        return Turn()
    if (not _has_work(items) or _on_edge(items)) and cursor.attempt(
        lambda: cursor.phrase(words.EDGES) and (cursor.clause_ended() or cursor.sees("pick", "work"))
    ):
        return Idle()
    if cursor.phrase(words.RETURN) or cursor.phrase(words.IDLE) or cursor.phrase(words.SIDES):
        return Idle()
    if cursor.attempt(lambda: _markers(cursor, craft)) or cursor.attempt(
        lambda: _tool(cursor, craft) or None
    ):
        return Idle()
    if cursor.attempt(lambda: cursor.phrase(words.COLOUR_VERBS) and cursor.phrase(words.COLOURS)):
        return Idle()
    return None


def _markers(cursor: Cursor, craft: str) -> bool:
    """`placing 4 markers for the raglan lines`."""
    if not cursor.word("place", "placing", "pm", "insert"):
        return False
    if cursor.number() is None:
        if not (cursor.word("a", "the") and cursor.word("marker")):
            return False
        while not cursor.clause_ended():
            cursor.place += 1
        return True
    named = cursor.word("marker", "markers", "m")
    cursor.phrase(words.MARKER_TAILS)
    return named


def _tool(cursor: Cursor, craft: str) -> bool:
    """`with A and the larger hook`, `change to the smaller needles`."""
    if not cursor.phrase(words.TOOL_VERBS):
        return False
    if cursor.phrase(words.COLOURS) and not cursor.word("and"):
        return False
    cursor.word("the", "a", "your")
    while cursor.word(*words.TOOL_ADJECTIVES):
        pass
    return cursor.word("hook", "hooks", "needle", "needles", "dpns", "dpn")


def _pass_over_one(cursor: Cursor, tables: tuple[Phrases, ...]) -> bool:
    return any(cursor.phrase(table) for table in tables)


def _on_edge(items: list[Item]) -> bool:
    """Whether what was worked last is along an edge."""
    last = next((item for item in reversed(items) if not isinstance(item, Idle)), None)
    place = getattr(last, "place", None)
    return isinstance(last, PickUp) or getattr(place, "kind", None) is Kind.ROW_END


def _has_work(items: list[Item]) -> bool:
    return any(not isinstance(item, Chain | Idle | Turn | Skip | Slip | Unread) for item in items)


def _first_or_top(cursor: Cursor, craft: str) -> bool:
    """What a round is joined to."""
    place = read_place(cursor, craft)
    if isinstance(place, Next) and place.first and place.number == 1:
        return True
    return isinstance(place, TurningChain | Same | FromHook)
