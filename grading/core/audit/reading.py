"""Reads what a row does: tokens in, a tree out; words that can't be read become `Unread`.

row     = item { separator item }
item    = star | group | note | join | evenly | bind off | cast on | hold | leave | skip | chain | pick up | work | idle
star    = "*" { item } [ "*" ] ("rep from *" | "rep") how
group   = "(" { item } ")" ( times | how | "in" place )
how     = to the end | to last N | N times | N more times
work    = [ N ] stitch [ N ] ( "in" place { "and in" place } | "over" place | extent | times )
"""

from dataclasses import replace

from grading.core.audit import notes, words
from grading.core.audit.cursor import Cursor
from grading.core.audit.places import read_extent, read_kind, read_place, read_places
from grading.core.audit.stitch_reading import read_slip, read_stitch
from grading.core.audit.stitches import Stitch
from grading.core.audit.tokens import Number, Token
from grading.core.audit.tree import (
    BindOff,
    Both,
    CastOn,
    Chain,
    Each,
    Ending,
    Evenly,
    FromHook,
    Hold,
    Idle,
    Item,
    Leave,
    Next,
    Opposite,
    PickUp,
    Place,
    Repeat,
    RepeatToEnd,
    Run,
    Same,
    Skip,
    Slip,
    Turn,
    TurningChain,
    Unread,
    Work,
)  # fmt: skip

CLOSING = {"(": ")", "[": "]", "{": "}"}
LIMIT = 60
"""Deepest nesting and most unread pieces looked at in one row."""


