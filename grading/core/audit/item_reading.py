"""Reads stitches bound off, cast on, held, left or skipped, and words that no count depends on."""

from grading.core.audit import words
from grading.core.audit.chain_reading import has_work
from grading.core.audit.cursor import Cursor
from grading.core.audit.phrases import Phrases
from grading.core.audit.places import read_kind, read_place
from grading.core.audit.tree import (
    BindOff,
    CastOn,
    ForRows,
    FromHook,
    Hold,
    Idle,
    Item,
    Kind,
    Leave,
    Next,
    PickUp,
    Repeat,
    Same,
    Skip,
    Turn,
    TurningChain,
)


def read_bind_off(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read stitches bound off; None as a number for all that are left."""
    if craft == "crochet" or not cursor.phrase(words.BIND_OFF):
        return None
    cursor.phrase(words.EVEN_TAILS)
    _pass_over_one(cursor, (words.MIDDLE, words.EACH, words.LAST, words.REST, words.NEXT, words.FIRST))
    cursor.word("the", "these")
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


def read_lining(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read `knit across the {n} sts of one lining`: stitches that come in beside those of the row."""
    if not cursor.word("k", "knit", "p", "purl", "work"):
        return None
    cursor.word("across", "over")
    cursor.word("the", "all")
    number = cursor.number()
    is_told = (
        number is not None and read_kind(cursor, craft) is Kind.STITCH and cursor.phrase(words.OF_LINING)
    )
    return CastOn(number) if number is not None and is_told else None


def read_hold(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read stitches put on a holder in mid-row, or left there at its end."""
    if not cursor.phrase(words.HOLD_VERBS):
        return None
    cursor.phrase(words.THESE)
    following = cursor.phrase(words.NEXT) or cursor.phrase(words.FIRST)
    rest = not following and (cursor.phrase(words.LAST) or cursor.phrase(words.REST))
    all_of_them = cursor.word("the")
    number = cursor.number()
    if read_kind(cursor, craft) is None:
        return None
    rest = cursor.phrase(words.THAT_REMAIN) or rest
    if all_of_them and not rest:
        return None
    cursor.phrase(words.OF_PIECE)
    if not cursor.phrase(words.HOLDERS):
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
    rest = _pass_over_one(cursor, (words.THESE, words.LAST, words.REST, words.NEXT, words.FIRST))
    number = cursor.number()
    unworked = cursor.phrase(words.UNWORKED)
    noun = unworked or read_kind(cursor, craft)
    cursor.phrase(words.OF_PIECE)
    unworked = unworked or cursor.phrase(words.UNWORKED)
    if not (rest or number is not None) or (with_word and not unworked) or not (noun or unworked):
        return None
    if number is not None and unworked and cursor.phrase(words.EACH_END):
        return Repeat((Leave(number), Leave(number)))
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


def read_until_rows(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """`until there are 20 rows`: the row is worked again and again."""
    if not cursor.phrase(words.UNTIL_THERE_ARE):
        return None
    number = cursor.number()
    if number is None or not cursor.phrase(words.ROWS):
        return None
    cursor.phrase(words.IN_ALL)
    return ForRows(number, total=True) if items else None


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


def read_idle(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read words that no count depends on: turning, tools, colours, markers."""
    if cursor.phrase(words.QUARTER_TURN):
        return Idle()
    if cursor.phrase(words.TURN):
        return Turn()
    if (not has_work(items) or _on_edge(items)) and cursor.attempt(
        lambda: cursor.phrase(words.EDGES) and (cursor.clause_ended() or cursor.sees("pick", "work"))
    ):
        return Idle()
    if cursor.attempt(
        lambda: cursor.phrase(words.COLOUR_VERBS) and cursor.phrase(words.COLOURS) and _and_tool(cursor)
    ):
        return Idle()
    if cursor.attempt(lambda: _tool(cursor, craft)):
        return Idle()
    if cursor.phrase(words.RETURN) or cursor.phrase(words.IDLE) or cursor.phrase(words.SIDES):
        return Idle()
    if cursor.attempt(lambda: _markers(cursor, craft)):
        return Idle()
    if cursor.attempt(lambda: cursor.phrase(words.COLOUR_VERBS) and cursor.phrase(words.COLOURS)):
        return Idle()
    return None


def _markers(cursor: Cursor, craft: str) -> bool:
    """`placing 4 markers for the raglan lines`."""
    if not cursor.word("place", "placing", "pm", "insert"):
        return False
    if cursor.number() is None:
        return False
    named = cursor.word("marker", "markers", "m")
    cursor.phrase(words.MARKER_TAILS)
    return named


def _tool(cursor: Cursor, craft: str) -> bool:
    """`with A and the larger hook`, `change to the smaller needles`."""
    if not cursor.phrase(words.TOOL_VERBS):
        return False
    if cursor.phrase(words.COLOURS) and not cursor.word("and"):
        return False
    if not _tool_named(cursor):
        return False
    cursor.attempt(lambda: cursor.word("and", "&") and cursor.phrase(words.COLOURS))
    return True


def _tool_named(cursor: Cursor) -> bool:
    cursor.word("the", "a", "your")
    while cursor.word(*words.TOOL_ADJECTIVES):
        pass
    return cursor.word("hook", "hooks", "needle", "needles", "dpns", "dpn")


def _and_tool(cursor: Cursor) -> bool:
    cursor.attempt(lambda: cursor.word("and") and _tool_named(cursor))
    return not cursor.sees("with")


def _pass_over_one(cursor: Cursor, tables: tuple[Phrases, ...]) -> bool:
    return any(cursor.phrase(table) for table in tables)


def _on_edge(items: list[Item]) -> bool:
    """Whether what was worked last is along an edge."""
    last = next((item for item in reversed(items) if not isinstance(item, Idle)), None)
    place = getattr(last, "place", None)
    return isinstance(last, PickUp) or getattr(place, "kind", None) is Kind.ROW_END
