"""Reads a text of one row or several: its numbers, what is done, and the count it closes with."""

from dataclasses import replace
from functools import lru_cache

from grading.core.audit import counts, words
from grading.core.audit.cursor import Cursor
from grading.core.audit.reading import RowReader
from grading.core.audit.shapings import read_again, read_shapings
from grading.core.audit.tokens import Token, cut_tokens
from grading.core.audit.tree import (
    BindOff,
    CastOn,
    Chain,
    Each,
    Ending,
    Evenly,
    ForRows,
    Idle,
    Item,
    Repeat,
    Row,
    Run,
    Said,
    Turn,
    Unread,
    Work,
)

CRAFTS = ("crochet", "tunisian", "knitting")
HEADER_LENGTH = 16
"""The most words that the head of a row may have before its colon."""


@lru_cache(maxsize=20_000)
def read_rows(text: str, craft: str) -> tuple[Row, ...]:
    """The rows of a text, in order; a part before the first head is a row of its own."""
    tokens = cut_tokens(text)
    heads = _heads(tokens)
    starts = sorted({0, *heads})
    parts = [tokens[start:end] for start, end in zip(starts, [*starts[1:], len(tokens)], strict=True)]
    rows: list[Row] = []
    for start, part in zip(starts, parts, strict=True):
        rows += _read_part(part, craft, headed=start in heads)
    return tuple(rows)


def _read_part(tokens: list[Token], craft: str, *, headed: bool) -> list[Row]:
    """The row under one head, and a sentence after it that works rows again or shapes an edge."""
    length = _head_length(tokens) if headed else 0
    for index in range(len(tokens) - 2, length, -1):
        if tokens[index].text not in (".", ";"):
            continue
        rest, said = counts.split_said(tokens[index + 1 :], craft)
        again = read_again(rest, craft)
        shapings = () if again is not None else read_shapings(rest, craft)
        if again is not None or shapings:
            first = _read_part(tokens[: index + 1], craft, headed=headed)
            return [*first, Row(None, shapings=shapings, again=again, said=said)]
    row = _read_row(tokens, craft, headed=headed)
    return [] if row is None else _by_rows(row)


def _by_rows(row: Row) -> list[Row]:
    """A row that says in how many rows it is worked; what stands before or after is a row of its own."""
    counted = next((place for place, item in enumerate(row.items) if _rows_of(item) is not None), None)
    if counted is None or row.repeats != 1:
        return [row]
    before, rest = row.items[:counted], row.items[counted + 1 :]
    apart = next((place for place, item in enumerate(rest) if _is_work(item)), len(rest))
    if not any(_is_work(item) for item in before):
        many = replace(row, items=(*before, row.items[counted], *rest[:apart]))
        return [many] if apart == len(rest) else [replace(many, said=None), *_after_rows(row, rest[apart:])]
    first = replace(row, items=before, said=None)
    return [first, *_after_rows(row, row.items[counted:])]


def _after_rows(row: Row, items: tuple[Item, ...]) -> list[Row]:
    """What is worked after rows of the same sentence."""
    return _by_rows(replace(row, numbers=None, items=items))


def _rows_of(item: Item) -> ForRows | None:
    return item.rows if isinstance(item, Work) else None


def _is_work(item: Item) -> bool:
    """Whether an item takes a row, if no other does; a change in every row belongs to the rows named."""
    return not isinstance(item, Idle | Turn | Chain | Ending) and not (
        isinstance(item, Evenly) and item.every
    )


def _heads(tokens: list[Token]) -> set[int]:
    """Where a head such as `Row 8:` or `2nd row (RS):` begins."""
    found = set()
    for index, token in enumerate(tokens):
        begins = index == 0 or tokens[index - 1].text in (".", ")", "]", ";")
        near = _near(tokens, index)
        if index and tokens[index - 1].text != "." and _is_heading(near[: max(_head_length(near) - 1, 0)]):
            begins = False
        if (begins and _head_length(near)) or (token.text in ROW_WORDS and _is_numbered_head(near)):
            found.add(index)
    return {index for index in found if index == 0 or not _named_before(tokens, index, found)}


