"""What sentences between rows may say."""

from dataclasses import dataclass

from grading.core.audit.tokens import Number


@dataclass(frozen=True)
class Straight:
    """Rows that change no count; `total` when the number counts from the beginning of the piece."""

    rows: Number
    total: bool = False
    in_all: bool = False
    """Whether it is said so of these rows alone, which may be a part of the piece."""
    above: str | None = None
    """What a total is counted from: a "marker", "edge", "armhole" or "elsewhere"; None for the beginning."""
    over_all: bool = False
    """Whether a total is that of the rows over all stitches."""
    part: str | None = None
    """The part whose rows a total counts, as "shoulder", where it is named."""


@dataclass(frozen=True)
class RowOverAll:
    """The row that is begun is said to be so many of those over all stitches."""

    number: Number


@dataclass(frozen=True)
class RowsNow:
    """How many rows there are said to be."""

    rows: Number


@dataclass(frozen=True)
class Remain:
    """Stitches said to be there: the sum of `number` times each, after so many `rows` where that is said."""

    parts: tuple[tuple[Number, int], ...]
    rows: Number | None = None


@dataclass(frozen=True)
class LastCount:
    """Stitches that are left at the end of a piece and done with by other means than a row."""

    parts: tuple[Number, ...]


@dataclass(frozen=True)
class SameRows:
    """The piece goes on until it has as many rows as another section."""

    title: str


@dataclass(frozen=True)
class Marked:
    """A marker is set at an edge in this row."""


@dataclass(frozen=True)
class Joined:
    """Pieces are joined along these edges."""

    sides: bool
    shoulders: bool


@dataclass(frozen=True)
class SideUp:
    """The work is turned on its side: its row ends are beneath."""


@dataclass(frozen=True)
class Pieces:
    """In how many places the shaping before is worked at once."""

    number: Number
    of_a_part: bool = False
    """Whether there may be other stitches beside these places."""


@dataclass(frozen=True)
class Meanwhile:
    """The shaping that follows is worked on rows that are counted already."""


@dataclass(frozen=True)
class Half:
    """Only half of the stitches are worked on from here; `other` is the half that was left.

    `first` is how many are worked on, where that is said.
    """

    other: bool = False
    first: Number | None = None


@dataclass(frozen=True)
class AsRows:
    """Rows of another section worked on these stitches: from `first` to `to`, or its first `rows`."""

    title: str
    first: Number | None = None
    to: Number | None = None
    rows: Number | None = None


@dataclass(frozen=True)
class AsSection:
    """Work as another section: whole, to its armhole, `before_end` rows short of its end, or for `rows`."""

    title: str
    before_end: Number | None = None
    above_marker: Number | None = None
    to_armhole: bool = False
    rows: tuple[Number, ...] = ()


@dataclass(frozen=True)
class Begin:
    """Stitches put back on the needle, with which the account begins."""

    number: Number


@dataclass(frozen=True)
class Note:
    """Words that no count depends on."""


Statement = (
    Straight
    | RowOverAll
    | RowsNow
    | Remain
    | LastCount
    | SameRows
    | Marked
    | Joined
    | SideUp
    | AsSection
    | AsRows
    | Pieces
    | Meanwhile
    | Half
    | Begin
    | Note
)
