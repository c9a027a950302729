"""What kind of thing an item of a row is, as far as working it depends on it."""

from collections.abc import Callable

from grading.core.audit.tokens import Number
from grading.core.audit.tree import (
    CastOn,
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
    Row,
    Run,
    Same,
    Skip,
    Slip,
    Turn,
    TurningChain,
    Work,
)


def chain_counts(chain: Chain, spaces_count: bool, number_of: Callable[[Number], int]) -> int:
    """How many stitches a chain between stitches is."""
    if chain.counts is not None:
        return number_of(chain.counts)
    return int(spaces_count)


def first_place(item: Item) -> object:
    """What the first stitch of an item is worked into."""
    if isinstance(item, Work | Skip | Slip):
        return item.place
    if isinstance(item, Repeat | RepeatToEnd) and item.items:
        return first_place(item.items[0])
    return Next()


def only_spaces(items: tuple[Item, ...]) -> bool:
    """Whether all that is worked goes into chain spaces, so that the stitches between are passed over."""
    works = [item for item in items if not isinstance(item, Idle | Chain)]
    return any(isinstance(item, Work | Repeat) for item in works) and all(map(_is_in_spaces, works))


def _is_in_spaces(item: Item) -> bool:
    """Whether an item works into chain spaces, or passes over some."""
    if isinstance(item, Repeat):
        return only_spaces(item.items)
    if isinstance(item, Work) and isinstance(item.place, Each):
        return item.place.kind is Kind.SPACE
    return isinstance(item, Work | Slip | Skip) and (
        moves_to_space(item.place) or isinstance(item.place, Same)
    )


def moves_to_space(place: object) -> bool:
    """A slip stitch into a chain space at the head of a round brings the hook there."""
    return isinstance(place, Next) and place.kind is Kind.SPACE


def works_from_hook(items: tuple[Item, ...]) -> bool:
    """Whether work begins in a chain: counted from the hook, or in each of its chains."""
    places = [first_place(item) for item in items]
    return any(
        isinstance(place, FromHook) or (isinstance(place, Each) and place.kind is Kind.CHAIN)
        for place in places
    )


def works_back_along(items: tuple[Item, ...]) -> bool:
    """Whether the first work goes back along the chain that was just made, counted from the hook."""
    works = [item for item in items if not isinstance(item, Idle | Turn)]
    return bool(works) and isinstance(first_place(works[0]), FromHook)


def works_each(items: tuple[Item, ...]) -> bool:
    """Whether the first work goes over all that is there: in each stitch, or repeated to the end."""
    works = [item for item in items if not isinstance(item, Idle | Turn)]
    if not works:
        return False
    return isinstance(works[0], RepeatToEnd) or isinstance(first_place(works[0]), Each)


def works_each_stitch(items: tuple[Item, ...]) -> bool:
    """Whether something is worked in each stitch, not in each chain."""
    places = [first_place(item) for item in items]
    return any(isinstance(place, Each) and place.kind is Kind.STITCH for place in places)


def is_turning_chain_work(after: tuple[Item, ...]) -> bool:
    """Whether the next thing is worked into the turning chain, which is the last stitch beneath."""
    following = next((item for item in after if not isinstance(item, Idle)), None)
    return isinstance(following, Work) and isinstance(following.place, TurningChain)


def is_counted(item: Item | None) -> bool:
    """Whether an item is a number of stitches, and not all to the end."""
    return isinstance(item, Run) or (isinstance(item, Work) and isinstance(item.place, Next))


def may_be_one_group(items: tuple[Item, ...]) -> bool:
    """`2 dc, ch 1, 2 dc` with no place and nothing skipped."""
    chains = any(isinstance(item, Chain) and item.counts is None for item in items)
    return chains and all(
        isinstance(item, Chain | Idle) or (isinstance(item, Run) and item.stitch.takes == 1) for item in items
    )


def begins_edge(row: Row) -> bool:
    """Whether a row is picked up along another edge, so that rows are counted from it.

    Stitches picked up beside live ones, as at an underarm, belong to the row that they are in.
    """
    works = [item for item in row.items if not isinstance(item, Idle | Turn | Slip | Chain)]
    if not works or not isinstance(works[0], PickUp):
        return False
    is_first = row.numbers is not None and row.numbers[0] == 1
    return is_first or (row.numbers is None and all(isinstance(item, PickUp) for item in works))


def begins_piece(row: Row) -> bool:
    """Whether a row may be the first of a piece: cast on, chained, or named the first."""
    works = [item for item in row.items if not isinstance(item, Idle | Turn)]
    is_first = row.numbers is not None and row.numbers[0] == 1
    return is_first or (bool(works) and isinstance(works[0], CastOn | Chain))


def ends_piece(row: Row, leaves: int) -> bool:
    """Whether a row leaves no stitch: a bound-off edge is not counted with the rows (common practice).

    One that has a number of its own is counted, as its number says.
    """
    return leaves == 0 and row.numbers is None and bool(row.items)


def has_marker(items: tuple[Item, ...]) -> bool:
    """Whether something is worked to a marker."""
    return any(
        isinstance(item, Work) and isinstance(item.place, Each) and item.place.marker for item in items
    )
