"""Works one row over the stitches beneath, in one size.

Conventions (common practice): ch 1 at the start of a row never counts; a longer turning chain counts only
where the text or a setting says so, and then stands on the first stitch; slip stitches at the start leave
nothing; chain spaces count only where the text says so; in Tunisian work the loop on the hook is the first
stitch; a repeat to the end works whole repeats only.
"""

from grading.core.audit.cells import Beneath, Cell
from grading.core.audit.far_sides import (
    ONCE_OR_TWICE,
    along_chain,
    far_side,
    turns_in_a_group,
    works_by_number,
)
from grading.core.audit.item_kinds import (
    has_marker,
    is_counted,
    is_turning_chain_work,
    may_be_one_group,
    only_spaces,
)
from grading.core.audit.place_working import PlaceWorker
from grading.core.audit.row_states import Setting, UnreadError, Worked
from grading.core.audit.stitches import Stitch
from grading.core.audit.tree import (
    BindOff,
    Both,
    CastOn,
    Chain,
    Each,
    Ending,
    Evenly,
    EveryNth,
    ForRows,
    FromHook,
    Hold,
    Idle,
    IfLeft,
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
    Work,
)

MOST_REPEATS = 5_000
"""A row of a garment has fewer repeats than this, those inside others counted too."""


def work_row(row: Row, beneath: Beneath, setting: Setting) -> Worked:
    """Work a row; raises UnreadError with the reason when its words do not say enough."""
    worker = RowWorker(row, beneath, setting)
    return worker.work()


def _works_on(after: tuple[Item, ...]) -> bool:
    return any(isinstance(item, Work | Run | Repeat | RepeatToEnd) for item in after)


class RowWorker(PlaceWorker):
    """Works all items of a row in their order."""

    def work(self) -> Worked:
        """Work all items in order."""
        if self.row.unread:
            first = self.row.unread[0]
            raise UnreadError(first.why, first.start, first.end)
        if self.setting.craft == "tunisian" and self._has_first_loop():
            self._take(0 if self._works_every_chain() else 1)
            self._leave(1)
        last = len(self.row.items) - 1
        for index, item in enumerate(self.row.items):
            self.place = index
            self._do(item, self.row.items[index + 1 :] if index < last else ())
        if self._only_leaves():
            rest = self.beneath.remaining() - self.unworked
            self._take(rest)  # the others are worked as they come
            self._leave(rest)
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

    def _only_leaves(self) -> bool:
        """Whether all that a row says is how many stitches stay unworked, of those there are."""
        alone = [item.items if isinstance(item, Repeat) else (item,) for item in self.row.items]
        said = [item for items in alone for item in items if not isinstance(item, Idle | Turn)]
        return (
            bool(said)
            and all(isinstance(item, Leave) and item.number is not None for item in said)
            and self.beneath.total() is not None
            and self.beneath.remaining() > self.unworked
        )

    def _works_every_chain(self) -> bool:
        """A loop in each ch, the first as well, is one more than there are: the one on the hook is beside."""
        moves = [item for item in self.row.items if not isinstance(item, Idle | Turn)]
        place = moves[0].place if moves and isinstance(moves[0], Work) else None
        return isinstance(place, Each) and place.kind is Kind.CHAIN and not place.left

    def _slips_all(self) -> bool:
        """Slip stitches across close the last row."""
        moves = [item for item in self.row.items if not isinstance(item, Idle | Turn)]
        return len(moves) == 1 and isinstance(moves[0], Slip) and isinstance(moves[0].place, Each)

    def _result(self) -> Worked:
        if self.ring_chains and not self.out:
            self._leave(self.ring_chains, Kind.RING)
        leaves = sum(cell.number for cell in self.out if cell.counted)
        total = self.beneath.total()
        left_over = None if self.starts or total is None else self.near + total - self.taken - self.unworked
        takes = 0 if self.starts else self.taken - self.added
        begins = self.starts and not any(
            isinstance(item, Work | Run | Repeat | RepeatToEnd | PickUp) for item in self.row.items
        )
        picks_up = any(isinstance(item, PickUp) for item in self.row.items)
        begins = begins or (picks_up and self.row.numbers is None)
        return Worked(takes, self.unworked, leaves, self.spaces, left_over, tuple(self.out), begins)

    def _do(self, item: Item, after: tuple[Item, ...]) -> None:
        if isinstance(item, Idle | Turn | Ending | ForRows):
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
        elif isinstance(item, IfLeft):
            self._round_of(item.items if self._know_beneath() == 1 else (), after)
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
        elif isinstance(item, Leave) and item.number is not None and _works_on(after):
            self._take(self.number(item.number))  # in mid-row they are passed over
        elif isinstance(item, Leave):
            self.unworked += self.beneath.remaining() if item.number is None else self.number(item.number)
        elif isinstance(item, PickUp):
            self._pick_up(item, after)
        elif isinstance(item, Opposite):
            self._go_round_the_end(after)

    def _go_round_the_end(self, after: tuple[Item, ...]) -> None:
        """Go on along the far side of the starting chain."""
        chains = along_chain(self.beneath)
        self.near += self.beneath.total() or 0
        self.beneath = far_side(chains - 1)
        if not turns_in_a_group(self.row.items[: self.place]):
            if not works_by_number(after):
                raise UnreadError(ONCE_OR_TWICE)
            if self._demand(after) == chains:
                self.beneath = far_side(chains)

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
            if isinstance(place, Ring) and self.beneath.is_ring():
                self._take(self.beneath.remaining())
            if isinstance(place, TurningChain):
                self._pass_to_last(1)
                self._take(1)
            elif isinstance(place, Same) and self.in_space:
                self._go(Next(kind=Kind.SPACE))
            elif isinstance(place, Same) and not self._stands_on_a_place():
                self._take(1)
            self._make(work, 1)

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
        number = self._places_to(place, keep)
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

    def _places_to(self, place: Each, keep: int) -> int:
        """How many places there are up to those kept, or how many chains of those just made."""
        if place.kind is Kind.CHAIN and self.added:
            return self.beneath.chains_ahead()
        return max(0, self._know_beneath() - keep)

    def _last_ones(self, after: tuple[Item, ...]) -> int:
        """`sc in each st around, 2 sc in last st`: the last ones are those that follow."""
        following = next((item for item in after if not isinstance(item, Idle)), None)
        if not isinstance(following, Work) or not isinstance(following.place, Next):
            return 0
        place = following.place
        return self.number(place.number) if place.last and place.kind is Kind.STITCH else 0

    def _bind_off(self, item: BindOff, after: tuple[Item, ...]) -> None:
        number = self._know_beneath() if item.number is None else self.number(item.number)
        following = next((other for other in after if not isinstance(other, Idle | Turn)), None)
        if self.setting.craft == "knitting" and not item.first_is_worked and is_counted(following):
            raise UnreadError(
                "it is not said whether the stitch on the needle after binding off is one of the next"
            )
        self._take(number)

    def _pick_up(self, item: PickUp, after: tuple[Item, ...]) -> None:
        take = self.number(item.take)
        if item.per is None:
            # Where stitches are knitted after it, those on the needle are not its edge.
            is_edge = self.beneath.total() is not None and not any(isinstance(one, Run) for one in after)
            self._take(self.beneath.remaining() if is_edge else 0)
            self._leave(take)
            return
        places = self._know_beneath()
        self._take(places)
        self._leave(int(places * take / self.number(item.per) + 0.5))

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
