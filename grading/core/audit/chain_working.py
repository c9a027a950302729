"""Works chains and slip stitches, and goes from place to place."""

from grading.core.audit.cells import Beneath, Cell
from grading.core.audit.item_kinds import (
    first_place,
    moves_to_space,
    works_back_along,
    works_each,
    works_each_stitch,
    works_from_hook,
)
from grading.core.audit.row_states import UNKNOWN_BENEATH, UNKNOWN_SPACES, RowState, UnreadError
from grading.core.audit.tree import (
    Chain,
    Each,
    FromHook,
    Idle,
    Item,
    Kind,
    Next,
    PickUp,
    Repeat,
    RepeatToEnd,
    Ring,
    Run,
    Same,
    Skip,
    Slip,
    Turn,
    TurningChain,
    Work,
)

TALLEST_TURNING = 4
"""Chains that stand for the tallest stitch at the start of a row: 4 for a US treble (common practice)."""


class ChainWorker(RowState):
    """Chains and slip stitches of a row."""

    def _chain(self, chain: Chain, after: tuple[Item, ...]) -> None:
        number = self.number(chain.number)
        if after and isinstance(after[0], Idle) and after[0].ring:
            self.ring_chains = number
            return
        begins_row = not self.out and not self.taken and not self.ring
        if self.beneath.total() is None and begins_row and self._starts_work(after):
            if chain.counts is not None or self._goes_on_below(number, after):
                raise UnreadError(UNKNOWN_BENEATH)
            self.starts = True
            self.beneath = Beneath((Cell(Kind.CHAIN, number, True),))
            if not any(_works(item) for item in after):
                self._leave(number)
            return
        if begins_row and self.beneath.total() is not None and works_back_along(after):
            self.beneath = self.beneath.behind(number)
            self.added += number
            return
        if self.worked:
            self._chain_between(chain, after)
        else:
            self._turning_chain(chain, number)

    def _goes_on_below(self, number: int, after: tuple[Item, ...]) -> bool:
        """Whether a row goes on over stitches that are not known, and its chain is no foundation."""
        if works_back_along(after):
            return self.beneath.lost and works_each_stitch(after)
        if self.beneath.lost and not works_from_hook(after):
            return True
        return number <= TALLEST_TURNING and works_each(after)

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
            self._slip_from_hook(self.number(slip.place.number))
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

    def _slip_from_hook(self, number: int) -> None:
        """The first of slip stitches along a chain, or the end of a picot."""
        if self.out or self.worked or number == 1:
            self._close_picot()
            return
        self._know_beneath()
        self._take(number)
        self.beneath.mark_worked(number - 1)
        self._leave(1)

    def _close_picot(self) -> None:
        """The chain before it is a picot, no space."""
        if self.out and self.out[-1].kind is Kind.SPACE:
            self.out.pop()
            self.spaces -= 1

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

    def _pass_to_last(self, number: int) -> None:
        """After work into spaces the stitches between are passed over up to the last."""
        if self.in_spaces and self.beneath.has_spaces():
            self._take(max(0, self.beneath.remaining() - number))
            self.in_spaces = False


def _works(item: Item) -> bool:
    """Whether stitches are made, slip stitches along the chain among them."""
    along = isinstance(item, Slip) and isinstance(item.place, FromHook | Each)
    return along or isinstance(item, Work | Run | Repeat | RepeatToEnd)
