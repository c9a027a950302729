"""Reads how many stitches a row gains or loses, where it is not said stitch by stitch."""

from dataclasses import replace

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.places import read_extent, read_kind
from grading.core.audit.stitch_reading import read_stitch
from grading.core.audit.stitches import Stitch
from grading.core.audit.tokens import Number
from grading.core.audit.tree import Each, Evenly, Idle, Item, Kind, Work


def read_change(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """`inc 6 sts evenly`, `p2tog 4 times, spaced evenly`, `dec 1 st at each end`, `k2tog at both ends`."""
    readers = (_evenly, _counted_evenly, _stitch_evenly, _at_ends, _first_and_last)
    change = cursor.first_of(readers, cursor, craft)
    if change is None and _goes_to_end(items):
        return cursor.attempt(lambda: _somewhere(cursor, craft))
    return change


def _goes_to_end(items: list[Item]) -> bool:
    last = next((item for item in reversed(items) if not isinstance(item, Idle)), None)
    return isinstance(last, Work) and last.place == Each()


def _somewhere(cursor: Cursor, craft: str) -> Evenly | None:
    """`K to end, dec 4 sts`: so many, wherever they are."""
    sign = _sign(cursor)
    number = cursor.number()
    if not sign or number is None or read_kind(cursor, craft) is not Kind.STITCH:
        return None
    return Evenly(number, sign) if cursor.clause_ended() else None


def _evenly(cursor: Cursor, craft: str) -> Evenly | None:
    """`inc 6 sts evenly`, in any order of these words."""
    cursor.attempt(lambda: cursor.phrase(words.VERBS))
    before = cursor.phrase(words.EVENLY)
    sign = _sign(cursor)
    if sign == 0:
        return None
    before = cursor.phrase(words.EVENLY) or before
    number = cursor.attempt(cursor.times)
    if number is None:
        number = 1 if cursor.word("a") else cursor.number()
    if number is None:
        return None
    read_kind(cursor, craft)
    times = cursor.times()
    cursor.word(",")
    if not cursor.phrase(words.EVENLY) and not before:
        return None
    times = cursor.times() if times is None else times
    if times is not None:
        number = times if number == 1 else 0
    read_extent(cursor, craft)
    return Evenly(number, sign) if number else None


def _counted_evenly(cursor: Cursor, craft: str) -> Evenly | None:
    """`working 6 increases evenly`, `with 5 decs spaced evenly around`."""
    cursor.phrase(words.WITH_CHANGES)
    before = cursor.phrase(words.EVENLY)
    number = cursor.number()
    if number is None:
        return None
    cursor.word("single", "more")
    sign = 1 if cursor.phrase(words.INCREASES) else -1 if cursor.phrase(words.DECREASES) else 0
    cursor.word(",")
    if not sign or not (cursor.phrase(words.EVENLY) or before):
        return None
    return Evenly(number, sign)


def _stitch_evenly(cursor: Cursor, craft: str) -> Evenly | None:
    """`working p2tog 4 times, spaced evenly`, `kfb evenly 6 times`."""
    cursor.phrase(words.WITH_CHANGES)
    before = cursor.phrase(words.EVENLY)
    number = cursor.number()
    stitch = read_stitch(cursor, craft)
    if stitch is None or stitch.takes == stitch.leaves:
        return None
    before = cursor.phrase(words.EVENLY) or before
    times = cursor.times()
    if times is None:
        times = number
    cursor.word(",")
    if times is None or not (before or cursor.phrase(words.EVENLY)):
        return None
    return _changed_by(stitch, times)


def _changed_by(stitch: Stitch, times: Number) -> Evenly | None:
    change = stitch.leaves - stitch.takes
    if abs(change) == 1:
        return Evenly(times, change)
    return Evenly(times * abs(change), 1 if change > 0 else -1) if isinstance(times, int) else None


def _at_ends(cursor: Cursor, craft: str) -> Evenly | None:
    """`dec 1 st at each end`, `k2tog at both ends of every row`, `inc 1 st at beg of row`."""
    cursor.phrase(words.WITH_CHANGES)
    change = _change_of_end(cursor, craft)
    if change is None:
        return None
    cursor.word(",")
    ends = 2 if cursor.phrase(words.EACH_END) else 1 if cursor.phrase(words.ONE_END) else 0
    if not ends:
        return None
    every = cursor.attempt(lambda: cursor.phrase(words.OF) and cursor.phrase(words.EVERY_ROW))
    if not every:
        cursor.attempt(lambda: cursor.phrase(words.OF) and _this_row(cursor))
    if not (cursor.clause_ended() or cursor.sees("sc", "dc", "hdc", "tss", "k", "p")):
        return None
    number = change.change * ends if isinstance(change.change, int) else None
    if number is None:
        return change if ends == 1 else None
    return replace(change, change=number, every=bool(every))


def _first_and_last(cursor: Cursor, craft: str) -> Evenly | None:
    """`2 sc in first and last st, sc in each st between`."""
    cursor.phrase(words.VERBS)
    number = cursor.number()
    stitch = read_stitch(cursor, craft)
    if stitch is None or not cursor.phrase(words.INTO):
        return None
    if not cursor.phrase(words.FIRST_AND_LAST) or not cursor.phrase(words.STITCH_NOUNS):
        return None
    made = stitch.leaves * (number if isinstance(number, int) else 1)
    return Evenly(2 * (made - 1), 1) if stitch.takes == 1 and made > 1 else None


def _this_row(cursor: Cursor) -> bool:
    cursor.phrase(words.THIS_ROW)
    cursor.word("next")
    return cursor.phrase(words.ROWS) and not cursor.sees("and", "until", "to")


def _change_of_end(cursor: Cursor, craft: str) -> Evenly | None:
    """What is changed at an end: `dec 1 st`, `inc`, `sc2tog`, `kfb`."""
    stitch = cursor.attempt(lambda: _shaping_stitch(cursor, craft))
    if stitch is not None:
        return _changed_by(stitch, 1)
    sign = _sign(cursor)
    if sign == 0:
        return None
    cursor.word("the")
    number = cursor.number()
    if number is None:
        number = 1
        cursor.word("a")
    kind = read_kind(cursor, craft)
    cursor.phrase(words.OF_PIECE)
    return Evenly(number, sign) if kind in (Kind.STITCH, None) else None


def _shaping_stitch(cursor: Cursor, craft: str) -> Stitch | None:
    cursor.phrase(words.VERBS)
    cursor.word("a", "an", "one")
    stitch = read_stitch(cursor, craft)
    if stitch is None or stitch.takes == stitch.leaves or not (stitch.takes or stitch.leaves):
        return None
    return stitch if cursor.sees("at", "on", "each", "both", "in") else None


def _sign(cursor: Cursor) -> int:
    if cursor.phrase(words.INCREASE):
        return 1
    return -1 if cursor.phrase(words.DECREASE) else 0
