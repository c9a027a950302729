"""Works one row over the stitches beneath, in one size.

Conventions (common practice): ch 1 at the start of a row never counts; a longer turning chain counts only
where the text or a setting says so, and then stands on the first stitch; slip stitches at the start leave
nothing; chain spaces count only where the text says so; in Tunisian work the loop on the hook is the first
stitch; a repeat to the end works whole repeats only.
"""

from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import dataclass, field

from grading.core.audit.cells import Beneath, Cell
from grading.core.audit.item_kinds import (
    chain_counts,
    first_place,
    has_marker,
    is_counted,
    is_turning_chain_work,
    may_be_one_group,
    moves_to_space,
    only_spaces,
    works_from_hook,
)
from grading.core.audit.stitches import Stitch
from grading.core.audit.tokens import Number
from grading.core.audit.tree import (
    BindOff,
    Both,
    CastOn,
    Chain,
    Each,
    Ending,
    Evenly,
    EveryNth,
    FromHook,
    Hold,
    Idle,
    Item,
    Kind,
    Leave,
    Next,
    Nth,
    Opposite,
    PickUp,
    Repeat,
    RepeatToEnd,
    Ring,
    Row,
    Run,
    Same,
    Skip,
    Slip,
    Turn,
    TurningChain,
    Unread,
    UntilRows,
    Work,
)

UNKNOWN_BENEATH = "it is not known how many stitches are beneath"
UNKNOWN_SPACES = "it is not known how many chain spaces are beneath"
MOST_REPEATS = 5_000
"""A row of a garment has fewer repeats than this, those inside others counted too."""


class UnreadError(Exception):
    """A row can't be worked: the reason, and the words it rests on where they are known."""

    def __init__(self, why: str, start: int = 0, end: int = 0) -> None:
        super().__init__(why)
        self.why, self.start, self.end = why, start, end


@dataclass(frozen=True)
class Setting:
    """What is known about a row from outside its words."""

    craft: str
    counts_turning_chain: bool | None = None
    spaces_count: bool = False
    throughout: Mapping[int, tuple[int, bool]] = field(default_factory=dict)
    number_of: Callable[[str], int | None] = lambda _name: None


@dataclass(frozen=True)
class Worked:
    """What a row takes of the places beneath, leaves unworked, and leaves behind."""

    takes: int
    unworked: int
    leaves: int
    spaces: int
    left_over: int | None
    cells: tuple[Cell, ...]
    started: bool = False


def work_row(row: Row, beneath: Beneath, setting: Setting) -> Worked:
    """Work a row; raises UnreadError with the reason when its words do not say enough."""
    worker = RowWorker(row, beneath, setting)
    return worker.work()


