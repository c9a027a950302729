"""Sentences between rows: how many rows are worked straight, what remains, what is done with the work.

statement = straight | rows now | remain | parts | side | as section | note
straight  = work [ straight ] [ in stitch ] ( "until there are N rows" | N [ more ] rows [ more | of stitch ])
"""

from collections.abc import Callable

from grading.core.audit import words
from grading.core.audit.asides import without_marker_asides
from grading.core.audit.cursor import Cursor
from grading.core.audit.fabrics import for_rows
from grading.core.audit.finishing import read_joined_edges, read_note, read_pattern_rows, read_same_rows
from grading.core.audit.notes import read_chain_note
from grading.core.audit.part_reading import read_half, read_parts, read_pieces
from grading.core.audit.places import read_kind
from grading.core.audit.statement_kinds import (
    AsRows,
    AsSection,
    Begin,
    Meanwhile,
    Note,
    Remain,
    RowOverAll,
    RowsNow,
    SideUp,
    Statement,
    Straight,
)
from grading.core.audit.stitch_reading import read_stitch
from grading.core.audit.tokens import Number, Token
from grading.core.audit.tree import Kind


def read_statement(tokens: list[Token], craft: str) -> tuple[Statement, ...] | None:
    """The statements of a sentence, clause by clause; None when a word of it is not known."""
    cursor = Cursor(without_marker_asides(tokens))
    found: list[Statement] = []
    while True:
        cursor.skip_separators()
        if cursor.ended():
            return tuple(found) or None
        statement = _clause(cursor, craft)
        if statement is None:
            return None
        found.append(statement)


def _clause(cursor: Cursor, craft: str) -> Statement | None:
    if cursor.phrase(words.SIDE_UP):
        return SideUp()
    cursor.attempt(lambda: _tool(cursor))
    return cursor.first_of(_CLAUSES, cursor, craft)


def _tool(cursor: Cursor) -> bool:
    """`with the larger hook` before what is worked with it."""
    if not cursor.word("with", "using"):
        return False
    if cursor.phrase(words.COLOURS) and not cursor.word("and"):
        return True
    cursor.word("the", "a")
    while cursor.word(*words.TOOL_ADJECTIVES):
        pass
    return cursor.word("hook", "needle", "needles", "hooks")


def _begin(cursor: Cursor, craft: str) -> Statement | None:
    """`Slip the {n} sts of one sleeve on the larger needle`: the account begins with these."""
    if not cursor.phrase(words.BEGIN_VERBS):
        return None
    cursor.word("the")
    cursor.word("held", "next")
    number = cursor.number()
    if number is None or read_kind(cursor, craft) is None:
        return None
    start = cursor.place
    while not cursor.clause_ended() and cursor.place - start < 12:
        cursor.place += 1
    on_needle = any(
        token.text in ("needle", "needles", "hook") for token in cursor.tokens[start : cursor.place]
    )
    return Begin(number) if on_needle and cursor.clause_ended() else None


def _fabric(cursor: Cursor, craft: str) -> Statement | None:
    """`(knit every round)`, `(knit 1 row, purl 1 row)` after the name of a fabric."""
    if cursor.word("("):
        while not cursor.ended() and not cursor.sees(")"):
            if cursor.number() is None and not cursor.word(",", *words.FABRIC_ASIDES):
                return None
        return Note() if cursor.word(")") else None
    return None


def _other_rows(cursor: Cursor, craft: str) -> Statement | None:
    """`Work the other rounds in garter stitch`: those of a shaping in which no count changes."""
    if not cursor.phrase(words.OTHER_ROWS):
        return None
    _in_stitch(cursor, craft)
    cursor.phrase(words.EVEN_TAILS)
    cursor.attempt(lambda: _turning_chain(cursor, craft))
    return Note() if cursor.clause_ended() else None


def _from_here(cursor: Cursor, craft: str) -> Statement | None:
    """`From here work in sc, with ch 1 (does not count) at the start of each row`."""
    if not cursor.phrase(words.FROM_HERE):
        return None
    if not read_stitch(cursor, craft) and not cursor.phrase(words.PLAIN_FABRICS):
        return None
    cursor.attempt(lambda: _turning_chain(cursor, craft))
    return Note() if cursor.clause_ended() else None


def _turning_chain(cursor: Cursor, craft: str) -> bool:
    cursor.word(",")
    if not cursor.word("with") or not cursor.phrase(words.CHAIN) or cursor.number() is None:
        return False
    if cursor.word("(") and (read_chain_note(cursor, craft) is None or not cursor.word(")")):
        return False
    return cursor.words("at the start of each") and cursor.word("row", "round")


