"""The far side of a starting chain: how many loops it has for a row that is worked along it.

Worked around its end in one row, the chain at the end belongs to the group that turns the corner there, such
as 3 sc in the last ch, and the far side has one less (common practice). Where the end has one stitch alone,
some work it again and some don't: then the numbers that follow must tell.
"""

from grading.core.audit.cells import Beneath, Cell
from grading.core.audit.item_kinds import is_counted
from grading.core.audit.row_states import UnreadError
from grading.core.audit.tree import Idle, Item, Kind, Next, Repeat, Run, Same, Turn, Work

NO_CHAIN = "how many chains lie on the other side is not known here"
ONCE_OR_TWICE = "it is not said whether the chain at the end is worked again on the other side"


def along_chain(beneath: Beneath) -> int:
    """How many chains have a stitch on the near side; not known where the row began on none of them."""
    total = beneath.total()
    if total is None or not beneath.started:
        raise UnreadError(NO_CHAIN)
    return total - beneath.started


def far_side(chains: int) -> Beneath:
    """So many loops of chains, from the last one worked back."""
    return Beneath((Cell(Kind.CHAIN, max(0, chains), True),))


def turns_in_a_group(before: tuple[Item, ...]) -> bool:
    """Whether the last thing that was worked is several stitches in one place."""
    last = next((item for item in reversed(before) if not isinstance(item, Idle | Turn)), None)
    if isinstance(last, Repeat):
        return turns_in_a_group(last.items)
    if isinstance(last, Work):
        made = last.what
        is_more = isinstance(made, tuple) or made.leaves > made.takes or last.times != 1
        return isinstance(last.place, Same) or (isinstance(last.place, Next) and is_more)
    return isinstance(last, Run) and last.stitch.leaves > last.stitch.takes


def works_by_number(after: tuple[Item, ...]) -> bool:
    """Whether all that follows says how many places it takes."""
    working = [item for item in after if not isinstance(item, Idle | Turn)]
    return bool(working) and all(is_counted(item) for item in working)
