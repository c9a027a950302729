"""Sentences that part the stitches of a row: halves, the middle and its sides, several places at once."""

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.places import read_kind
from grading.core.audit.statement_kinds import Half, Pieces, Remain, Statement
from grading.core.audit.tokens import Number
from grading.core.audit.tree import Kind


def read_parts(cursor: Cursor, craft: str) -> Statement | None:
    """`The middle {n} sts are the neck; {m} sts on each side are the shoulders`."""
    cursor.phrase(words.MARK)
    cursor.word("the")
    if not cursor.word("middle"):
        return None
    middle = cursor.number()
    if middle is None or read_kind(cursor, craft) is None:
        return None
    cursor.word("are", "for")
    cursor.phrase(words.PART_NAMES)
    cursor.skip_separators()
    cursor.word("the")
    side = cursor.number()
    if side is None or read_kind(cursor, craft) is None:
        return None
    cursor.word("remain", "are")
    if not cursor.phrase(words.EACH_END):
        return None
    cursor.word("are", "remain", "for")
    cursor.phrase(words.PART_NAMES)
    return Remain(((middle, 1), (side, 2))) if cursor.clause_ended() else None


def read_pieces(cursor: Cursor, craft: str) -> Statement | None:
    """`These are 2 sts on each of the four pieces`, `… on the back and 2 on the front`."""
    if not cursor.words("these are") or cursor.number() is None or read_kind(cursor, craft) is None:
        return None
    if cursor.words("on each of the"):
        pieces = cursor.number()
        named = cursor.word("pieces", "parts", "sections", "lines", "sleeves", "fronts", "sides")
        if pieces is None or not named:
            return None
        while not cursor.ended():
            cursor.place += 1
        return Pieces(pieces)
    if not cursor.words("on the"):
        return None
    pieces = 1
    cursor.place += 1
    while cursor.word("and", ","):
        cursor.number()
        if not (cursor.words("on the") or cursor.words("on each")):
            return None
        cursor.place += 1
        pieces += 1
    return Pieces(pieces, of_a_part=True)


def read_half(cursor: Cursor, craft: str) -> Statement | None:
    """`work on these sts only`: one half of the row is worked on, or the other that was left."""
    if cursor.phrase(words.HALF):
        return Half()
    first = cursor.attempt(lambda: _first_alone(cursor, craft))
    if first is not None:
        return Half(first=first)
    if cursor.phrase(words.OTHER_HALF):
        return Half(other=True)
    cursor.word("at", "join")
    return Half(other=True) if cursor.phrase(words.OTHER_HALF) else None


def _first_alone(cursor: Cursor, craft: str) -> Number | None:
    """`go on with the first {n} sts of the row alone`."""
    if not cursor.phrase(words.WORK_STRAIGHT):
        return None
    cursor.word("on", "with")
    cursor.word("the", "these")
    cursor.word("first")
    number = cursor.number()
    if number is None or read_kind(cursor, craft) is not Kind.STITCH:
        return None
    cursor.words("of the row")
    return number if cursor.word("alone", "only") else None
