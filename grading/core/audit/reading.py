"""Reads what a row does: tokens in, a tree out; words that can't be read become `Unread`.

row     = item { separator item }
item    = star | group | note | join | evenly | bind off | cast on | hold | leave | skip | chain
        | pick up | work | idle
star    = "*" { item } [ "*" ] ("rep from *" | "rep") how
group   = "(" { item } ")" ( times | how | "in" place )
how     = to the end | to last N | N times | N more times
work    = [ N ] stitch [ N ] ( "in" place { "and in" place } | "over" place | extent | times )
"""

from collections.abc import Callable

from grading.core.audit import notes, words
from grading.core.audit.asides import is_aside, resolve_it
from grading.core.audit.chain_reading import (
    read_chain,
    read_foundation,
    read_join,
    read_opposite,
    read_ring,
    read_slip_stitches,
)
from grading.core.audit.change_reading import read_change
from grading.core.audit.cursor import Cursor
from grading.core.audit.definitions import take_definitions
from grading.core.audit.edge_reading import read_pick_up, read_rate
from grading.core.audit.item_reading import (
    read_bind_off,
    read_cast_on,
    read_hold,
    read_idle,
    read_leave,
    read_left,
    read_lining,
    read_return,
    read_skip,
    read_until_rows,
)
from grading.core.audit.places import read_extent, read_place, read_places
from grading.core.audit.tokens import Number, Token
from grading.core.audit.tree import (
    Chain,
    Each,
    Ending,
    Idle,
    IfLeft,
    Item,
    Kind,
    Repeat,
    RepeatToEnd,
    Run,
    Skip,
    Unread,
    Work,
)
from grading.core.audit.work_reading import read_work, works_into

READERS: tuple[Callable[[Cursor, str, list[Item]], Item | None], ...] = (
    read_return, read_ring, read_join, read_change, read_bind_off, read_cast_on, read_foundation, read_hold,
    read_leave, read_left, read_skip, read_opposite, read_rate,
    read_pick_up, read_lining, read_until_rows, read_chain, read_slip_stitches, read_idle, read_work,
)  # fmt: skip
CLOSING = {"(": ")", "[": "]", "{": "}"}
LIMIT = 60
"""Deepest nesting and most unread pieces looked at in one row."""