def _near(tokens: list[Token], start: int) -> list[Token]:
    """The tokens that tell whether a head begins at `start`."""
    return tokens[start : start + HEADER_LENGTH + 1]


def _named_before(tokens: list[Token], index: int, found: set[int]) -> bool:
    """Whether this head is only the tail of one that begins before it: `Next row:`."""
    before = range(max(0, index - HEADER_LENGTH), index)
    return any(start in found and index < start + _head_length(_near(tokens, start)) for start in before)


ROW_WORDS = ("row", "rows", "rnd", "rnds", "round", "rounds", "r")
HEAD_WORDS = (*ROW_WORDS, "edging", "foundation", "border", "setup", "rib", "ribbing", "trim", "band", "hem")


def _is_numbered_head(tokens: list[Token]) -> bool:
    return len(tokens) > 2 and tokens[1].kind == "number" and _colon_length(tokens) > 0


def _head_length(tokens: list[Token]) -> int:
    """How many tokens the head of a row has; 0 when there is none."""
    return _colon_length(tokens) or _short_head_length(tokens)


def _colon_length(tokens: list[Token]) -> int:
    """How many tokens a head that ends with a colon has."""
    depth = 0
    for index, token in enumerate(tokens[:HEADER_LENGTH]):
        depth += (token.text in "([{") - (token.text in ")]}") if token.kind == "mark" else 0
        if _is_not_counted(tokens, index):
            continue
        if depth == 0 and (token.text in ("times", "time") or token.text in words.HEAD_NEVER):
            return 0
        if depth == 0 and token.text in words.DOING and _number_follows(tokens, index):
            return 0
        if depth == 0 and token.text == ":":
            named = any(part.text in HEAD_WORDS for part in tokens[:index]) or _is_heading(tokens[:index])
            return index + 1 if named else 0
        if depth == 0 and token.text in (".", ";", "*", "["):
            break
    return 0


def _is_not_counted(tokens: list[Token], index: int) -> bool:
    """`Set-up round, not counted:` is a head."""
    return [token.text for token in tokens[index : index + 3]] == ["not", "counted", ":"]


def _number_follows(tokens: list[Token], index: int) -> bool:
    return index + 1 < len(tokens) and tokens[index + 1].kind == "number"


def without_heading(tokens: list[Token]) -> list[Token]:
    """Tokens without the name of a part and its colon at their head."""
    colon = next((index for index, token in enumerate(tokens[:HEADER_LENGTH]) if token.text == ":"), 0)
    return tokens[colon + 1 :] if colon and _is_heading(tokens[:colon]) else tokens


def _is_heading(tokens: list[Token]) -> bool:
    """`Hem rib:`, `Ties (make 4):`: the name of a part, and nothing that is to be done."""
    if tokens and tokens[-1].text == ")":
        opening = next((index for index, token in enumerate(tokens) if token.text == "("), 0)
        tokens = tokens[:opening]
    texts = {token.text for token in tokens}
    plain = all(token.kind in ("word", "ordinal") for token in tokens)
    return plain and bool(texts & words.PIECE_NOUNS) and not texts & words.HEADING_NEVER


def _short_head_length(tokens: list[Token]) -> int:
    """A head without a colon: `Row 3 (RS) k2`, `Row 1. Sc in`, `Rnd 5 - sc`."""
    cursor = Cursor(tokens)
    if not cursor.word("row", "rnd", "round", "r") or cursor.number() is None:
        return 0
    cursor.attempt(
        lambda: (cursor.word("(", "[") and cursor.word("rs", "ws") and cursor.word(")", "]")) or None
    )
    cursor.word(".", "-", ",")
    return 0 if cursor.ended() else cursor.place


def _read_row(tokens: list[Token], craft: str, *, headed: bool) -> Row | None:
    length = _head_length(tokens) if headed else 0
    head, body = tokens[:length], tokens[length:]
    body, said = counts.split_said(body, craft)
    if head and not body and said is not None:
        body, said = tokens[length:], None
    base = _row_of_head(head, said)
    again = read_again(body, craft)
    if again is not None:
        return replace(base, again=again)
    shapings = read_shapings(body, craft)
    if shapings:
        return replace(base, shapings=shapings)
    if not body and not head:
        return base if said is not None else None
    reader = RowReader(body, craft)
    items = reader.read()
    if reader.spaces_count is not None:
        base = replace(base, spaces_count=reader.spaces_count)
    unread = tuple(_unread_in(items)) or _open_ended(items, base)
    return replace(base, items=_with_bare_stitch(items), unread=unread)


