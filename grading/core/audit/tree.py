"""What a row says is done, as a tree; a count is a number or the name of a value that a reference prints."""

from dataclasses import dataclass, field
from enum import StrEnum

from grading.core.audit.stitches import Stitch
from grading.core.audit.tokens import Number


class Kind(StrEnum):
    """What a row is worked into."""

    STITCH = "st"
    SPACE = "ch_sp"
    ROW_END = "row_end"
    CHAIN = "chain"
    RING = "ring_chain"


@dataclass(frozen=True)
class Next:
    """The next `number` places; `first` tells that the text speaks of the first one."""

    number: Number = 1
    kind: Kind = Kind.STITCH
    first: bool = False
    last: bool = False


@dataclass(frozen=True)
class Each:
    """All places to the end, or until `keep` are left, or until `keep` before a marker."""

    keep: Number = 0
    kind: Kind = Kind.STITCH
    marker: bool = False
    to_turning_chain: bool = False
    left: bool = False
    """Whether the words speak of those that are left."""


@dataclass(frozen=True)
class Nth:
    """The place that is `number`th in the row, whatever is worked before it."""

    number: int


@dataclass(frozen=True)
class EveryNth:
    """One place of every `number`, to the end."""

    number: int
    kind: Kind = Kind.STITCH


@dataclass(frozen=True)
class It:
    """What was spoken of last: a ring, or the one place that was left."""


@dataclass(frozen=True)
class Same:
    """The place that was worked into before."""


@dataclass(frozen=True)
class TurningChain:
    """The top of the turning chain of the row beneath, which is its last stitch."""


@dataclass(frozen=True)
class Ring:
    """A ring, which takes any number."""


@dataclass(frozen=True)
class FromHook:
    """The chain that is `number`th from the hook; `counts` tells whether the ones before it are a stitch."""

    number: Number
    counts: bool | None = None


Place = Next | Each | Same | TurningChain | Ring | FromHook | Nth | EveryNth | It


@dataclass(frozen=True)
class ForRows:
    """So many rows are worked; `total` when the piece then has so many."""

    rows: Number
    total: bool = False


@dataclass(frozen=True)
class Work:
    """`times` of a stitch or of a group into each of the places, in one row or in several alike."""

    what: "Stitch | tuple[Item, ...]"
    place: Place
    times: Number = 1
    rows: ForRows | None = None


@dataclass(frozen=True)
class Run:
    """A stitch worked `times` one after another over what comes next."""

    stitch: Stitch
    times: Number = 1


@dataclass(frozen=True)
class Both:
    """Each place to the end, by its kind: `sc in each dc and 2 sc in each ch-sp`."""

    stitches: Work
    spaces: Work


@dataclass(frozen=True)
class Skip:
    """Places passed over."""

    place: Place


@dataclass(frozen=True)
class Chain:
    """Chains; `counts` is how many stitches they are said to be, None when nothing is said.

    `space` tells that a space is said to be left beside it, `on_slip` that it stands on the last slip stitch.
    """

    number: Number
    counts: Number | None = None
    space: bool = False
    on_slip: bool = False
    throughout: bool = False


@dataclass(frozen=True)
class Slip:
    """Slip stitches over places: they move the hook, or are the stitches of a row of them."""

    place: Place


@dataclass(frozen=True)
class BindOff:
    """Stitches bound off, None for all; `first_is_worked` where the text says whose the next stitch is."""

    number: Number | None
    first_is_worked: bool = False


@dataclass(frozen=True)
class CastOn:
    """New stitches."""

    number: Number


@dataclass(frozen=True)
class Hold:
    """Stitches put on a holder in mid-row; None for those that remain."""

    number: Number | None


@dataclass(frozen=True)
class Leave:
    """Stitches left unworked at the end; None for all that remain."""

    number: Number | None


@dataclass(frozen=True)
class Repeat:
    """Items worked `times` in all."""

    items: "tuple[Item, ...]"
    times: Number = 1
    more: bool = False


@dataclass(frozen=True)
class IfLeft:
    """What is worked into the last stitch, where one is left."""

    items: tuple["Item", ...]


@dataclass(frozen=True)
class RepeatToEnd:
    """Items repeated to the end, or until `keep` are left, over which `ending` is worked.

    Where `instead`, the ending takes the place of the last repeat, before those that are kept.
    """

    items: "tuple[Item, ...]"
    keep: Number = 0
    ending: "tuple[Item, ...]" = ()
    marker: bool = False
    instead: bool = False


@dataclass(frozen=True)
class Evenly:
    """`change` stitches more (or fewer) in this row; `every` where the words say in every row."""

    change: Number
    sign: int
    every: bool = False


@dataclass(frozen=True)
class PickUp:
    """`take` stitches picked up for every `per` places of an edge, or `take` in all when `per` is None."""

    take: Number
    per: Number | None = None


@dataclass(frozen=True)
class Opposite:
    """From here on the other side of the starting chain is worked."""


@dataclass(frozen=True)
class Turn:
    """The work is turned."""


@dataclass(frozen=True)
class Ending:
    """What follows is the end of the row, for which room is left."""


@dataclass(frozen=True)
class Idle:
    """Words that no count depends on; `ring` where they close a chain to a ring."""

    ring: bool = False


@dataclass(frozen=True)
class Unread:
    """Words that can't be read, with their place and why."""

    start: int
    end: int
    why: str


Item = (
    Work | Run | Both | Skip | Chain | Slip | BindOff | CastOn | Hold | Leave | Repeat | RepeatToEnd | IfLeft
    | Evenly | PickUp | Opposite | Turn | ForRows | Ending | Idle | Unread
)  # fmt: skip


@dataclass(frozen=True)
class EndShaping:
    """Stitches changed at one or both ends over `rows` rows, or until `until` remain."""

    change: Number
    sign: int
    ends: int
    rows: tuple[Number, ...] = ()
    until: Number | None = None
    bound_off: bool = False
    one_by_one: bool = False
    """Whether the rows follow one another, so that it is known how many are worked."""


@dataclass(frozen=True)
class Again:
    """Rows worked again: by number, or the last `last` of them; `times` in all, or until `until` are left."""

    first: Number | None = None
    to: Number | None = None
    last: Number | None = None
    times: Number | None = None
    until: Number | None = None
    until_rows: Number | None = None
    here: bool = False


@dataclass(frozen=True)
class Said:
    """A closing count: stitches, spaces, or a change; None for what it doesn't say."""

    stitches: tuple[Number, ...] = ()
    spaces: tuple[Number, ...] = ()
    change: Number | None = None
    sign: int = 1
    spaces_count: bool | None = None


@dataclass(frozen=True)
class Row:
    """One written row: its numbers, what is done, and what it says it leaves."""

    numbers: tuple[int, int] | None
    items: tuple[Item, ...] = ()
    shapings: tuple[EndShaping, ...] = ()
    again: Again | None = None
    said: Said | None = None
    repeats: Number = 1
    spaces_count: bool | None = None
    in_round: bool = False
    uncounted: bool = False
    """Whether the head says that this row is not counted with the others."""
    unread: tuple[Unread, ...] = field(default=())