class RowReader:
    """Reads the items of one row."""

    def __init__(self, tokens: list[Token], craft: str) -> None:
        tokens, defined = take_definitions(tokens, craft)
        self.cursor = Cursor(tokens)
        self.cursor.defined = dict(sorted(defined.items(), key=lambda named: -len(named[0])))
        self.craft = craft
        self.spaces_count: bool | None = None
        self.depth = 0

    def read(self) -> tuple[Item, ...]:
        """All items to the end of the row."""
        items = self.read_items(())
        while not self.cursor.ended():
            token = self.cursor.tokens[self.cursor.place]
            self.cursor.place += 1
            items = (*items, Unread(token.start, token.end, "this bracket or mark has no partner"))
            items = (*items, *self.read_items(()))
        return items

    def read_items(self, stops: tuple[str, ...]) -> tuple[Item, ...]:
        """Items until one of `stops`, a closing bracket that is not ours, or the end."""
        items: list[Item] = []
        self.depth += 1
        while True:
            self.cursor.skip_separators()
            if self.cursor.ended() or self.cursor.sees(")", "]", "}", *stops) or self._star_closes(stops):
                break
            if self._whole_repeat(items):
                continue
            item = self._read_one(items)
            if item is not None:
                items.append(item)
        self.depth -= 1
        return tuple(items)

    def _star_closes(self, stops: tuple[str, ...]) -> bool:
        """Inside `*…` a `rep from *` or a closing star ends the repeat."""
        if not stops or stops[0] not in words.FROM_STAR:
            return False
        return self.cursor.attempt(lambda: self._names_star(stops[0])) is not None and self._back()

    def _names_star(self, star: str) -> bool:
        self._mark = self.cursor.place
        repeats = self.cursor.phrase(words.REPEAT)
        if not repeats:
            return False
        named = self.cursor.phrase(words.FROM_STAR[star]) or self.cursor.clause_ended()
        return named or read_extent(self.cursor, self.craft) is not None

    def _back(self) -> bool:
        self.cursor.place = self._mark
        return True

    def _whole_repeat(self, items: list[Item]) -> bool:
        """`…; repeat around` without a star repeats all that stands before."""
        start = self.cursor.place
        if not items or not self.cursor.phrase(words.REPEAT):
            return False
        extent = read_extent(self.cursor, self.craft)
        if extent is None or not self.cursor.clause_ended():
            self.cursor.place = start
            return False
        body = tuple(items)
        items[:] = [RepeatToEnd(body, extent.keep, marker=extent.marker)]
        return True

    def _read_one(self, items: list[Item]) -> Item | None:
        if self.depth > LIMIT:
            return self._unread("brackets are nested too deep")
        cursor = self.cursor
        if cursor.now() is not None and cursor.tokens[cursor.place].kind == "star":
            return self._star()
        if cursor.sees("(", "[", "{"):
            return self._bracket(items)
        if cursor.phrase(words.ENDING) or cursor.words("ending row with"):
            return Ending()
        note = cursor.attempt(lambda: self._note(items))
        if note is not None:
            return None
        if cursor.attempt(lambda: cursor.phrase(words.REPEAT) and cursor.sees("(", "[", "{")):
            return self._bracket(items)
        group = cursor.attempt(self._place_first)
        if group is not None:
            return group
        item = cursor.first_of(READERS, cursor, self.craft, items)
        if isinstance(item, Run) and cursor.phrase(words.IF_LEFT):
            return IfLeft((item,))
        if item is not None:
            item = resolve_it(item, items)
        return self._unread("these words are not known here") if item is None else item

    # --- brackets and stars
    def _star(self) -> Item:
        start = self.cursor.tokens[self.cursor.place]
        self.cursor.place += 1
        star = start.text
        if star not in words.FROM_STAR:
            return Unread(start.start, start.end, "this mark has no partner")
        body = self.read_items((star,))
        item = self.cursor.attempt(lambda: self._star_repeat(star, body))
        if item is None:
            return Unread(start.start, start.end, f"it is not said how what follows {star} repeats")
        return item

    def _star_repeat(self, star: str, body: tuple[Item, ...]) -> Item | None:
        """What follows the body: a closing star and `rep`, `rep from *` and how."""
        cursor = self.cursor
        closed = cursor.word(star)
        cursor.skip_separators()
        if cursor.phrase(words.REPEAT):
            cursor.phrase(words.FROM_STAR[star])
        elif not closed:
            return None
        elif cursor.phrase(words.FROM_STAR[star]):
            cursor.skip_separators()
        cursor.word(",")
        return self._how(body, more=not closed, star=True)

    def _how(self, body: tuple[Item, ...], *, more: bool, star: bool = False) -> Item | None:
        """How often a body is worked: to the end, to the last so many, so many times."""
        cursor = self.cursor
        extent = read_extent(cursor, self.craft)
        if extent is None and _on_row_ends(body) and cursor.phrase(words.EDGE_ENDS):
            extent = Each()
        if extent is not None:
            cursor.word(",")
            instead = self.cursor.attempt(lambda: self._last_repeat(body))
            ending = instead or self._ending()
            return RepeatToEnd(body, extent.keep, ending, extent.marker, instead=instead is not None)
        more_times = cursor.attempt(lambda: self._more_times())
        if more_times is not None:
            return Repeat(body, more_times, more=True)
        times = cursor.times()
        if times is not None:
            again = cursor.phrase(words.MORE_TIMES)
            if cursor.phrase(words.IN_ALL) and not again:
                more = False
            cursor.phrase(words.TIMES_TAILS)
            cursor.word("in")
            cursor.word("all", "total")
            return Repeat(body, times, more=more or again)
        if star and more and cursor.sees(",", "end", "ending", "ends"):
            cursor.word(",")
            instead = cursor.attempt(lambda: self._last_repeat(body))
            ending = instead or self._ending()
            return RepeatToEnd(body, 0, ending) if ending else None
        return None

    def _more_times(self) -> Number | None:
        self.cursor.word("for")
        worded = self.cursor.sees("once", "twice", "thrice")
        times = self.cursor.times() if worded else self.cursor.number()
        if times is None or not self.cursor.phrase(words.MORE_TIMES):
            return None
        return times

    def _ending(self) -> tuple[Item, ...]:
        """`ending with sc in last st` follows the repeats."""
        tail = self.cursor.attempt(self._tail)
        return () if tail is None else tail

    def _last_repeat(self, body: tuple[Item, ...]) -> tuple[Item, ...] | None:
        """`ending last rep k2 instead of k4` is the last repeat."""
        cursor = self.cursor
        if not cursor.phrase(words.ENDING_LAST):
            return None
        item = self._read_one([])
        if not cursor.words("instead of") or item is None or self._read_one([]) != body[-1]:
            return None
        return (*body[:-1], item)

    def _tail(self) -> tuple[Item, ...] | None:
        if not self.cursor.phrase(words.ENDING):
            return None
        self.cursor.phrase(words.VERBS)
        item = self._read_one([])
        items = [item] if item is not None else []
        while self.cursor.sees(",", "and"):
            place = self.cursor.place
            self.cursor.skip_separators()
            item = self._read_one([])
            if not isinstance(item, Work | Run | Skip | Chain):
                self.cursor.place = place
                break
            items.append(item)
        return tuple(items) or None

    def _bracket(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        opening = cursor.tokens[cursor.place]
        noted = cursor.attempt(lambda: self._bracketed_note(items))
        if noted is not None:
            return None
        cursor.place += 1
        inside = cursor.place
        body = self.read_items(())
        if not cursor.word(CLOSING[opening.text]):
            return Unread(opening.start, opening.end, "this bracket is never closed")
        end = cursor.tokens[cursor.place - 1].end
        if body and all(isinstance(item, Idle) for item in body):
            return Idle()
        if is_aside(cursor.tokens[inside : cursor.place - 1]):
            return Idle()
        if all(token.text in words.LABEL_WORDS for token in cursor.tokens[inside : cursor.place - 1]):
            return Idle()
        item = cursor.attempt(lambda: self._group(body))
        return item or Unread(
            opening.start, end, "it is not said how often, or into what, this bracket is worked"
        )

    def _bracketed_note(self, items: list[Item]) -> bool | None:
        cursor = self.cursor
        opening = cursor.now()
        cursor.place += 1
        while True:
            cursor.skip_separators()
            if opening is not None and cursor.word(CLOSING[opening.text]):
                return True
            if not self._note(items) and not read_idle(cursor, self.craft, items):
                return None

    def _group(self, body: tuple[Item, ...]) -> Item | None:
        cursor = self.cursor
        repeated = cursor.attempt(lambda: self._how(body, more=False))
        if repeated is not None:
            return repeated
        if cursor.attempt(lambda: cursor.word(",") and cursor.phrase(words.REPEAT)):
            return self._how(body, more=True)
        if cursor.attempt(lambda: (cursor.word("all", "together") and cursor.sees("in", "into")) or None):
            pass
        if not cursor.phrase(words.REPEAT):
            if not cursor.phrase(words.INTO):
                return None
            return works_into(cursor, self.craft, body, 1, read_places(cursor, self.craft))
        return self._how(body, more=False)

    def _place_first(self) -> Item | None:
        """`in next st work (dc, ch 1, dc)`."""
        cursor = self.cursor
        cursor.phrase(words.VERBS)
        if not cursor.phrase(words.INTO):
            return None
        place = read_place(cursor, self.craft)
        if place is None:
            return None
        cursor.word(",", ":")
        cursor.phrase(words.VERBS)
        opening = cursor.now()
        if opening is None or not cursor.word("(", "["):
            return None
        body = self.read_items(())
        return Work(body, place) if cursor.word(CLOSING[opening.text]) and body else None

    # --- notes
    def _note(self, items: list[Item]) -> bool | None:
        """Words that say how chains, spaces and loops count."""
        cursor = self.cursor
        if cursor.phrase(words.LOOP_IS_FIRST):
            return True
        if cursor.sees("more") and notes.count_more(items):
            cursor.place += 1
            return True
        if cursor.phrase(words.BOUND_FIRST):
            notes.count_bound_stitch(items)
            return True
        counted = cursor.attempt(lambda: notes.read_spaces_note(cursor))
        if counted is not None:
            self.spaces_count = counted.counts
            return True
        note = cursor.attempt(lambda: notes.read_chain_note(cursor, self.craft))
        return True if note is not None and notes.apply_note(note, items) else None

    def _unread(self, why: str) -> Unread:
        """Everything to the next comma or bracket."""
        cursor = self.cursor
        start = cursor.tokens[cursor.place]
        end = start
        cursor.place += 1
        while not cursor.ended() and not cursor.sees(
            ",", ";", ".", ":", "(", "[", "{", ")", "]", "}", "*", "**"
        ):
            end = cursor.tokens[cursor.place]
            cursor.place += 1
        return Unread(start.start, end.end, why)


def _on_row_ends(body: tuple[Item, ...]) -> bool:
    return any(isinstance(item, Work) and getattr(item.place, "kind", None) is Kind.ROW_END for item in body)
