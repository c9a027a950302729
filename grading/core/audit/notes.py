"""Reads notes on what counts as a stitch: turning chains, chain spaces, skipped chains."""

from dataclasses import dataclass, replace

from grading.core.audit import words
from grading.core.audit.cursor import Cursor
from grading.core.audit.stitch_reading import read_stitch
from grading.core.audit.tokens import Number
from grading.core.audit.tree import BindOff, Chain, FromHook, Item, Repeat, RepeatToEnd, Run, Skip, Work


@dataclass(frozen=True)
class ChainNote:
    """How many stitches a chain is said to be; `space` when a space is left beside it."""

    counts: Number
    space: bool = False
    throughout: bool = False
    skipped: bool = False
    each: bool = False
    on_slip: bool = False


@dataclass(frozen=True)
class SpacesNote:
    """Whether chain spaces count as stitches."""

    counts: bool


def read_spaces_note(cursor: Cursor) -> SpacesNote | None:
    """`ch-1 sps count as sts`, `each 1-ch sp counts as a st throughout`, `the ch-2 sps do not count`."""
    every = cursor.word("each", "every", "the", "all")
    cursor.word("the", "of")
    cursor.word("corner")
    if cursor.phrase(words.CHAIN_NOUNS):
        cursor.number()
    elif cursor.number() is not None and not cursor.phrase(words.CHAIN_NOUNS):
        return None
    if not cursor.phrase(words.SPACE_NOUNS) and not (
        every and cursor.tokens[cursor.place - 1].kind == "number"
    ):
        return None
    if cursor.phrase(words.COUNTS_NOT):
        _stitch_noun(cursor)
        cursor.phrase(words.THROUGHOUT)
        return SpacesNote(counts=False)
    if cursor.phrase(words.COUNTS) and _stitch_noun(cursor):
        cursor.phrase(words.THROUGHOUT)
        return SpacesNote(counts=True)
    return None


def _stitch_noun(cursor: Cursor) -> bool:
    cursor.word("as")
    cursor.word("a", "an", "one")
    cursor.number()
    return cursor.phrase(words.STITCH_NOUNS)


def read_chain_note(cursor: Cursor, craft: str) -> ChainNote | None:
    """`counts as dc`, `this counts as 1 tr and 1 ch throughout`, `skipped chs do not count`."""
    cursor.word("which", "and", "this", "it", "these", "that")
    skipped = _skipped_subject(cursor)
    each = not skipped and cursor.attempt(lambda: _each_subject(cursor)) is not None
    if not skipped and not each:
        cursor.attempt(lambda: _chain_subject(cursor))
    if cursor.words("standing on the last ss") or cursor.words("standing on the last sl st"):
        return ChainNote(1, on_slip=True)
    if cursor.attempt(lambda: _first_made(cursor, craft)):
        return ChainNote(1)
    if cursor.phrase(words.COUNTS_NOT):
        _what_counts(cursor, craft)
        return ChainNote(0, throughout=cursor.phrase(words.THROUGHOUT), skipped=skipped)
    if not cursor.phrase(words.COUNTS):
        return None
    counted = _what_counts(cursor, craft)
    if counted is None:
        return None
    number, space = counted
    throughout = cursor.phrase(words.THROUGHOUT)
    on_slip = cursor.attempt(lambda: _on_slip(cursor)) is not None
    return ChainNote(number, space, throughout, skipped, each, on_slip)


def _first_made(cursor: Cursor, craft: str) -> bool:
    """`first dc made`."""
    if not cursor.word("first", "1st", "beg", "beginning") or read_stitch(cursor, craft) is None:
        return False
    return cursor.word("made", "done", "complete", "completed", "formed")


def _on_slip(cursor: Cursor) -> bool:
    cursor.word(",")
    return cursor.phrase(words.ON_SLIP)


def _skipped_subject(cursor: Cursor) -> bool:
    return (
        cursor.attempt(lambda: _skipped(cursor)) or cursor.attempt(lambda: _chains_skipped(cursor))
    ) is not None


def _skipped(cursor: Cursor) -> bool:
    cursor.word("the", "first")
    cursor.word("first")
    cursor.number()
    if not cursor.word("skipped", "missed", "unworked", "unused"):
        if cursor.word("beg", "beginning"):
            return cursor.phrase(words.CHAIN_NOUNS)
        return False
    cursor.number()
    return cursor.phrase(words.CHAIN_NOUNS)


def _chains_skipped(cursor: Cursor) -> bool:
    """`the 3 chs missed`, `chs at beg that were skipped`."""
    cursor.word("the", "those", "these", "first")
    cursor.word("first")
    cursor.number()
    if not cursor.phrase(words.CHAIN_NOUNS):
        return False
    cursor.word("that", "which", "you")
    cursor.word("were", "was", "are", "have", "have been")
    cursor.word("just")
    return cursor.word("skipped", "missed", "unworked", "unused")