def _row_of_head(head: list[Token], said: Said | None) -> Row:
    """What the head of a row says: its numbers, how many rows, and whether chain spaces count."""
    numbers = _numbers(head)
    in_round = any(token.text.startswith(("rnd", "round")) for token in head)
    note = counts.spaces_note_in(head)
    if note is None and said is not None:
        note = said.spaces_count
    uncounted = Cursor(head[-3:]).words("not counted :")
    row = Row(numbers, said=said, spaces_count=note, in_round=in_round, uncounted=uncounted)
    many = _rows_named(head)
    if many is not None:
        return replace(row, numbers=None, repeats=many)
    if numbers and numbers[1] > numbers[0]:
        return replace(row, repeats=numbers[1] - numbers[0] + 1)
    return row


def _open_ended(items: tuple[Item, ...], row: Row) -> tuple[Unread, ...]:
    """`at each end of every row` needs a number of rows."""
    counted = any(_rows_of(item) is not None for item in items)
    if row.repeats == 1 and not counted and any(isinstance(item, Evenly) and item.every for item in items):
        return (Unread(0, 0, "it is not said in how many rows"),)
    return ()


def _rows_named(head: list[Token]) -> int | None:
    """`Next 4 rows:`, `Work the foll 3 RS rows:`: so many rows, and not their numbers."""
    cursor = Cursor(head)
    if not cursor.phrase(words.NEXT):
        cursor.phrase(words.VERBS)
        if not cursor.phrase(words.NEXT) and not cursor.word("the"):
            return None
    number = cursor.number()
    cursor.word("rs", "ws", "alt", "alternate")
    return number if isinstance(number, int) and cursor.phrase(words.ROWS) else None


def _numbers(head: list[Token]) -> tuple[int, int] | None:
    """The numbers of the rows that a head names, first and last."""
    numbers: list[int] = []
    depth = 0
    for token in head:
        depth += (token.text in "([{") - (token.text in ")]}") if token.kind == "mark" else 0
        if depth == 0 and token.kind in ("number", "ordinal") and isinstance(token.value, int):
            numbers.append(token.value)
    if not numbers:
        return None
    every_other = any(token.text in ("odd", "even", "alt", "every", "all") for token in head)
    listed = any(token.text in ("and", ",", "&") for token in head)
    if every_other or (listed and len(numbers) > 1 and numbers[-1] != numbers[0] + 1):
        return (numbers[0], numbers[0])
    return (numbers[0], numbers[-1]) if numbers[-1] >= numbers[0] else (numbers[0], numbers[0])


def _with_bare_stitch(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """`Knit.` alone is every stitch; so is `K, inc 8 sts evenly`."""
    worked = [
        index for index, item in enumerate(items) if isinstance(item, Work | Run | Repeat | BindOff | CastOn)
    ]
    if len(worked) != 1:
        return items
    item = items[worked[0]]
    if not isinstance(item, Run) or item.times != 1 or item.stitch.takes != 1 or item.stitch.leaves != 1:
        return items
    if any(
        not isinstance(other, Idle | Turn | Chain) and not _is_evenly(other)
        for other in items
        if other is not item
    ):
        return items
    filled = list(items)
    filled[worked[0]] = Work(item.stitch, Each())
    return tuple(filled)


def _is_evenly(item: Item) -> bool:
    return isinstance(item, Evenly)


def _unread_in(items: tuple[Item, ...]) -> list[Unread]:
    found: list[Unread] = []
    for item in items:
        if isinstance(item, Unread):
            found.append(item)
        for name in ("items", "ending", "what", "works"):
            inner = getattr(item, name, ())
            if isinstance(inner, tuple):
                found += _unread_in(inner)
    return found