class RowReader:
    """Reads the items of one row."""

    def __init__(self, tokens: list[Token], craft: str) -> None:
        self.cursor = Cursor(tokens)
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
        return self.cursor.attempt(lambda: self._names_star(stops[0]) or None) is not None and self._back()

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
        for read in (
            self._join, self._evenly, self._bind_off, self._cast_on, self._hold, self._leave, self._skip, self._opposite,
            self._pick_up, self._chain, self._slip, self._work, self._idle,
        ):  # fmt: skip
            item = cursor.attempt(lambda read=read: read(items))
            if item is not None:
                return item
        return self._unread("these words are not known here")

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
        if extent is not None:
            cursor.word(",")
            return RepeatToEnd(body, extent.keep, self._ending(body), extent.marker)
        more_times = cursor.attempt(lambda: self._more_times())
        if more_times is not None:
            return Repeat(body, more_times, more=True)
        times = cursor.times()
        if times is not None:
            again = cursor.phrase(words.MORE_TIMES)
            cursor.word("in")
            cursor.word("all", "total")
            return Repeat(body, times, more=more or again)
        if star and more and cursor.sees(",", "end", "ending", "ends"):
            cursor.word(",")
            ending = self._ending(body)
            return RepeatToEnd(body, 0, ending) if ending else None
        return None

    def _more_times(self) -> Number | None:
        self.cursor.word("for")
        if self.cursor.sees("once", "twice", "thrice"):
            times = self.cursor.times()
        else:
            times = self.cursor.number()
        if times is None or not self.cursor.phrase(words.MORE_TIMES):
            return None
        return times

    def _ending(self, body: tuple[Item, ...]) -> tuple[Item, ...]:
        """`ending with sc in last st` follows the repeats, `ending last rep k2 instead of k4` is the last of them."""
        return self.cursor.attempt(lambda: self._last_repeat(body) or self._tail() or None) or ()

    def _last_repeat(self, body: tuple[Item, ...]) -> tuple[Item, ...] | None:
        cursor = self.cursor
        start = cursor.place
        if not cursor.phrase(words.ENDING_LAST):
            return None
        item = self._read_one([])
        if cursor.words("instead of") and item is not None and self._read_one([]) == body[-1]:
            return (*body[:-1], item)
        cursor.place = start
        return None

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
        body = self.read_items(())
        if not cursor.word(CLOSING[opening.text]):
            return Unread(opening.start, opening.end, "this bracket is never closed")
        end = cursor.tokens[cursor.place - 1].end
        if body and all(isinstance(item, Idle) for item in body):
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
            if not self._note(items) and not self._idle(items):
                return None

    def _group(self, body: tuple[Item, ...]) -> Item | None:
        cursor = self.cursor
        repeated = cursor.attempt(lambda: self._how(body, more=False))
        if repeated is not None:
            return repeated
        if cursor.attempt(lambda: (cursor.word(",") and cursor.phrase(words.REPEAT)) or None):
            return self._how(body, more=True)
        if not cursor.phrase(words.REPEAT):
            cursor.word("all")
            if not cursor.phrase(words.INTO):
                return None
            return self._works(body, 1, read_places(cursor, self.craft))
        return self._how(body, more=False)

    # --- notes
    def _note(self, items: list[Item]) -> bool | None:
        """Words that say how chains, spaces and loops count."""
        cursor = self.cursor
        if cursor.phrase(words.LOOP_IS_FIRST):
            return True
        if cursor.phrase(words.BOUND_FIRST):
            _change_last(items, BindOff, first_is_worked=True)
            return True
        counted = cursor.attempt(lambda: notes.read_spaces_note(cursor))
        if counted is not None:
            self.spaces_count = counted.counts
            return True
        note = cursor.attempt(lambda: notes.read_chain_note(cursor, self.craft))
        return True if note is not None and _apply(note, items) else None

    # --- single items
    def _join(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        joined = cursor.phrase(words.JOIN_WITH)
        stitched = cursor.phrase(words.JOIN_STITCH)
        if not joined and not stitched:
            return None
        ring = cursor.attempt(lambda: self._to_ring() or None)
        if ring:
            return Idle(ring=True)
        if not joined and not _has_work(items):
            return None
        if cursor.attempt(
            lambda: (cursor.phrase(words.JOIN_INTO) and _first_or_top(cursor, self.craft)) or None
        ):
            cursor.attempt(lambda: cursor.words("to join") or cursor.words("and join") or None)
            return Idle()
        if cursor.words("to join"):
            cursor.attempt(
                lambda: (cursor.phrase(words.JOIN_INTO) and _first_or_top(cursor, self.craft)) or None
            )
            return Idle()
        return Idle() if joined and cursor.clause_ended() else None

    def _to_ring(self) -> bool:
        """`join to form a ring`, `sl st in first ch to form ring`."""
        cursor = self.cursor
        cursor.attempt(lambda: cursor.phrase(words.JOIN_STITCH) or None)
        cursor.attempt(lambda: (cursor.phrase(words.JOIN_INTO) and read_place(cursor, self.craft)) or None)
        return cursor.phrase(words.TO_RING)

    def _evenly(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        cursor.attempt(lambda: cursor.phrase(words.VERBS) or None)
        before = cursor.phrase(words.EVENLY)
        sign = _sign(cursor)
        if sign == 0:
            return None
        before = cursor.phrase(words.EVENLY) or before
        number = cursor.number()
        if number is None:
            return None
        read_kind(cursor, self.craft)
        if not cursor.phrase(words.EVENLY) and not before:
            return None
        times = cursor.times()
        if times is not None:
            number = times if number == 1 else 0
        read_extent(cursor, self.craft)
        return Evenly(number, sign) if number else None

    def _bind_off(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        if self.craft == "crochet" or not cursor.phrase(words.BIND_OFF):
            return None
        cursor.phrase(words.EVEN_TAILS)
        _pass_over_one(cursor, (words.EACH, words.LAST, words.REST, words.NEXT, words.FIRST))
        number = cursor.number()
        noun = read_kind(cursor, self.craft)
        while cursor.phrase(words.BIND_TAILS):
            pass
        return BindOff(number) if number is not None or noun or cursor.clause_ended() else None

    def _cast_on(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        if not cursor.phrase(words.CAST_ON):
            return None
        number = cursor.number()
        if number is None:
            return None
        cursor.word("new", "more")
        read_kind(cursor, self.craft)
        while cursor.phrase(words.CAST_TAILS):
            pass
        return CastOn(number)

    def _hold(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        if not cursor.phrase(words.HOLD_VERBS):
            return None
        following = cursor.phrase(words.NEXT) or cursor.phrase(words.FIRST)
        rest = not following and (cursor.phrase(words.LAST) or cursor.phrase(words.REST))
        number = cursor.number()
        if read_kind(cursor, self.craft) is None or not cursor.phrase(words.HOLDERS):
            return None
        while cursor.phrase(words.IDLE):
            pass
        if rest or (number is None and not following):
            return Leave(number)
        return Hold(1 if number is None else number)

    def _leave(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        with_word = cursor.sees("with")
        if not cursor.phrase(words.LEAVE):
            return None
        rest = _pass_over_one(cursor, (words.LAST, words.REST, words.NEXT))
        number = cursor.number()
        noun = read_kind(cursor, self.craft)
        unworked = cursor.phrase(words.UNWORKED)
        if not (rest or number is not None) or (with_word and not unworked) or not (noun or unworked):
            return None
        return Leave(number)

    def _skip(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        if not cursor.phrase(words.SKIP):
            return None
        place = read_place(cursor, self.craft)
        if place is None:
            number = cursor.number()
            read_kind(cursor, self.craft)
            place = Next(number) if number is not None else None
        return Skip(place) if isinstance(place, Next | Same | TurningChain) else None

    def _opposite(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        cursor.phrase(words.OPPOSITE_VERBS)
        cursor.word("the")
        return Opposite() if cursor.phrase(words.OPPOSITE) else None

    def _pick_up(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        cursor.phrase(words.EDGES)
        if not cursor.phrase(words.PICK_UP):
            return None
        take = cursor.number()
        if take is None or not read_kind(cursor, self.craft):
            return None
        cursor.phrase(words.EVENLY)
        cursor.phrase(words.EDGES)
        if not (cursor.word("for", "in", "from", "per", "along")):
            return PickUp(take)
        cursor.word("every", "each", "per")
        per = cursor.number()
        if read_kind(cursor, self.craft) is None:
            return None
        cursor.phrase(words.EDGES)
        return PickUp(take, 1 if per is None else per)

    def _chain(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
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
        cursor.attempt(lambda: self._chain_tail())
        return Chain(number)

    def _chain_tail(self) -> bool | None:
        """`ch 14 for the second sleeve`, `ch 2 for corner`."""
        return True if self.cursor.phrase(words.CHAIN_TAILS) else None

    def _slip(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        if self.craft == "knitting":
            return None
        cursor.phrase(words.VERBS)
        number = cursor.number()
        if not read_slip(cursor):
            return None
        after = cursor.number()
        cursor.phrase(words.SIDES)
        if cursor.phrase(words.INTO) or cursor.word("over", "across"):
            place = read_place(cursor, self.craft)
            if place is None and cursor.now() is not None:
                cursor.word("next", "first")
                many = cursor.number()
                place = Next(many) if many is not None and read_kind(cursor, self.craft) else None
            return None if place is None else Slip(place)
        extent = read_extent(cursor, self.craft)
        if extent is not None:
            return Slip(extent)
        number = number if number is not None else after
        return Slip(Next(number)) if number is not None else None

    def _work(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        even = cursor.attempt(self._even)
        if even is not None:
            return even
        while cursor.phrase(words.VERBS):
            pass
        into_first = cursor.attempt(self._into_first)
        if into_first is not None:
            return into_first
        article = cursor.word("a", "an")
        number = 1 if article else cursor.number()
        shell = cursor.attempt(lambda: self._shell(number))
        if shell is not None:
            return shell
        stitch = read_stitch(cursor, self.craft)
        if stitch is None:
            return None
        cursor.attempt(lambda: cursor.phrase(words.STITCH_NOUNS) or None if number is not None else None)
        return self._worked(stitch, number)

    def _shell(self, number: Number | None) -> Item | None:
        """`5 dc shell in next st`: so many in one."""
        cursor = self.cursor
        if number is None or read_stitch(cursor, self.craft) is None:
            return None
        if not cursor.word("shell", "fan") or not cursor.phrase(words.INTO):
            return None
        return self._works(Stitch("shell"), number, read_places(cursor, self.craft))

    def _into_first(self) -> Item | None:
        """`in next st work 2 dc`, `in each ch-sp: 3 dc`."""
        cursor = self.cursor
        if not cursor.phrase(words.INTO):
            return None
        place = read_place(cursor, self.craft)
        if place is None:
            return None
        cursor.word(",", ":")
        cursor.phrase(words.VERBS)
        if cursor.sees("(", "["):
            opening = cursor.tokens[cursor.place]
            cursor.place += 1
            body = self.read_items(())
            return Work(body, place) if cursor.word(CLOSING[opening.text]) and body else None
        number = cursor.number()
        stitch = read_stitch(cursor, self.craft)
        if stitch is None or not cursor.clause_ended():
            return None
        return Work(stitch, place, 1 if number is None else number)

    def _even(self) -> Item | None:
        """`work even in Tps`, `work in St st for 10 rows`, `knit 4 rows`, `work in patt to last 4 sts`."""
        cursor = self.cursor
        if not cursor.phrase(words.EVEN):
            return None
        cursor.attempt(
            lambda: (
                (cursor.word("in") and (read_stitch(cursor, self.craft) or cursor.phrase(words.EVEN))) or None
            )
        )
        cursor.phrase(words.EVEN_TAILS)
        extent = read_extent(cursor, self.craft)
        if extent is not None:
            return Work(Stitch("work"), extent)
        rows = cursor.attempt(lambda: self._for_rows() or None)
        if rows is None and not cursor.clause_ended():
            return None
        return Work(Stitch("work"), Each())

    def _for_rows(self) -> bool:
        """Rows that change no count: `for 10 rows`, `6 rows`."""
        cursor = self.cursor
        cursor.word("for", "over")
        cursor.word("a", "the")
        cursor.phrase(words.NEXT)
        number = cursor.number()
        cursor.word("more", "further")
        if number is None or not cursor.phrase(words.ROWS):
            return False
        cursor.phrase(words.EVEN_TAILS)
        return True

    def _worked(self, stitch: Stitch, number: Number | None) -> Item | None:
        """What stands after the stitch: a count, a place, an extent, how often."""
        cursor = self.cursor
        if self.craft == "knitting" and cursor.attempt(
            lambda: (self._for_rows() and cursor.clause_ended()) or None
        ):
            return Work(stitch, Each())
        after = cursor.attempt(lambda: self._count_after(number))
        cursor.phrase(words.SIDES)
        many = number if number is not None else after
        places = cursor.attempt(
            lambda: (cursor.phrase(words.INTO) and read_places(cursor, self.craft)) or None
        )
        if places:
            return self._works(stitch, 1 if many is None else many, places)
        over = cursor.attempt(lambda: self._over(stitch))
        if over is not None:
            return over
        if many is None:
            extent = read_extent(cursor, self.craft)
            if extent is None and self.craft == "knitting":
                place = cursor.attempt(lambda: read_place(cursor, self.craft))
                extent = place if isinstance(place, Each | Next) else None
            if extent is not None:
                return Work(stitch, extent)
        times = cursor.times()
        if many is None:
            return Run(stitch, 1 if times is None else times)
        return Run(stitch, many) if times is None else Repeat((Run(stitch, many),), times)

    def _count_after(self, number: Number | None) -> Number | None:
        """`k 12`, `sc 6`: a number after the stitch, unless it says how often."""
        cursor = self.cursor
        if number is not None:
            return None
        count = cursor.number()
        if count is None or cursor.sees("times", "time", "x"):
            return None
        cursor.attempt(lambda: cursor.phrase(words.STITCH_NOUNS) or None)
        return count

    def _over(self, stitch: Stitch) -> Item | None:
        """`dc3tog over next 3 sts`, `hdc over next 5 sts`."""
        cursor = self.cursor
        if not cursor.word("over", "across", "using", "along"):
            return None
        place = read_place(cursor, self.craft)
        if not isinstance(place, Next):
            return None
        if stitch.takes == 1 or place.number == stitch.takes:
            return Work(stitch, place) if stitch.takes == 1 else Run(stitch, 1)
        return None

    def _works(
        self, what: "Stitch | tuple[Item, ...]", times: Number, places: tuple[Place, ...]
    ) -> Item | None:
        if not places:
            return None
        if isinstance(places[0], FromHook) and len(places) == 1:
            places = self._after_skipped_chains(places[0])
        first = Work(what, places[0], times)
        if len(places) == 1:
            return self._and_in_spaces(first)
        rest = tuple(Work(what, place, 1 if isinstance(place, Each) else times) for place in places[1:])
        return Repeat((first, *rest))

    def _after_skipped_chains(self, place: FromHook) -> tuple[Place, ...]:
        """`in 3rd ch from hook (skipped chs count as hdc) and in each ch across`."""
        cursor = self.cursor

        def note() -> notes.ChainNote | None:
            if not cursor.word("(", "["):
                return None
            read = notes.read_chain_note(cursor, self.craft)
            return read if read is not None and cursor.word(")", "]") else None

        read = cursor.attempt(note)
        first = place if read is None else replace(place, counts=read.counts > 0)

        def further() -> tuple[Place, ...] | None:
            if not cursor.word("and"):
                return None
            cursor.phrase(words.INTO)
            return read_places(cursor, self.craft) or None

        return (first, *(cursor.attempt(further) or ()))

    def _and_in_spaces(self, first: Work) -> Item:
        """`sc in each dc and 2 sc in each ch-2 sp across` goes through both together."""
        if not isinstance(first.place, Each) or first.place.keep:
            return first

        def second() -> Work | None:
            self.cursor.word(",")
            if not self.cursor.word("and"):
                return None
            number = self.cursor.number()
            stitch = read_stitch(self.cursor, self.craft)
            if stitch is None or not self.cursor.phrase(words.INTO):
                return None
            place = read_place(self.cursor, self.craft)
            if not isinstance(place, Each) or place.kind == first.place.kind:
                return None
            return Work(stitch, place, 1 if number is None else number)

        other = self.cursor.attempt(second)
        return first if other is None else Both((first, other))

    def _idle(self, items: list[Item]) -> Item | None:
        cursor = self.cursor
        if cursor.phrase(words.TURN):
            return Turn()
        if cursor.phrase(words.RETURN) or cursor.phrase(words.IDLE) or cursor.phrase(words.SIDES):
            return Idle()
        if cursor.attempt(lambda: self._markers() or None):
            return Idle()
        if cursor.attempt(
            lambda: (cursor.phrase(words.COLOUR_VERBS) and cursor.phrase(words.COLOURS)) or None
        ):
            return Idle()
        return None

    def _markers(self) -> bool:
        """`placing 4 markers for the raglan lines`."""
        cursor = self.cursor
        if not cursor.word("place", "placing", "pm", "insert") or cursor.number() is None:
            return False
        named = cursor.word("marker", "markers", "m")
        cursor.phrase(words.MARKER_TAILS)
        return named

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


def _pass_over_one(cursor: Cursor, tables: tuple[tuple[tuple[str, ...], ...], ...]) -> bool:
    return any(cursor.phrase(table) for table in tables)


def _sign(cursor: Cursor) -> int:
    if cursor.phrase(words.INCREASE):
        return 1
    return -1 if cursor.phrase(words.DECREASE) else 0


def _has_work(items: list[Item]) -> bool:
    return any(not isinstance(item, Chain | Idle | Turn | Skip | Slip | Unread) for item in items)


def _first_or_top(cursor: Cursor, craft: str) -> bool:
    """What a round is joined to."""
    place = read_place(cursor, craft)
    if isinstance(place, Next) and place.first and place.number == 1:
        return True
    return isinstance(place, TurningChain | Same)


def _change_last(items: list[Item], kind: type, **changes: object) -> None:
    for index in range(len(items) - 1, -1, -1):
        if isinstance(items[index], kind):
            items[index] = replace(items[index], **changes)  # type: ignore[type-var]
            return


def _apply(note: "notes.ChainNote", items: list[Item]) -> bool:
    """Hang what a note says on the chain, or on the skipped chains, that it speaks of."""
    for index in range(len(items) - 1, -1, -1):
        item = items[index]
        if note.skipped:
            changed = _with_skipped(item, note.counts)
            if changed is not None:
                items[index] = changed
                return True
        elif isinstance(item, Chain):
            counts = item.number if note.each else note.counts
            items[index] = replace(
                item, counts=counts, space=note.space, on_slip=note.on_slip, throughout=note.throughout
            )
            return True
    return False


def _with_skipped(item: Item, counts: int) -> Item | None:
    if isinstance(item, Work) and isinstance(item.place, FromHook):
        return replace(item, place=replace(item.place, counts=counts > 0))
    if isinstance(item, Repeat) and item.items:
        first = _with_skipped(item.items[0], counts)
        return None if first is None else replace(item, items=(first, *item.items[1:]))
    return None