class RowWorker:
    """The state of a row while it is worked."""

    def __init__(self, row: Row, beneath: Beneath, setting: Setting) -> None:
        self.row = row
        self.setting = setting
        self.beneath = beneath.copy()
        self.starts = beneath.total() is None and not beneath.lost
        self.spaces_count = setting.spaces_count if row.spaces_count is None else row.spaces_count
        self.out: list[Cell] = []
        self.taken = self.unworked = self.spaces = 0
        self.worked = self.slipped = self.on_first = self.floats = self.in_spaces = self.in_space = (
            self.ring
        ) = False
        self.even = self.rounds = 0

    def number(self, number: Number) -> int:
        """The number as it is in this size."""
        if isinstance(number, int):
            return number
        found = self.setting.number_of(number)
        if found is None:
            raise UnreadError(f"{number} has no whole number here")
        return found

    def work(self) -> Worked:
        """Work all items in order."""
        if self.row.unread:
            first = self.row.unread[0]
            raise UnreadError(first.why, first.start, first.end)
        if self.setting.craft == "tunisian" and self._has_first_loop():
            self._take(1)
            self._leave(1)
        last = len(self.row.items) - 1
        for index, item in enumerate(self.row.items):
            self._do(item, self.row.items[index + 1 :] if index < last else ())
        if self.even or any(isinstance(item, Evenly) for item in self.row.items):
            self._spread_evenly()
        if self.floats:
            self._settle_floats()
        self._pass_over_between_spaces(self.row.items)
        return self._result()

    def _has_first_loop(self) -> bool:
        if self.beneath.total() is None:
            return False
        first = next((item for item in self.row.items if not isinstance(item, Idle | Turn)), None)
        return (
            not isinstance(first, BindOff | CastOn | Hold | PickUp | Chain | None) and not self._slips_all()
        )

    def _slips_all(self) -> bool:
        """Slip stitches across close the last row."""
        moves = [item for item in self.row.items if not isinstance(item, Idle | Turn)]
        return len(moves) == 1 and isinstance(moves[0], Slip) and isinstance(moves[0].place, Each)

    def _result(self) -> Worked:
        leaves = sum(cell.number for cell in self.out if cell.counted)
        total = self.beneath.total()
        left_over = None if self.starts or total is None else total - self.taken - self.unworked
        takes = 0 if self.starts else self.taken
        begins = self.starts and not any(
            isinstance(item, Work | Run | Repeat | RepeatToEnd | PickUp) for item in self.row.items
        )
        picks_up = any(isinstance(item, PickUp) for item in self.row.items)
        begins = begins or (picks_up and self.row.numbers is None)
        return Worked(takes, self.unworked, leaves, self.spaces, left_over, tuple(self.out), begins)

    # --- steps
    def _do(self, item: Item, after: tuple[Item, ...]) -> None:
        if isinstance(item, Idle | Turn | Ending | UntilRows):
            if isinstance(item, Idle) and item.ring and self.beneath.total() is None:
                self.ring = self.starts = True
            return
        if isinstance(item, Unread):
            raise UnreadError(item.why, item.start, item.end)
        if isinstance(item, Chain):
            self._chain(item, after)
            return
        if isinstance(item, Slip):
            self._slip(item)
            return
        self._do_work(item, after)

    def _do_work(self, item: Item, after: tuple[Item, ...]) -> None:
        if isinstance(item, Work):
            self._work(item, after)
        elif isinstance(item, Run):
            self._run(item.stitch, self.number(item.times))
        elif isinstance(item, Skip):
            self._skip(item)
        elif isinstance(item, Repeat):
            self._repeat(item, after)
        elif isinstance(item, RepeatToEnd):
            self._repeat_to_end(item, after)
        elif isinstance(item, Both):
            self._both(item)
        else:
            self._do_ends(item, after)
        self.worked = self.worked or not isinstance(item, Skip)

    def _do_ends(self, item: Item, after: tuple[Item, ...]) -> None:
        """Stitches bound off, cast on, held, left, picked up or spread evenly."""
        if isinstance(item, BindOff):
            self._bind_off(item, after)
        elif isinstance(item, CastOn):
            self._leave(self.number(item.number))
        elif isinstance(item, Hold):
            self._take(self.beneath.remaining() if item.number is None else self.number(item.number))
        elif isinstance(item, Leave):
            self.unworked += self.beneath.remaining() if item.number is None else self.number(item.number)
        elif isinstance(item, PickUp):
            self._pick_up(item)
        elif isinstance(item, Opposite):
            self.beneath = self.beneath.opposite()

    def _take(self, number: int) -> None:
        self.taken += self.beneath.take(number)

    def _leave(self, number: int, kind: Kind = Kind.STITCH, *, counted: bool = True) -> None:
        if number:
            self.out.append(Cell(kind, number, counted))

    def _know_beneath(self) -> int:
        if self.beneath.total() is None:
            raise UnreadError(UNKNOWN_BENEATH)
        return self.beneath.remaining()

    # --- chains and slip stitches
    def _chain(self, chain: Chain, after: tuple[Item, ...]) -> None:
        number = self.number(chain.number)
        if after and isinstance(after[0], Idle) and after[0].ring:
            return
        if self.beneath.total() is None and not self.out and not self.ring and self._starts_work(after):
            if chain.counts is not None or (self.beneath.lost and not works_from_hook(after)):
                raise UnreadError(UNKNOWN_BENEATH)
            self.starts = True
            self.beneath = Beneath((Cell(Kind.CHAIN, number, True),))
            if not any(isinstance(item, Work | Run | Repeat | RepeatToEnd) for item in after):
                self._leave(number)
            return
        if self.worked:
            self._chain_between(chain, after)
        else:
            self._turning_chain(chain, number)

    def _starts_work(self, after: tuple[Item, ...]) -> bool:
        """Whether work begins with a chain: not before a ring, nor before stitches picked up."""
        if any(isinstance(item, PickUp) for item in after):
            return False
        works = [item for item in after if isinstance(item, Work | Repeat | RepeatToEnd | Run | Skip)]
        if not works:
            return True
        return first_place(works[0]) is not None and not isinstance(first_place(works[0]), Ring)

    def _chain_between(self, chain: Chain, after: tuple[Item, ...]) -> None:
        counts = None if chain.counts is None else self.number(chain.counts)
        if counts is None and self._belongs_to_next_row(after):
            return
        if counts:
            self._leave(counts)
            self.spaces += chain.space
        elif counts == 0 or not self.spaces_count:
            self._leave(1, Kind.SPACE, counted=False)
            self.spaces += 1
        else:
            self._leave(1, Kind.SPACE)
            self.spaces += 1

    @staticmethod
    def _belongs_to_next_row(after: tuple[Item, ...]) -> bool:
        return any(isinstance(item, Turn) for item in after) and all(
            isinstance(item, Idle | Turn) for item in after
        )

    def _turning_chain(self, chain: Chain, number: int) -> None:
        counts, space = self._counts(chain, number)
        if counts:
            stands = self.in_space or (chain.on_slip and self.slipped)
            if not stands and self.beneath.total() is not None:
                self._take(1)
                self.on_first = True
            self._leave(counts)
        if space:
            self._leave(1, Kind.SPACE, counted=self.spaces_count)
            self.spaces += 1

    def _counts(self, chain: Chain, number: int) -> tuple[int, bool]:
        if chain.counts is not None:
            return self.number(chain.counts), chain.space
        if number == 1:
            return 0, False
        if number in self.setting.throughout:
            return self.setting.throughout[number]
        if self.setting.counts_turning_chain is None:
            raise UnreadError(f"it is not said whether the ch {number} at the start counts as a stitch")
        return int(self.setting.counts_turning_chain), False

    def _slip(self, slip: Slip) -> None:
        if isinstance(slip.place, FromHook):
            self._close_picot()
            return
        start = self.taken
        if moves_to_space(slip.place) and not self.worked:
            self._begin_at_space()
            self.in_space = True
            return
        if isinstance(slip.place, Same | TurningChain | Ring):
            self.worked = self.worked or not isinstance(slip.place, Same)
            return
        if isinstance(slip.place, Each):
            self._take(max(0, self._know_beneath() - self.number(slip.place.keep)))
        elif isinstance(slip.place, Next):
            self._go(slip.place)
        else:
            raise UnreadError("it is not clear where the slip stitch goes")
        if self.setting.craft != "tunisian" and (self.worked or isinstance(slip.place, Each)):
            self._leave(self.taken - start)
        self.slipped = self.slipped or not self.worked

    def _close_picot(self) -> None:
        """The chain before it is a picot, no space."""
        if self.out and self.out[-1].kind is Kind.SPACE:
            self.out.pop()
            self.spaces -= 1

    # --- working into places
    def _go(self, place: Next) -> int:
        """Take the next places; how many there were."""
        number = self.number(place.number)
        if place.kind is Kind.SPACE:
            if self.beneath.bare:
                raise UnreadError(UNKNOWN_SPACES)
            self._begin_at_space()
            self.in_space = False
            for _ in range(number):
                self.taken += self.beneath.take_space()
            return number
        if place.first and self.on_first:
            self.on_first = False
            self._take(number - 1)
            return number
        self.on_first = False
        if place.last:
            self._pass_to_last(number)
        self._take(number)
        return number

    def _begin_at_space(self) -> None:
        if self.row.in_round and not self.taken:
            self.beneath.begin_at_space()

    def _work(self, work: Work, after: tuple[Item, ...]) -> None:
        place = work.place
        if isinstance(place, Each):
            self._each(work, place, after)
        elif isinstance(place, Next):
            self._next(work, place)
        elif isinstance(place, FromHook):
            self._from_hook(work, place)
        elif isinstance(place, EveryNth):
            self._every_nth(work, place)
        elif isinstance(place, Nth):
            self._nth(work, place)
        else:
            if isinstance(place, TurningChain):
                self._pass_to_last(1)
                self._take(1)
            elif isinstance(place, Same) and self.in_space:
                self._go(Next(kind=Kind.SPACE))
            elif isinstance(place, Same) and not self._stands_on_a_place():
                self._take(1)
            self._make(work, 1)

    def _every_nth(self, work: Work, place: EveryNth) -> None:
        number = self._know_beneath()
        if number % place.number:
            raise UnreadError(f"{number} is no multiple of {place.number}: how it ends is not said")
        self._take(number)
        self._make(work, number // place.number)

    def _nth(self, work: Work, place: Nth) -> None:
        """The places before it that nothing was worked into are passed over."""
        self._know_beneath()
        if self.taken >= place.number:
            raise UnreadError(f"the {place.number}. st of the row has been worked already")
        self._take(place.number - self.taken)
        self.on_first = False
        self._make(work, 1)

    def _pass_to_last(self, number: int) -> None:
        """After work into spaces the stitches between are passed over up to the last."""
        if self.in_spaces and self.beneath.has_spaces():
            self._take(max(0, self.beneath.remaining() - number))
            self.in_spaces = False

    def _stands_on_a_place(self) -> bool:
        """Whether something has been worked into, so that `same st` names it."""
        return self.taken > 0 or self.worked or self.beneath.total() is None

    def _next(self, work: Work, place: Next) -> None:
        if isinstance(work.what, Stitch) and work.what.takes != 1:
            self._next_several(work.what, self.number(work.times), self.number(place.number))
            return
        if self.beneath.total() is None:
            raise UnreadError(UNKNOWN_BENEATH)
        self._make(work, self._go(place))

    def _next_several(self, stitch: Stitch, times: int, number: int) -> None:
        """`dec in next 4 sts` is two decreases, `dc2tog in next st` is made in one."""
        if stitch.takes == 0:
            raise UnreadError(f"{stitch.name} is not worked into a stitch")
        if number == 1 and stitch.name.endswith("tog"):
            self._take(1)
            self._leave(stitch.leaves * times)
        elif (number % stitch.takes == 0 and number // stitch.takes in (1, times)) or (
            times == 1 and number % stitch.takes == 0
        ):
            self._run(stitch, number // stitch.takes)
        else:
            raise UnreadError(f"{stitch.name} takes {stitch.takes} stitches, and {number} are named")

    def _make(self, work: Work, places: int) -> None:
        """Leave what is made in so many places."""
        for cell in self._made(work.what, self.number(work.times), places):
            self.out.append(cell)
            if cell.kind is Kind.SPACE:
                self.spaces += cell.number

    def _made(self, what: "Stitch | tuple[Item, ...]", times: int, places: int) -> list[Cell]:
        if isinstance(what, Stitch):
            leaves = what.leaves * times * places
            return [Cell(Kind.STITCH, leaves, True)] if leaves else []
        one = [cell for item in what for cell in self._made_in_one(item)] * times
        if places > 1 and all(cell.kind is Kind.STITCH for cell in one):
            return [Cell(Kind.STITCH, sum(cell.number for cell in one) * places, True)]
        return one * places

    def _made_in_one(self, item: Item) -> list[Cell]:
        """What an item of a group leaves when the whole group is worked into one place."""
        if isinstance(item, Run):
            return [Cell(Kind.STITCH, item.stitch.leaves * self.number(item.times), True)]
        if isinstance(item, Work) and isinstance(item.place, Same | Next):
            return self._made(item.what, self.number(item.times), 1)
        if isinstance(item, Chain):
            counts = chain_counts(item, self.spaces_count, self.number)
            return [Cell(Kind.STITCH, counts, True)] if counts > 1 else [Cell(Kind.SPACE, 1, bool(counts))]
        if isinstance(item, Repeat):
            times = self.number(item.times) + item.more
            return [cell for inner in item.items for cell in self._made_in_one(inner)] * times
        if isinstance(item, Slip):
            return [Cell(Kind.SPACE, -1, False)] if isinstance(item.place, FromHook) else []
        if isinstance(item, Idle | Turn):
            return []
        raise UnreadError("it is not clear what is worked into one place")

    def _each(self, work: Work, place: Each, after: tuple[Item, ...]) -> None:
        if place.marker:
            self.floats = True
            return
        if place.kind is Kind.SPACE:
            self._each_space(work, place, after)
            return
        keep = self.number(place.keep)
        if keep == 0 and after and isinstance(after[0], Ending):
            keep = self._demand(after[1:2])
        elif keep == 0 and after and is_turning_chain_work(after):
            keep = 1
        elif keep == 0:
            keep = self._last_ones(after)
        number = max(0, self._know_beneath() - keep)
        self.on_first = False
        if isinstance(work.what, Stitch) and work.what.takes != 1:
            if work.what.takes == 0:
                raise UnreadError(f"{work.what.name} takes no stitch, so it has no end")
            self._run(work.what, number // work.what.takes)
            return
        self._take(number)
        self._make(work, number)
        if keep and self._belongs_to_next_row(after):
            self.unworked += keep  # "to last 5 sts, turn"
            if self.setting.craft == "knitting":
                self._leave(keep)  # they stay on the needle

    def _last_ones(self, after: tuple[Item, ...]) -> int:
        """`sc in each st around, 2 sc in last st`: the last ones are those that follow."""
        following = next((item for item in after if not isinstance(item, Idle)), None)
        if not isinstance(following, Work) or not isinstance(following.place, Next):
            return 0
        place = following.place
        return self.number(place.number) if place.last and place.kind is Kind.STITCH else 0

    def _each_space(self, work: Work, place: Each, after: tuple[Item, ...]) -> None:
        spaces = self.beneath.spaces_left() - self.number(place.keep)
        if self.beneath.total() is None or (spaces <= 0 and not self.beneath.has_spaces()):
            raise UnreadError(UNKNOWN_SPACES)
        self._begin_at_space()
        for _ in range(spaces):
            self.taken += self.beneath.take_space()
        self.in_spaces = True
        self._make(work, spaces)
        if not any(isinstance(item, Work | Run | Repeat | RepeatToEnd | Skip) for item in after):
            self._take(self.beneath.remaining())

    def _both(self, both: Both) -> None:
        """Every place to the end, each by its kind."""
        by_kind = {Kind.SPACE: both.spaces, Kind.STITCH: both.stitches}
        self._know_beneath()
        if self.beneath.bare:
            raise UnreadError(UNKNOWN_SPACES)
        for cell in self.beneath.rest():
            self.taken += cell.number if cell.counted else 0
            self._make(by_kind[Kind.SPACE if cell.kind is Kind.SPACE else Kind.STITCH], cell.number)

    def _from_hook(self, work: Work, place: FromHook) -> None:
        number = self.number(place.number)
        if self.beneath.total() is None:
            raise UnreadError("the chain that this row begins on is not given")
        counts = place.counts
        if self.setting.craft == "tunisian":
            self._take(number - 1)  # the loop on the hook has taken one
            self._make(work, 1)
            return
        counts = self._first_chains_count(number, counts=counts)
        self._take(number)
        self.beneath.mark_worked(number - 1)
        if counts:
            self._leave(1)
        self._make(work, 1)

    def _run(self, stitch: Stitch, times: int) -> None:
        if times < 0:
            raise UnreadError("a number of stitches is below zero")
        if stitch.takes:
            if not self.ring:
                self._know_beneath()
            self.on_first = False
            self._take(stitch.takes * times)
        if stitch.leaves < 0:
            self._undo(-stitch.leaves * times)
        else:
            self._leave(stitch.leaves * times)

    def _undo(self, number: int) -> None:
        """A slipped stitch is passed over: one fewer."""
        self.out.append(Cell(Kind.STITCH, -number, True))

    def _skip(self, skip: Skip) -> None:
        if isinstance(skip.place, Same):
            return
        if (
            self.setting.craft == "tunisian"
            and isinstance(skip.place, Next)
            and skip.place.first
            and self.taken == 1
        ):
            return  # the loop on the hook is that stitch
        if isinstance(skip.place, TurningChain):
            self._take(1)
            return
        if isinstance(skip.place, Next):
            self._know_beneath()
            self._go(skip.place)
        if isinstance(skip.place, FromHook):
            self._skip_from_hook(skip.place)

    def _skip_from_hook(self, place: FromHook) -> None:
        """`starting in the 3rd ch from hook`: the chains before it are passed over."""
        self._know_beneath()
        number = self.number(place.number)
        if self.setting.craft == "tunisian":
            self._take(number - 2)
            return
        self._take(number - 1)
        self.beneath.mark_worked(number - 1)
        if self._first_chains_count(number, counts=place.counts):
            self._leave(1)

    def _first_chains_count(self, number: int, *, counts: bool | None) -> bool:
        """Whether the chains before the one that is worked into are a stitch."""
        if number <= 2:
            return bool(counts)
        if counts is None:
            counts = self.setting.counts_turning_chain
        if counts is None:
            raise UnreadError(f"it is not said whether the {number - 1} chains before it count as a stitch")
        return counts

    def _bind_off(self, item: BindOff, after: tuple[Item, ...]) -> None:
        number = self._know_beneath() if item.number is None else self.number(item.number)
        following = next((other for other in after if not isinstance(other, Idle | Turn)), None)
        if self.setting.craft == "knitting" and not item.first_is_worked and is_counted(following):
            raise UnreadError(
                "it is not said whether the stitch on the needle after binding off is one of the next"
            )
        self._take(number)

    def _pick_up(self, item: PickUp) -> None:
        take = self.number(item.take)
        if item.per is None:
            self._take(self.beneath.remaining() if self.beneath.total() is not None else 0)
            self._leave(take)
            return
        places = self._know_beneath()
        self._take(places)
        self._leave(int(places * take / self.number(item.per) + 0.5))

    # --- repeats
    def _repeat(self, item: Repeat, after: tuple[Item, ...]) -> None:
        times = self.number(item.times) + item.more
        if not 0 <= times <= MOST_REPEATS:
            raise UnreadError(f"{times} repeats are more than any row has")
        for _ in range(times):
            self._round_of(item.items, after)

    def _round_of(self, items: tuple[Item, ...], after: tuple[Item, ...]) -> None:
        self.rounds += 1
        if self.rounds > MOST_REPEATS:
            raise UnreadError(f"more than {MOST_REPEATS:,} repeats are more than any row has")
        for index, item in enumerate(items):
            self._do(item, (*items[index + 1 :], *after))

    def _repeat_to_end(self, item: RepeatToEnd, after: tuple[Item, ...]) -> None:
        if item.marker or has_marker(item.items):
            raise UnreadError("where the markers are is not known")
        self._know_beneath()
        if self.setting.craft == "crochet" and may_be_one_group(item.items):
            raise UnreadError("it is not said whether this is worked into one stitch or over several")
        keep, ending = self.number(item.keep), self._demand(item.ending)
        keep = keep + ending if item.instead else max(keep, ending)
        for _ in range(MOST_REPEATS):
            before = self.beneath.position()
            saved = self._save()
            self._round_of(item.items, (*item.ending, *after, Idle()))
            if self.beneath.position() == before:
                raise UnreadError("what is repeated takes no stitch, so it has no end")
            if self.beneath.remaining_signed() < keep:
                self._restore(saved)
                break
            if saved.beneath.is_even() and self.taken > saved.taken:
                self._repeat_alike(saved, keep)
                break
        self._round_of(item.ending, after)
        if not keep:
            self._pass_over_between_spaces(item.items)

    def _pass_over_between_spaces(self, items: tuple[Item, ...]) -> None:
        """A round that is worked into all chain spaces alone passes over the stitches between them."""
        if self.row.in_round and only_spaces(items) and not self.beneath.has_spaces_left():
            self._take(self.beneath.remaining())

    def _repeat_alike(self, saved: "RowWorker", keep: int) -> None:
        """Work what was just worked once as often again as it fits: all that is left beneath is alike."""
        takes, spaces = self.taken - saved.taken, self.spaces - saved.spaces
        more = (self.beneath.remaining_signed() - keep) // takes
        self.out += self.out[len(saved.out) :] * more
        self.spaces += spaces * more
        self._take(takes * more)

    def _demand(self, items: tuple[Item, ...]) -> int:
        """How many places items take, tried out and undone."""
        if not items:
            return 0
        saved = self._save()
        before = self.taken
        self._round_of(items, ())
        demand = self.taken - before
        self._restore(saved)
        return demand

    def _save(self) -> "RowWorker":
        kept = copy(self)
        kept.beneath, kept.out = self.beneath.copy(), list(self.out)
        return kept

    def _restore(self, kept: "RowWorker") -> None:
        self.__dict__.update(kept.__dict__)

    # --- at the end of the row
    def _spread_evenly(self) -> None:
        changes = [item for item in self.row.items if isinstance(item, Evenly)]
        others = [item for item in self.row.items if not isinstance(item, Idle | Turn | Chain | Evenly)]
        if not others:
            number = self._know_beneath()
            self._take(number)
            self._leave(number)
        for change in changes:
            self.out.append(Cell(Kind.STITCH, change.sign * self.number(change.change), True))

    def _settle_floats(self) -> None:
        """Work to a marker takes what the rest of the row leaves over, when the row is worked to its end."""
        left = self.beneath.remaining_signed()
        if left <= 0:
            return
        if not self.row.in_round and not isinstance(self.row.items[-1], Repeat):
            raise UnreadError("where the marker is is not known")
        self._take(left)
        self._leave(left)
