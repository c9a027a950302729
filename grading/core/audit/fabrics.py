"""Reads rows worked even in a fabric: `work 10 rounds in stockinette stitch`, `cont in K2, P2 rib to end`."""

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.places import read_extent, read_kind
from grading.core.audit.stitch_reading import read_stitch
from grading.core.audit.stitches import Stitch
from grading.core.audit.tokens import Number
from grading.core.audit.tree import Each, ForRows, Item, Kind, Run, Work


def read_even(cursor: Cursor, craft: str) -> Item | None:
    """Rows in which every stitch is worked once."""
    if cursor.phrase(words.AS_THEY_ARE) or cursor.attempt(lambda: _as_they_are(cursor)):
        read_extent(cursor, craft)
        return Work(Stitch("work"), Each())
    if not (cursor.phrase(words.EVEN) or cursor.phrase(words.VERBS)):
        return None
    counted = cursor.attempt(lambda: _so_many(cursor, craft))
    if counted is not None:
        return Run(Stitch("work"), counted)
    rows = cursor.attempt(lambda: for_rows(cursor))
    fabric = cursor.attempt(lambda: _in_fabric(cursor, craft))
    cursor.phrase(words.EVEN_TAILS)
    extent = cursor.attempt(lambda: _over_all(cursor)) or read_extent(cursor, craft)
    rows = rows or cursor.attempt(lambda: for_rows(cursor))
    if extent is not None:
        return Work(Stitch("work"), extent, rows=rows)
    verb = cursor.tokens[cursor.place - 1].text
    if not cursor.clause_ended() or (not rows and not fabric and verb in NEVER_ALONE):
        return None
    return Work(Stitch("work"), Each(), rows=rows)


def _over_all(cursor: Cursor) -> Each | None:
    """`over all sts`, `across these sts`."""
    return Each() if cursor.phrase(words.OVER_ALL) else None


def _so_many(cursor: Cursor, craft: str) -> Number | None:
    """`work across 20 sts in patt`, `work 20 sts`."""
    cursor.word("across", "over")
    cursor.phrase(words.NEXT)
    number = cursor.number()
    if number is None or read_kind(cursor, craft) is not Kind.STITCH:
        return None
    cursor.attempt(lambda: _in_fabric(cursor, craft))
    cursor.phrase(words.EVEN_TAILS)
    return number if cursor.clause_ended() else None


NEVER_ALONE = (
    "again",
    "also",
    "and",
    "make",
    "next",
    "now",
    "place",
    "put",
    "then",
    "do",
    "crochet",
    "using",
)


def _as_they_are(cursor: Cursor) -> bool:
    """`work the sts as they appear`."""
    return cursor.phrase(words.VERBS) and cursor.phrase(words.AS_THEY_ARE)


def _in_fabric(cursor: Cursor, craft: str) -> bool:
    if cursor.attempt(lambda: _rib(cursor)) or cursor.phrase(words.FABRICS):
        return True
    cursor.word(",")
    if not cursor.word("in", "of"):
        return False
    cursor.word("the", "a")
    if cursor.phrase(words.FABRICS) or _rib(cursor):
        cursor.word("pattern", "patt")
        return True
    return read_stitch(cursor, craft) is not None or cursor.phrase(words.EVEN)


def _rib(cursor: Cursor) -> bool:
    """`K2, P2 rib`, `k1 p1 ribbing`, `2x2 rib`."""

    def read() -> bool:
        crossed = cursor.number() is not None and cursor.word("x") and cursor.number() is not None
        while not crossed and cursor.word("k", "p", "knit", "purl"):
            if cursor.number() is None:
                return False
            cursor.word(",", "/", "and")
        cursor.word("twisted")
        return cursor.word("rib", "ribbing", "ribs")

    return cursor.attempt(read) is not None


def for_rows(cursor: Cursor) -> ForRows | None:
    """How many rows are worked: `for 10 rows`, `6 rows more`, `another 6 rows`, `for a total of 20 rows`."""
    cursor.word("for", "over", "another")
    cursor.word("a", "the", "these", "another")
    further = cursor.word("further", "total")
    total = bool(further) and cursor.tokens[cursor.place - 1].text == "total"
    cursor.word("of")
    cursor.phrase(words.NEXT)
    number = cursor.number()
    cursor.word("more", "further", "plain", "straight", "even", "rs", "ws")
    if number is None or not cursor.phrase(words.ROWS):
        return None
    cursor.word("more", "further", "longer")
    cursor.phrase(words.EVEN_TAILS)
    cursor.word("more")
    return ForRows(number, total=cursor.phrase(words.IN_ALL) or total)