def _idle(cursor: Cursor, craft: str) -> Statement | None:
    if (
        cursor.phrase(words.TURN)
        or cursor.phrase(words.RETURN)
        or cursor.phrase(words.IDLE)
        or cursor.phrase(words.JOIN_WITH)
    ):
        return Note()
    coloured = cursor.attempt(
        lambda: (cursor.phrase(words.COLOUR_VERBS) and cursor.phrase(words.COLOURS)) or None
    )
    return Note() if coloured else None


def _straight(cursor: Cursor, craft: str) -> Statement | None:
    if not cursor.phrase(words.WORK_STRAIGHT):
        return None
    _in_stitch(cursor, craft)
    cursor.phrase(words.OVER_ALL)
    if cursor.phrase(words.UNTIL_THERE_ARE):
        number = cursor.number()
        if number is None or not cursor.phrase(words.ROWS):
            return None
        _in_stitch(cursor, craft)
        over_all = cursor.phrase(words.OVER_ALL)
        above = _above(cursor)
        cursor.phrase(words.IN_ALL)
        told = Straight(number, total=True, above=above, over_all=over_all)
        return told if cursor.clause_ended() else None
    part = cursor.attempt(lambda: _until_part_has(cursor))
    if part is not None:
        return Straight(part[1], total=True, part=part[0]) if cursor.clause_ended() else None
    cursor.attempt(lambda: _first_row(cursor))
    from_below = cursor.sees("for")
    rows = for_rows(cursor)
    if rows is None:
        return None
    _in_stitch(cursor, craft)
    cursor.attempt(lambda: _in_colour(cursor))
    if cursor.phrase(words.WITH_SHAPING):
        return Note() if cursor.clause_ended() else None  # the shaping that follows counts these rows
    cursor.phrase(words.EVEN_TAILS)
    cursor.phrase(words.AS_PIECE)
    cursor.phrase(words.OVER_ALL)
    in_all = cursor.phrase(words.IN_ALL) or rows.total
    cursor.phrase(words.OVER_ALL)
    above = _above(cursor) if from_below else None
    cursor.phrase(words.ABOVE)
    cursor.phrase(words.FOR_PART)
    cursor.phrase(words.AS_FOLLOWS)
    if not cursor.clause_ended():
        return None
    return Straight(rows.rows, total=in_all or above is not None, in_all=in_all, above=above)


def _first_row(cursor: Cursor) -> bool | None:
    """`Work in stockinette stitch, beginning with a purl row, for {n} rows`: what stands between commas."""
    return (cursor.word(",") and cursor.phrase(words.IDLE) and cursor.word(",")) or None


def _until_part_has(cursor: Cursor) -> tuple[str, Number] | None:
    """`Until the shoulder has {n} rows`: the part whose rows are counted, and how many."""
    if not cursor.phrase(words.UNTIL_PART) or cursor.ended():
        return None
    part = cursor.tokens[cursor.place].text
    cursor.place += 1
    number = cursor.number() if cursor.word("has", "is") else None
    return (part, number) if number is not None and cursor.phrase(words.ROWS) else None


# Places that rows are counted from and that no account is kept of.
_NOT_FOLLOWED = {"division", "dividing", "neckband", "collar", "gathers", "set", "increase", "decrease"}


def _above(cursor: Cursor) -> str | None:
    """What rows are counted from, where the words say so."""
    start = cursor.place
    if not cursor.phrase(words.ABOVE):
        return None
    named = {token.text for token in cursor.tokens[start : cursor.place]}
    if named & {"armhole", "underarm", "underarms"}:
        return "armhole"
    if named & _NOT_FOLLOWED:
        return "elsewhere"
    return "marker" if named & {"marker", "markers"} else "edge"


def _in_stitch(cursor: Cursor, craft: str) -> None:
    def read() -> bool | None:
        if not cursor.word("in", "of"):
            return None
        cursor.word("the")
        return bool(read_stitch(cursor, craft) or cursor.phrase(words.PLAIN_FABRICS)) or None

    cursor.attempt(read)


def _after_rows(cursor: Cursor, craft: str) -> Statement | None:
    """`After {n} rounds` change to the smaller needle: when something is done."""
    if not cursor.word("after") or cursor.number() is None or not cursor.phrase(words.ROWS):
        return None
    cursor.phrase(words.IN_ALL)
    return Note()