def _each_subject(cursor: Cursor) -> bool:
    if not cursor.word("each", "every", "all"):
        return False
    cursor.word("one", "of", "the", "these")
    cursor.word("the", "these")
    return cursor.phrase(words.CHAIN_NOUNS) or cursor.sees(
        "to", "counts", "counting", "counted", "as", "being"
    )


def _chain_subject(cursor: Cursor) -> bool:
    """`ch 3`, `the beg ch-3`, `the turning ch`, `first 3 ch`."""
    cursor.word("the", "this", "first", "that", "your", "these")
    cursor.word("beg", "beginning", "turning", "starting", "first", "initial")
    if cursor.phrase(words.CHAIN_NOUNS):
        cursor.number()
        return True
    if cursor.word("t", "tch"):
        cursor.phrase(words.CHAIN_NOUNS)
        return True
    return cursor.number() is not None and cursor.phrase(words.CHAIN_NOUNS)


def _what_counts(cursor: Cursor, craft: str) -> tuple[Number, bool] | None:
    """How many stitches, and whether a space is left: `1 tr and 1 ch`, `a st`, `4 sts`, `dc, ch 1`."""
    cursor.word("a", "an", "one", "the", "your")
    cursor.word("first")
    cursor.word("beg")
    number = cursor.number()
    if not read_stitch(cursor, craft) and not cursor.phrase(words.STITCH_NOUNS):
        return None
    cursor.phrase(words.STITCH_NOUNS)
    space = cursor.attempt(lambda: _and_chain(cursor)) is not None
    return (1 if number is None else number, space)


def _and_chain(cursor: Cursor) -> bool:
    cursor.word(",")
    joined = cursor.word("and", "plus", "+", "&") or cursor.sees("ch", "chain")
    following = cursor.now()
    if not joined and (following is None or following.kind != "number"):
        return False
    cursor.word("a", "one")
    if cursor.phrase(words.CHAIN_NOUNS):
        cursor.number()
    elif cursor.number() is None or not cursor.phrase(words.CHAIN_NOUNS):
        return False
    cursor.phrase(words.SPACE_NOUNS)
    return True


def count_bound_stitch(items: list[Item]) -> None:
    """The stitch on the needle after binding off is the first of the next ones."""
    for index in range(len(items) - 1, -1, -1):
        item = items[index]
        if isinstance(item, BindOff):
            items[index] = replace(item, first_is_worked=True)
            return


def count_more(items: list[Item]) -> bool:
    """`Cast off 5 sts, k9 more`: the stitch on the needle after binding off is one beside those 9."""
    worked, bound = items[-1:], items[-2:-1]
    if not (worked and isinstance(worked[0], Run) and bound and isinstance(bound[0], BindOff)):
        return False
    items[-2:] = [replace(bound[0], first_is_worked=True), Run(worked[0].stitch), worked[0]]
    return True


def apply_note(note: ChainNote, items: list[Item]) -> bool:
    """Hang what a note says on the chain, or on the skipped chains, that it speaks of."""
    for index in range(len(items) - 1, -1, -1):
        item = items[index]
        if note.skipped:
            changed = _with_skipped(item, note.counts)
            if changed is not None:
                items[index] = changed
                return True
        elif isinstance(item, Chain):
            if note.each and _count_each_chain(items):
                return True
            counts = item.number if note.each else note.counts
            items[index] = replace(
                item,
                counts=counts,
                space=note.space,
                on_slip=note.on_slip or item.on_slip,
                throughout=note.throughout,
            )
            return True
    return False


def _count_each_chain(items: list[Item]) -> bool:
    """`each ch counts as a st` speaks of all chains between stitches."""
    worked, found = False, False
    for index, item in enumerate(items):
        if isinstance(item, Chain) and worked and item.counts is None:
            items[index] = replace(item, counts=item.number)
            found = True
        worked = worked or isinstance(item, Work | Run | Repeat | RepeatToEnd)
    return found


def _with_skipped(item: Item, counts: Number) -> Item | None:
    if isinstance(item, Work) and isinstance(item.place, FromHook):
        return replace(item, place=replace(item.place, counts=counts != 0))
    if isinstance(item, Skip) and isinstance(item.place, FromHook):
        return replace(item, place=replace(item.place, counts=counts != 0))
    if isinstance(item, Repeat) and item.items:
        first = _with_skipped(item.items[0], counts)
        return None if first is None else replace(item, items=(first, *item.items[1:]))
    return None
