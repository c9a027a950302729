"""Sentences of finishing: what is passed over, what is left then, which edges are joined."""

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.places import read_kind
from grading.core.audit.statement_kinds import Joined, LastCount, Marked, Note, SameRows, Statement
from grading.core.audit.tree import Kind


def read_note(cursor: Cursor, craft: str) -> Statement | None:
    """A clause that begins with a verb of finishing is passed over to its end, but for what is left then."""
    marks = cursor.sees("mark")
    if not cursor.phrase(words.NOTE_VERBS):
        return None
    start = cursor.place
    left: LastCount | None = None
    while not cursor.ended() and not cursor.sees(";", ".", ":", "(") and not _work_follows(cursor):
        left = left or cursor.attempt(lambda: _last_count(cursor, craft))
        cursor.place += 1
    if left is not None:
        return left
    passed = cursor.texts[start : cursor.place]
    return Marked() if marks and "middle" not in passed and words.MARK_EDGES & {*passed} else Note()


def _last_count(cursor: Cursor, craft: str) -> LastCount | None:
    """`the remaining {n} sts`, `through the {n} sts`, `{n} sts of one half to the {m} sts of the other`."""
    drawn = cursor.word("through") and (cursor.word("the", "all", "these", "last") or True)
    left = cursor.word(*words.REMAINING) or drawn
    number = cursor.number()
    if number is None or read_kind(cursor, craft) is not Kind.STITCH:
        return None
    if left or cursor.attempt(lambda: cursor.words("that remain") or cursor.word(*words.REMAINING)):
        cursor.place -= 1
        return LastCount((number,))
    if not cursor.words("of one half to the"):
        return None
    other = cursor.number()
    halves = other is not None and read_kind(cursor, craft) is Kind.STITCH and cursor.words("of the other")
    return LastCount((number, other)) if halves and other is not None else None


def read_joined_edges(cursor: Cursor, craft: str) -> Statement | None:
    """`Sew the side seams`, `join the shoulders and the sides`: which edges, unless a part stays open."""
    if not cursor.phrase(words.SEW_VERBS):
        return None
    sides = shoulders = False
    start = cursor.place
    while not cursor.ended() and not cursor.sees(";", ".", ":", "(") and not _work_follows(cursor):
        side = cursor.phrase(words.SIDE_SEAMS)
        shoulder = not side and cursor.phrase(words.SHOULDER_SEAMS)
        if (side or shoulder) and cursor.sees("of"):
            return None
        sides, shoulders = sides or side, shoulders or shoulder
        cursor.place += not (side or shoulder)
    is_open = words.OPEN_SEAMS & {*cursor.texts[start : cursor.place]}
    return Joined(sides, shoulders) if (sides or shoulders) and not is_open else None


def read_same_rows(cursor: Cursor, craft: str) -> Statement | None:
    """`Fasten off when there are as many rows as on the back`."""
    start = cursor.place
    while not cursor.phrase(words.AS_MANY_ROWS):
        token = cursor.now()
        if token is None or cursor.clause_ended() or token.kind == "number":
            return None
        cursor.place += 1
    begun = cursor.place
    while not cursor.clause_ended():
        cursor.place += 1
    title = " ".join(cursor.texts[begun : cursor.place])
    return SameRows(title) if title and begun - start < 20 else None


def read_pattern_rows(cursor: Cursor, craft: str) -> Statement | None:
    """`These 2 rows form the pattern`: which rows are meant; no count depends on it."""
    if not cursor.word("these", "the", "those"):
        return None
    cursor.word("last")
    cursor.number()
    if not cursor.phrase(words.ROWS) or not cursor.word("form", "set", "establish", "make"):
        return None
    while not cursor.clause_ended():
        if cursor.now() is not None and cursor.tokens[cursor.place].kind == "number":
            return None
        cursor.place += 1
    return Note()


def _work_follows(cursor: Cursor) -> bool:
    """`… and work on the sts before it` begins something else."""
    after = cursor.tokens[cursor.place + 1 : cursor.place + 2]
    begins = bool(after) and (after[0].kind == "number" or after[0].text in WORKING)
    return cursor.sees("and", ",", "then") and begins


WORKING = (
    "work",
    "working",
    "knit",
    "purl",
    "k",
    "p",
    "go",
    "continue",
    "join",
    "slip",
    "cast",
    "bind",
    "on",
)
