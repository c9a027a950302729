"""Reads what is worked: a stitch or a group with its count, its places, how far or how often.

work = [ N ] stitch [ N ] ( "in" place { "and in" place } | "over" place | extent | times )
"""

from dataclasses import replace

from grading.core.audit import notes, words
from grading.core.audit.cursor import Cursor
from grading.core.audit.edge_reading import along_edge, read_rate_of
from grading.core.audit.fabrics import for_rows, read_even
from grading.core.audit.places import read_extent, read_place, read_places
from grading.core.audit.stitch_reading import read_stitch
from grading.core.audit.stitches import Stitch
from grading.core.audit.tokens import Number
from grading.core.audit.tree import (
    Both,
    Each,
    EveryNth,
    FromHook,
    Item,
    Kind,
    Next,
    Opposite,
    PickUp,
    Place,
    Repeat,
    Run,
    Work,
)


def read_work(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """Read a stitch with its count, its places, how far or how often."""
    even = cursor.attempt(lambda: read_even(cursor, craft))
    if even is not None:
        return even
    named = cursor.attempt(lambda: _named(cursor, craft))
    if named is not None:
        return named
    while cursor.phrase(words.VERBS):
        pass
    placed = cursor.first_of((_together_first, _hook_inserted, _into_first), cursor, craft)
    if placed is not None:
        return placed
    same = cursor.attempt(lambda: _same_again(cursor, craft, items))
    if same is not None:
        return same
    article = cursor.word("a", "an")
    number = 1 if article else cursor.number()
    shell = cursor.attempt(lambda: _shell(cursor, craft, number))
    if shell is not None:
        return shell
    stitch = read_stitch(cursor, craft)
    if stitch is None:
        return None
    return _after_stitch(cursor, craft, stitch, number)


def _named(cursor: Cursor, craft: str) -> Item | None:
    """A stitch whose name begins with a verb: `make one left`."""
    if not cursor.sees("make", "work", "knit", "place", "k", "p", "purl"):
        return None
    stitch = read_stitch(cursor, craft)
    if stitch is None or stitch.takes == stitch.leaves == 1:
        return None
    return _worked(cursor, craft, stitch, None)


def _after_stitch(cursor: Cursor, craft: str, stitch: Stitch, number: Number | None) -> Item | None:
    cursor.attempt(lambda: cursor.word("(") and read_stitch(cursor, craft) and cursor.word(")"))
    both = cursor.attempt(lambda: _front_and_back(cursor, craft, stitch))
    if both is not None:
        return both
    if number is not None:
        cursor.attempt(lambda: cursor.phrase(words.STITCH_NOUNS))
        if isinstance(number, int) and 2 <= number <= 12 and cursor.phrase(words.TOGETHER):
            return _worked(cursor, craft, Stitch(f"{stitch.name}{number}tog", number, 1), None)
    return _worked(cursor, craft, stitch, number)


def _front_and_back(cursor: Cursor, craft: str, stitch: Stitch) -> Item | None:
    """`knit into the front and back of every st`, `inc in next st by kfb`."""
    if craft != "knitting" or stitch.takes != 1 or stitch.leaves != 1:
        return None
    if not cursor.phrase(words.FRONT_BACK):
        return None
    return works_into(cursor, craft, Stitch("kfb", 1, 2), 1, read_places(cursor, craft))


def _together_first(cursor: Cursor, craft: str) -> Item | None:
    """`work the next 3 sts together`, `knit last 2 sts tog`, `2 tog`."""
    stitch = read_stitch(cursor, craft)
    if stitch is not None and (stitch.takes != 1 or stitch.name in ("sl", "slip")):
        return None
    place = read_place(cursor, craft)
    number = place.number if isinstance(place, Next) else cursor.number()
    if not isinstance(number, int) or not 2 <= number <= 12:
        return None
    cursor.attempt(lambda: cursor.phrase(words.STITCH_NOUNS))
    if not cursor.phrase(words.TOGETHER):
        return None
    while cursor.phrase(words.SIDES):
        pass
    made = Stitch(f"{number}tog", number, 1)
    times = cursor.times()
    return Run(made, 1 if times is None else times)


def _same_again(cursor: Cursor, craft: str, items: list[Item]) -> Item | None:
    """`do the same in every ch to the end`: the stitch that was worked before."""
    cursor.place -= cursor.place > 0 and cursor.texts[cursor.place - 1] in ("do", "work", "repeat")
    last = next((item for item in reversed(items) if isinstance(item, Work)), None)
    if last is None or not cursor.phrase(words.SAME_AGAIN) or not cursor.phrase(words.INTO):
        return None
    place = read_place(cursor, craft)
    return None if place is None else replace(last, place=place)


def _hook_inserted(cursor: Cursor, craft: str) -> Item | None:
    """`insert hook in 2nd ch, pull up a loop`."""
    if not cursor.words("insert hook") and not cursor.words("insert the hook"):
        return None
    if not cursor.phrase(words.INTO):
        return None
    place = read_place(cursor, craft)
    cursor.word(",", "and")
    cursor.word("and", "then")
    stitch = read_stitch(cursor, craft)
    return None if place is None or stitch is None else Work(stitch, place)


def _shell(cursor: Cursor, craft: str, number: Number | None) -> Item | None:
    """`5 dc shell in next st`: so many in one."""
    if number is None or read_stitch(cursor, craft) is None:
        return None
    shell = cursor.word("shell", "fan")
    if not shell and not cursor.word("cluster", "cl", "bobble", "popcorn", "pc", "puff"):
        return None
    cursor.word("st", "stitch")
    if not _into(cursor):
        return None
    return works_into(cursor, craft, Stitch("shell"), number if shell else 1, read_places(cursor, craft))


def _into_first(cursor: Cursor, craft: str) -> Item | None:
    """`in next st work 2 dc`, `in each ch-sp: 3 dc`."""
    if not cursor.phrase(words.INTO):
        return None
    place = read_place(cursor, craft)
    if place is None:
        return None
    cursor.word(",", ":")
    cursor.phrase(words.VERBS)
    number = cursor.number()
    stitch = read_stitch(cursor, craft)
    if stitch is None or not cursor.clause_ended():
        return None
    return Work(stitch, place, 1 if number is None else number)


def _worked(cursor: Cursor, craft: str, stitch: Stitch, number: Number | None) -> Item | None:
    """What stands after the stitch: a count, a place, an extent, how often."""
    whole = cursor.attempt(lambda: _whole_rows(cursor, craft, stitch, number))
    if whole is not None:
        return whole
    after = cursor.attempt(lambda: _count_after(cursor, craft, number))
    many = number if number is not None else after
    on_edge = cursor.attempt(lambda: _on_edge(cursor, craft, many))
    if on_edge is not None:
        return on_edge
    places = cursor.attempt(lambda: _into(cursor) and read_places(cursor, craft))
    if places:
        return _in_places(cursor, craft, Work(stitch, places[0], 1 if many is None else many), places)
    over = cursor.attempt(lambda: _over(cursor, craft, stitch))
    if over is not None:
        return over
    if many is None:
        extended = cursor.attempt(lambda: _extended(cursor, craft, stitch))
        if extended is not None:
            return extended
    times = cursor.times()
    if many is None:
        return Run(stitch, 1 if times is None else times)
    return Run(stitch, many) if times is None else Repeat((Run(stitch, many),), times)


def _into(cursor: Cursor) -> bool:
    cursor.word("all", "both", "together")
    return cursor.phrase(words.INTO)


def _place_without_in(cursor: Cursor, craft: str) -> Place | None:
    """`sc each st around`, `k the rest`, `dc next 5 sts`."""
    counted = cursor.now()
    place = read_place(cursor, craft)
    return None if counted is not None and counted.kind == "number" else place


def _in_places(cursor: Cursor, craft: str, work: Work, places: tuple[Place, ...]) -> Item | None:
    """Worked into places, perhaps back along the other side, or with the name of the increase after it."""
    item = works_into(cursor, craft, work.what, work.times, places)
    if item is not None and cursor.phrase(words.BACK_ALONG):
        return Repeat((Opposite(), item))
    cursor.attempt(lambda: cursor.phrase(words.BY_WORKING) and read_stitch(cursor, craft))
    return item


def _extended(cursor: Cursor, craft: str, stitch: Stitch) -> Item | None:
    """`sc to the last 2 sts`, `sc each st around`."""
    extent = read_extent(cursor, craft)
    if extent is not None:
        return Work(stitch, extent)
    place = cursor.attempt(lambda: _place_without_in(cursor, craft))
    return Work(stitch, place) if isinstance(place, Each | Next | EveryNth) else None


def _on_edge(cursor: Cursor, craft: str, many: Number | None) -> Item | None:
    """`3 sc for every 2 row ends`, `40 sc evenly along the edge`."""
    rate = cursor.attempt(lambda: read_rate_of(cursor, 1 if many is None else many))
    if rate is not None or many is None:
        return rate
    return PickUp(many) if along_edge(cursor, craft) else None


def _whole_rows(cursor: Cursor, craft: str, stitch: Stitch, number: Number | None) -> Work | None:
    """`knit 4 rows`, `purl every row`: every stitch of each row."""
    if stitch.takes != 1 or stitch.leaves != 1 or number is not None:
        return None
    if cursor.phrase(words.EVERY_ROW) or cursor.phrase(words.EVEN_TAILS):
        if cursor.clause_ended():
            return Work(stitch, Each())
        rows = for_rows(cursor)
        return None if rows is None else Work(stitch, Each(), rows=rows)
    rows = for_rows(cursor) if craft == "knitting" else None
    cursor.phrase(words.OVER_ALL)
    return Work(stitch, Each(), rows=rows) if rows is not None and cursor.clause_ended() else None


def _count_after(cursor: Cursor, craft: str, number: Number | None) -> Number | None:
    """`k 12`, `sc 6`: a number after the stitch, unless it says how often."""
    if number is not None:
        return None
    count = cursor.number()
    if count is None or cursor.sees("times", "time", "x"):
        return None
    cursor.attempt(lambda: cursor.phrase(words.STITCH_NOUNS))
    return count


def _over(cursor: Cursor, craft: str, stitch: Stitch) -> Item | None:
    """`dc3tog over next 3 sts`, `hdc over next 5 sts`."""
    if not cursor.word("over", "across", "using", "along"):
        return None
    place = read_place(cursor, craft)
    if not isinstance(place, Next):
        return None
    if stitch.takes == 1 or place.number == stitch.takes:
        return Work(stitch, place) if stitch.takes == 1 else Run(stitch, 1)
    return None


def works_into(
    cursor: Cursor, craft: str, what: "Stitch | tuple[Item, ...]", times: Number, places: tuple[Place, ...]
) -> Item | None:
    """Work a stitch or a group into each of these places."""
    if not places:
        return None
    kinds = {place.kind for place in places if isinstance(place, Each) and not place.keep}
    if len(places) == 2 and kinds == {Kind.STITCH, Kind.SPACE}:
        return Both(Work(what, Each(), times), Work(what, Each(kind=Kind.SPACE), times))
    if isinstance(places[0], FromHook) and len(places) == 1:
        places = _after_skipped_chains(cursor, craft, places[0])
    first = Work(what, places[0], times)
    if len(places) == 1:
        return _and_in_spaces(cursor, craft, first)
    rest = tuple(Work(what, place, 1 if isinstance(place, Each) else times) for place in places[1:])
    return Repeat((first, *rest))


def _after_skipped_chains(cursor: Cursor, craft: str, place: FromHook) -> tuple[Place, ...]:
    """`in 3rd ch from hook (skipped chs count as hdc) and in each ch across`."""

    def note() -> notes.ChainNote | None:
        if not cursor.word("(", "["):
            return None
        read = notes.read_chain_note(cursor, craft)
        return read if read is not None and cursor.word(")", "]") else None

    read = cursor.attempt(note)
    first = place if read is None else replace(place, counts=read.counts != 0)

    def further() -> tuple[Place, ...] | None:
        if not cursor.word("and"):
            return None
        cursor.phrase(words.INTO)
        return read_places(cursor, craft) or None

    return (first, *(cursor.attempt(further) or ()))


def _and_in_spaces(cursor: Cursor, craft: str, first: Work) -> Item:
    """`sc in each dc and 2 sc in each ch-2 sp across` goes through both together."""
    through = first.place
    if not isinstance(through, Each) or through.keep:
        return first

    def second() -> Work | None:
        cursor.word(",")
        if not cursor.word("and"):
            return None
        number = cursor.number()
        stitch = read_stitch(cursor, craft)
        if stitch is None or not cursor.phrase(words.INTO):
            return None
        place = read_place(cursor, craft)
        if not isinstance(place, Each) or (place.kind is Kind.SPACE) == (through.kind is Kind.SPACE):
            return None
        return Work(stitch, place, 1 if number is None else number)

    other = cursor.attempt(second)
    if other is None:
        return first
    return Both(other, first) if through.kind is Kind.SPACE else Both(first, other)
