"""Works stitches into places: the next ones, each chain space, the chain that the row begins on."""

from grading.core.audit.cells import Cell
from grading.core.audit.chain_working import ChainWorker
from grading.core.audit.item_kinds import (
    chain_counts,
)
from grading.core.audit.row_states import UNKNOWN_BENEATH, UNKNOWN_SPACES, UnreadError
from grading.core.audit.stitches import Stitch
from grading.core.audit.tree import (
    Both,
    Chain,
    Each,
    EveryNth,
    FromHook,
    Idle,
    Item,
    Kind,
    Next,
    Nth,
    Repeat,
    RepeatToEnd,
    Run,
    Same,
    Skip,
    Slip,
    Turn,
    TurningChain,
    Work,
)


class PlaceWorker(ChainWorker):
    """Stitches of a row, worked into places."""

    def _every_nth(self, work: Work, place: EveryNth) -> None:
        number = self._know_beneath()
        if number % place.number:
            raise UnreadError(f"{number} is no multiple of {place.number}, and nothing says how the row ends")
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
            if self.beneath.is_ring():
                raise UnreadError("it is not said whether this is worked into the ring or into its chains")
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
