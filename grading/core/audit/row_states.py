"""The state of a row while it is worked, and what working it comes to."""

from collections.abc import Callable, Mapping
from copy import copy
from dataclasses import dataclass, field
from typing import Self

from grading.core.audit.cells import Beneath, Cell
from grading.core.audit.tokens import Number
from grading.core.audit.tree import (
    Kind,
    Row,
)

UNKNOWN_BENEATH = "it is not known how many stitches are beneath"
UNKNOWN_SPACES = "it is not known how many chain spaces are beneath"
UNKNOWN_HERE = "how many stitches there are is not known here"
DEPENDING = frozenset({UNKNOWN_BENEATH, UNKNOWN_SPACES, UNKNOWN_HERE})
"""Why words that can be read have no count: it depends on what stands before."""


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


class RowState:
    """The state of a row while it is worked."""

    def __init__(self, row: Row, beneath: Beneath, setting: Setting) -> None:
        self.row = row
        self.setting = setting
        self.beneath = beneath.copy()
        self.starts = beneath.total() is None and not beneath.lost
        self.spaces_count = setting.spaces_count if row.spaces_count is None else row.spaces_count
        self.out: list[Cell] = []
        self.taken = self.unworked = self.spaces = 0
        self.added = 0  # chains made at the start of the row, to be worked back along
        self.worked = self.slipped = self.on_first = self.floats = self.in_spaces = self.in_space = (
            self.ring
        ) = False
        self.even = self.rounds = self.ring_chains = 0
        self.place = 0  # of the item that is worked, in the row
        self.near = 0  # places of the near side of a starting chain, once the far side is worked

    def number(self, number: Number) -> int:
        """The number as it is in this size."""
        if isinstance(number, int):
            return number
        found = self.setting.number_of(number)
        if found is None:
            raise UnreadError(f"{number} has no whole number here")
        return found

    def _take(self, number: int) -> None:
        self.taken += self.beneath.take(number)

    def _leave(self, number: int, kind: Kind = Kind.STITCH, *, counted: bool = True) -> None:
        if number:
            self.out.append(Cell(kind, number, counted))

    def _know_beneath(self) -> int:
        if self.beneath.total() is None:
            raise UnreadError(UNKNOWN_BENEATH)
        return self.beneath.remaining()

    def _save(self) -> Self:
        kept = copy(self)
        kept.beneath, kept.out = self.beneath.copy(), list(self.out)
        return kept

    def _restore(self, kept: Self) -> None:
        self.__dict__.update(kept.__dict__)
