"""The account of one section in one size: what is known after each sentence of it."""

import re
from collections.abc import Mapping
from copy import copy
from dataclasses import dataclass
from typing import Any, Self

from grading.core.audit.cells import Beneath, Cell
from grading.core.audit.colours import Colours
from grading.core.audit.courses import Planned, planned_curves, planned_shapings
from grading.core.audit.facing import Facing
from grading.core.audit.own_stitches import OwnStitch, own_stitches
from grading.core.audit.row_fabrics import RowFabrics, Stretch, add_rows, all_in, length_of
from grading.core.audit.row_states import Worked
from grading.core.audit.rows import Account, Audited
from grading.core.audit.sentences import COUNTED_KINDS, Sentence
from grading.core.audit.short_rows import ShortRows
from grading.core.audit.statement_kinds import Straight
from grading.core.audit.tokens import Number
from grading.core.audit.tree import Row, Said
from grading.core.instructions.facts import Facts
from grading.core.instructions.references import Reference
from grading.core.pattern.pattern import PatternFile, PickUpEntry


class Ledger:
    """What the accounts of one pattern share: its numbers, and what was finished before."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.pattern: PatternFile = facts.pattern
        self.options = {option.name: option.choices for option in self.pattern.options}
        self.finished: dict[tuple[str, int], tuple[SizeState, ...]] = {}
        self.last: dict[int, SizeState] = {}
        self.begun: list[tuple[dict[tuple[str, int], tuple[SizeState, ...]], dict[int, SizeState]]] = []
        """The accounts finished before each section."""
        self.worked: dict[int, dict[Any, tuple[Row, Worked, tuple[Cell, ...]]]] = {}
        """By size: rows worked before."""
        self.chain_notes: dict[int, tuple[int, bool]] = {}
        """What was said, for all that follows, of the chains that rows begin with."""
        self.noted: list[dict[int, tuple[int, bool]]] = []
        """What of it was said before each section."""
        self.fabrics = RowFabrics(facts.pattern)
        self.own_stitches = own_stitches(facts.pattern.special_stitches)
        self._plans: dict[str, tuple[Planned | None, ...]] = {}

    def over(self, text: str) -> OwnStitch | None:
        """The special stitch over whose rows a text is worked, as its words say."""
        return next((stitch for stitch in self.own_stitches if stitch.is_beneath(text)), None)

    def planned(self, reference: Reference, name: str) -> tuple[Planned | None, ...]:
        """What a shaping or a curve does in its rows, one plan per size."""
        key = f"{name} {reference.form}"
        if key not in self._plans:
            self._plans[key] = (
                planned_curves(self.facts, reference)
                if self.facts.kinds.get(name) == "curve"
                else planned_shapings(self.facts, name, mirrored=reference.form == "reversed")
            )
        return self._plans[key]


@dataclass(frozen=True)
class Frame:
    """Rows written one by one: those before them, those with them, and the stitches at their start."""

    begun: int
    rows: int
    stitches: int | None
    first: int | None = None
    """The number of the first of them."""


class SizeState:
    """What is known of one section in one size."""

    def __init__(self, audit: Ledger, size: int) -> None:
        self.audit = audit
        self.size = size
        self.craft = audit.pattern.craft
        kept = audit.worked.setdefault(size, {})
        spaces_count = any(stitch.spaces_count for stitch in audit.own_stitches)
        self.account = Account(
            self.craft,
            spaces_count,
            number_of=self.number_of,
            throughout=dict(audit.chain_notes),
            worked=kept,
        )
        self.colours = Colours(audit.facts, size)
        self.facing = Facing()
        self.row, self.in_round = "", False
        self.stretches: tuple[Stretch, ...] = ()
        """The rows worked so far, by their fabrics."""
        self.head: Row | None = None
        """The head of a row whose work has not been read yet."""
        self.counts: list[tuple[int, int | None]] = []
        self.is_elsewhere = False  # the work went on at stitches whose count is not said
        self.waiting: int | None = None
        self.meanwhile = False
        self.following: Sentence | None = None
        self.shaped_next: str | None = None
        """The shaping that is printed after the sentence, with nothing but its head between."""
        self.ended = False
        self.before: SizeState | None = None
        self.rows_at_half: int | None = None
        self.begun, self.begun_on = 0, self.stitches()
        self.marked: int | None = None
        self.edged: int | None = None
        self.armholed: int | None = None
        """The rows before stitches were first cast off for the armholes."""
        self.over_all: int | None = None
        """The rows before the first that goes over all stitches, where the words say which one that is."""
        self.choices: Mapping[str, str] = {}
        """The choices of options with which the section is worked so far."""
        self.shoulder: int | None = None
        """The stitches of each shoulder, where the words say so."""
        self.at = ("", 0)
        """The title of the section, and the step that is worked, from 1."""
        self.lost_at: tuple[str, int] | None = None
        """The step whose words can't be read, and on which the count depends from there."""
        self.change: int | None = None
        """How many stitches the row that was described last changes."""
        self.described: list[int] = []
        """How many stitches the rows change that are described, until a shaping works them."""
        self.preceding = ""
        """The sentence that was worked before, where it ends with a colon."""
        self.told_rows: Straight | None = None
        """How many rows the words say that the plan printed next has."""
        self.frame: Frame | None = None
        """The rows that are led to and written one by one."""
        self.apart = 0  # rows that are part of the length, and worked before the first that is counted
        self.is_split = False  # stitches wait elsewhere, at the other side of those that are worked on
        self.edges: list[tuple[str, str]] = []
        """The curves worked, each with the end of the rows where it stands."""
        self.picked: list[PickUpEntry] = []
        """The pick-ups that the sentences so far have named."""
        self.short_rows: ShortRows | None = None
        """Where the needle is in a run of short rows."""
        self.broke_off = False  # the run before has ended with turns that no row of it has passed
        self.tells_short_rows, self.tells_rounds = False, False  # whether the words have spoken of them
        self.together = False
        self.is_joint = False  # the sentence is worked in the rows of one before it
        self.planned: tuple[int, int | None, list[Planned]] | None = None

    def copy(self) -> Self:
        """The same account, to be gone on with by itself."""
        other = copy(self)
        other.account, other.colours, other.counts = self.account.copy(), copy(self.colours), [*self.counts]
        other.facing, other.edges = copy(self.facing), [*self.edges]
        other.picked, other.described = [*self.picked], [*self.described]
        if self.planned is not None:
            row, stitches, plans = self.planned
            other.planned = row, stitches, [*plans]
        return other

    @property
    def rows_worked(self) -> int | None:
        """Rows worked so far; None when a line that can't be read may have had any number."""
        return self.account.rows_done

    @rows_worked.setter
    def rows_worked(self, rows: int | None) -> None:
        self.account.rows_done = rows

    def number_of(self, name: str) -> int | None:
        """The whole number that a reference prints in this size; `name+1` is a sum, `name/2` a half."""
        match = re.fullmatch(r"([a-z][a-z0-9_]*)([+-]\d+|/2)?", name)
        if match is None or self.audit.facts.units_of.get(match.group(1)) not in COUNTED_KINDS:
            return None
        number = self.audit.facts.row(match.group(1))[self.size]
        more = match.group(2) or "+0"
        if number is not None and more == "/2":
            number, more = number / 2, "+0"
        return None if number is None or number != int(number) else int(number) + int(more)

    def printed_number(self, words: str) -> int | None:
        """The whole number that a figure, or a reference in braces, prints in this size."""
        name = words.strip("{} ").replace(" ", "")
        return int(name) if name.isdecimal() else self.number_of(name)

    @property
    def works_rounds(self) -> bool:
        """Whether the words so far tell that the stitches are joined in the round."""
        goes_on = self.before is not None and not self.before.ended
        return (
            self.in_round or self.tells_rounds or bool(goes_on and self.before and self.before.works_rounds)
        )

    def add_rows(self, fabric: str | None, *, in_all: bool = False) -> None:
        """Note the fabric of the rows that are new; `in_all` where all of the piece are said to be of it."""
        self.stretches = add_rows(self.stretches, self.rows_worked, fabric)
        if in_all and fabric is not None:
            self.stretches = all_in(self.stretches, fabric)

    def length(self) -> float | None:
        """How long the rows so far are in mm, with those that were worked apart before them."""
        return length_of(self.stretches, self.audit.pattern, self.apart) if self.rows_worked else None

    def resolve(self, number: Number) -> int | None:
        """A number as it is in this size."""
        return number if isinstance(number, int) else self.number_of(number)

    def stitches(self) -> int | None:
        """The stitches there are now."""
        return self.account.beneath.total()

    @property
    def counted(self) -> bool:
        """Whether any line of this section has had a count."""
        return any(stitches is not None for _, stitches in self.counts)

    def go_on_from_before(self, beneath: Beneath | None = None) -> bool:
        """A section that begins with no count of its own goes on with the one before, unless that ended."""
        beneath = beneath or self.account.beneath
        known = beneath.total() is not None
        if (
            self.counted
            or beneath.lost
            or self.is_elsewhere
            or known
            or self.before is None
            or self.before.ended
            or not self.before.stitches()
        ):
            return False
        self.account.beneath = self.before.account.beneath.copy()
        self.account.rows |= self.before.account.rows
        return True

    def depends_on(self) -> tuple[str, int] | None:
        """The step that can't be read, where the count is not known because of it."""
        if self.stitches() is not None:
            return None
        goes_on = self.before is not None and not self.before.ended and not self.counted
        return self.lost_at or (self.before.lost_at if self.before is not None and goes_on else None)

    def section_named(self, title: str) -> "SizeState | None":
        """The section before this one whose title begins so."""
        for (name, size), ends in reversed(self.audit.finished.items()):
            if size == self.size and (name == title or name.startswith(f"{title} ")):
                return next((end for end in reversed(ends) if self.goes_with(end)), ends[-1])
        return None

    def goes_with(self, other: "SizeState") -> bool:
        """Whether one maker can work both: no option is chosen otherwise there."""
        return all(other.choices.get(name, choice) == choice for name, choice in self.choices.items())

    def said_number(self, said: Said | None) -> int | None:
        """The stitches that a closing count says in this size."""
        if said is None or len(said.stitches) == 0:
            return None
        numbers = [self.resolve(number) for number in said.stitches]
        return None if None in numbers else sum(number for number in numbers if number is not None)


def agrees(stitches: int) -> Audited:
    """So many stitches, as the words say."""
    return Audited(stitches, 0, stitches, 0, None, "agrees", "")


def disagrees(stitches: int | None, says: str) -> Audited:
    """What does not come out, and the stitches there are."""
    return Audited(None, None, stitches, None, None, "disagrees", says)


def unread(why: str) -> Audited:
    """Why a sentence can't be read."""
    return Audited(None, None, None, None, None, "unreadable", why)