def _in_colour(cursor: Cursor) -> bool | None:
    """`with A`, `in the main colour` after the rows that are worked in it."""
    if not cursor.word("in", "with", "using"):
        return None
    cursor.word("the")
    return cursor.phrase(words.COLOURS) or None


def _rows_now(cursor: Cursor, craft: str) -> Statement | None:
    if not cursor.phrase(words.THERE_ARE):
        return None
    number = cursor.number()
    shaping = cursor.word("decrease", "increase", "shaping")
    if number is None or not cursor.phrase(words.ROWS):
        return None
    is_part = cursor.phrase(words.ABOVE)
    if not cursor.clause_ended():
        return None
    return Note() if shaping or is_part else RowsNow(number)


def _remain(cursor: Cursor, craft: str) -> Statement | None:
    """`The {n} sts that remain are the shoulder`, `after {m} rounds there are {n} sts`."""
    rows = cursor.number() if cursor.word("after") else None
    cursor.phrase(words.ROWS)
    there = cursor.phrase(words.THERE_ARE)
    joined = cursor.word("join")
    cursor.word("the")
    number = cursor.number()
    if number is None or read_kind(cursor, craft) is not Kind.STITCH:
        return None
    if joined:
        return _joined(cursor, number)
    if not cursor.phrase(words.THAT_REMAIN) and not there:
        return None
    if cursor.word(":"):
        while not cursor.ended() and not cursor.sees("."):
            cursor.place += 1
    cursor.phrase(words.PART_NAMES)
    return Remain(((number, 1),), rows) if cursor.clause_ended() else None


def _joined(cursor: Cursor, number: Number) -> Statement | None:
    """`Join the {n} sts of each shoulder of the front to those of the back`."""
    if not cursor.words("of each shoulder"):
        return None
    while not cursor.ended() and not cursor.sees("."):
        cursor.place += 1
    return Remain(((number, 1),))


def _as_section(cursor: Cursor, craft: str) -> Statement | None:
    """`Work as the back until {n} rows before the end`, `Work as the left front for {n} rows`."""
    if not cursor.phrase(words.AS_THE):
        return None
    title: list[str] = []
    while not cursor.ended() and not cursor.sees("until", "for", "to", "with", ",", ".", ";"):
        title.append(cursor.tokens[cursor.place].text)
        cursor.place += 1
    if not title or len(title) > 4:
        return None
    if cursor.clause_ended():
        return AsSection(" ".join(title))
    if cursor.word("to"):
        return _as_section_to(cursor, " ".join(title))
    if cursor.attempt(lambda: cursor.words("with its") or cursor.words("with the")):
        cursor.place += 1
    until = cursor.word("until")
    if not until:
        cursor.word("for")
    cursor.words("there are")
    return _as_section_rows(cursor, " ".join(title), _row_numbers(cursor, craft))


def _as_section_rows(cursor: Cursor, title: str, numbers: tuple[Number, ...]) -> AsSection | None:
    """So many rows of a section, from its beginning, above its marker, or before its end."""
    if len(numbers) == 1 and cursor.words("before the end"):
        return AsSection(title, before_end=numbers[0])
    above = _above(cursor)
    if not numbers or above in ("armhole", "elsewhere") or not cursor.clause_ended():
        return None
    if above == "marker" and len(numbers) == 1:
        return AsSection(title, above_marker=numbers[0])
    return AsSection(title, rows=numbers)


def _as_section_to(cursor: Cursor, title: str) -> AsSection | None:
    """`Work as the left front to the marker`, `… to the armhole shaping`."""
    marked = cursor.words("the marker") or cursor.words("the markers")
    armhole = not marked and cursor.words("the armhole")
    cursor.word("shaping")
    if not (marked or armhole) or not cursor.clause_ended():
        return None
    return AsSection(title, above_marker=0 if marked else None, to_armhole=armhole)


def _row_numbers(cursor: Cursor, craft: str) -> tuple[Number, ...]:
    """`20 rows of rib and 30 rows of Tss`."""
    numbers: list[Number] = []
    while True:
        number = cursor.number()
        if number is None or not cursor.phrase(words.ROWS):
            return ()
        numbers.append(number)
        _in_stitch(cursor, craft)
        following = cursor.tokens[cursor.place + 1 : cursor.place + 2]
        if not (cursor.sees("and") and following and following[0].kind == "number"):
            return tuple(numbers)
        cursor.place += 1


def _as_rows(cursor: Cursor, craft: str) -> Statement | None:
    """`Work row 1 and row 2 as on the back`, `Work row 1 and the rib as on the back for 12 rows`."""
    if not cursor.phrase(words.WORK_STRAIGHT) or not cursor.phrase(words.ROWS):
        return None
    first = cursor.number()
    to = first
    if cursor.word("and", "to", "-"):
        cursor.phrase(words.ROWS)
        cursor.word("the")
        if not cursor.phrase(words.PLAIN_FABRICS):
            to = cursor.number()
    if first is None or to is None or not cursor.phrase(words.AS_ROWS):
        return None
    title = cursor.tokens[cursor.place].text if cursor.now() else ""
    cursor.place += 1
    if cursor.word("for"):
        number = cursor.number()
        return AsRows(title, rows=number) if number is not None and cursor.phrase(words.ROWS) else None
    return AsRows(title, first, to) if cursor.clause_ended() else None


def _stripe_rows(cursor: Cursor, craft: str) -> Statement | None:
    """`Above the rib repeat 6 rows A, 2 rows B`: colours change no count."""
    cursor.phrase(words.ABOVE)
    cursor.word("repeat", "work")
    found = False
    while True:
        number = cursor.number()
        if number is None or not cursor.phrase(words.ROWS) or not cursor.phrase(words.COLOURS):
            return None
        found = True
        if not cursor.word(",", "and"):
            return Note() if found and cursor.clause_ended() else None


def _meanwhile(cursor: Cursor, craft: str) -> Statement | None:
    """`At the same time, increase at both ends of the back only, on rounds without an increase`."""
    if not cursor.words("at the same time"):
        return None
    cursor.word(",")
    cursor.word("increase", "decrease", "inc", "dec")
    if not cursor.phrase(words.EACH_END) or not cursor.words("of the"):
        return None
    cursor.place += 1
    while cursor.words("and of the") or cursor.words("and the"):
        cursor.place += 1
    cursor.word("only")
    cursor.word(",")
    while cursor.phrase(words.MEANWHILE_ROWS):
        pass
    return Meanwhile() if cursor.clause_ended() else None


def _meant(cursor: Cursor, craft: str) -> Statement | None:
    """`Every 2nd row is the second of each two rows`: which rows are meant; no count depends on it."""
    if not cursor.word("every") or cursor.ordinal() is None or not cursor.phrase(words.ROWS):
        return None
    if not cursor.word("is", "means") or not cursor.word("the") or cursor.ordinal() is None:
        return None
    is_one = cursor.word("of") and cursor.word("each", "every") and cursor.number() is not None
    cursor.phrase(words.ROWS)
    return Note() if is_one and cursor.clause_ended() else None


def _which_row(cursor: Cursor, craft: str) -> Statement | None:
    """`This row is row 1 of the shoulder`, `this counts as row 1`: how a row is called."""
    if not cursor.word("this", "it"):
        return None
    cursor.word("row", "round", "rnd")
    if not cursor.word("is", "counts", "makes"):
        return None
    cursor.word("as")
    number = cursor.number() if cursor.word("row", "round", "rnd") else None
    if number is None:
        return None
    if cursor.phrase(words.OVER_ALL) and cursor.clause_ended():
        return RowOverAll(number)
    while not cursor.clause_ended():
        cursor.place += 1
    return Note()


def _described(cursor: Cursor, craft: str) -> Statement | None:
    """`A decrease row begins and ends with k2tog`: what such a row has; no count depends on it."""
    if not cursor.word("a", "an", "the", "each", "every"):
        return None
    cursor.place += not cursor.sees("row", "round", "rnd")
    if not cursor.word("row", "round", "rnd") or not cursor.phrase(words.BEGINS_WITH):
        return None
    cursor.word("a", "an")
    while read_stitch(cursor, craft):
        cursor.number()
        cursor.word(",")
        cursor.word("and")
    return Note() if cursor.clause_ended() and cursor.tokens[cursor.place - 1].text != "with" else None


_CLAUSES: tuple[Callable[[Cursor, str], Statement | None], ...] = (
    read_pieces, _meanwhile, _stripe_rows, read_parts, _remain, _after_rows, _rows_now, read_half, _begin,
    read_same_rows, _as_section, _as_rows, _straight, _which_row, _described, _meant, _fabric,
    _other_rows, _from_here, read_joined_edges, read_pattern_rows, read_note, _idle,
)  # fmt: skip
