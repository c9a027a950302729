"""A pattern file as read: frozen, every number in mm, g, m of yarn or counts."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal

from grading.core.formula.literals import LENGTH_UNITS_MM
from grading.core.formula.rounding import Direction
from grading.core.pattern.size_groups import SizeGroup
from grading.core.pattern.wordings import NEWEST_WORDING, WIDE_WORDING

Entries = tuple[float | None, ...]
When = tuple[tuple[str, tuple[str, ...]], ...]
CountOrName = int | str
FindingWeight = Literal["stop", "warn"]


@dataclass(frozen=True)
class BodyEntry:
    """A body measurement: mm, one entry per size."""

    name: str
    label: str
    unit: str
    entries: Entries


@dataclass(frozen=True)
class Swatch:
    """A weighed piece of a fabric."""

    stitches: float
    rows: float
    weight_g: float
    is_computed: bool = False
    """Whether the weight follows from a swatch of another yarn, and nobody has weighed one."""


@dataclass(frozen=True)
class FabricEntry:
    """A fabric: gauge over `over_mm` after blocking, stitch multiple, tool, weighed swatch."""

    name: str
    label: str
    stitches: float
    rows: float
    over_mm: float
    multiple: int = 1
    plus: int = 0
    tool_mm: float | None = None
    swatch: Swatch | None = None

    @property
    def stitches_per_mm(self) -> float:
        """Stitches in one millimetre."""
        return self.stitches / self.over_mm

    @property
    def rows_per_mm(self) -> float:
        """Rows in one millimetre."""
        return self.rows / self.over_mm


@dataclass(frozen=True)
class Rounding:
    """How a value is rounded; with `fabric`, by that fabric's multiple and plus."""

    to: Direction
    multiple: float = 1.0
    plus: float = 0.0
    fabric: str | None = None


@dataclass(frozen=True)
class Measured:
    """How a finished measurement is taken; tolerance and ease in the value's own unit."""

    how: str
    tolerance: float
    around: bool
    compares_to: str | None = None
    ease: tuple[float, float] | None = None


@dataclass(frozen=True)
class Settled:
    """What was noticed and is right as it is: what ("" for a check), in which sizes, and why."""

    what: str
    sizes: tuple[str, ...]
    why: str


@dataclass(frozen=True)
class ValueEntry:
    """A named line of the sheet; exactly one of formula and entries (a list, or steps added up)."""

    name: str
    label: str
    kind: str
    formula: str | None = None
    entries: Entries | None = None
    source: Literal["formula", "list", "steps"] = "formula"
    rounding: Rounding | None = None
    measured: Measured | None = None
    may_shrink: bool = False
    may_jump: bool = False
    note: str | None = None
    settled: tuple[Settled, ...] = ()

    @cached_property
    def words(self) -> "ValueEntry":
        """The value without its numbers: all of it that words can hang on."""
        return replace(
            self, formula=None, entries=None, source="formula", rounding=None, note=None, settled=()
        )

    def is_settled(self, what: str, size: str) -> bool:
        """Return whether something that is noticed in a size was said to be right."""
        return any(one.what == what and size in one.sizes for one in self.settled)


@dataclass(frozen=True)
class CheckEntry:
    """A statement that must hold in every size."""

    name: str
    holds: str
    says: str
    weight: FindingWeight
    settled: tuple[Settled, ...] = ()

    def is_settled(self, size: str) -> bool:
        """Return whether it was said to be right that the check does not hold in a size; never of a stop."""
        return self.weight == "warn" and any(size in one.sizes for one in self.settled)


@dataclass(frozen=True)
class ShapingEntry:
    """From one stitch count to another over so many rows; counts or names of values."""

    name: str
    start: CountOrName
    end: CountOrName
    over: CountOrName
    each: CountOrName
    on_every: int = 1
    first: CountOrName | None = None
    plain_end: CountOrName = 0
    rounds: bool = False
    words: str | None = None


@dataclass(frozen=True)
class SpreadEntry:
    """Changes spread evenly in one row or round of `within` stitches, or of what else `of` names."""

    name: str
    change: CountOrName
    within: CountOrName
    of: str = ""
    each: int = 1


@dataclass(frozen=True)
class CurveEntry:
    """A curved or slanted edge: `width` stitches over `depth` steps of `every` rows."""

    name: str
    width: CountOrName
    depth: CountOrName
    shape: str
    every: int
    fabric: str | None = None


@dataclass(frozen=True)
class PickUpEntry:
    """Stitches picked up along an edge: `stitches` for every `per` of `count`."""

    name: str
    along: str
    count: CountOrName
    stitches: int
    per: int
    rounding: Rounding | None = None
    edge: str | None = None
    fabric: str | None = None


@dataclass(frozen=True)
class StripesEntry:
    """Colours and rows, repeated."""

    name: str
    sequence: tuple[tuple[str, int], ...]
    start: CountOrName = 0
    change: str = "row start"
    forward_share: float = 0.5


@dataclass(frozen=True)
class OptionEntry:
    """Something the maker may choose."""

    name: str
    label: str
    choices: tuple[str, ...]
    default: str


@dataclass(frozen=True)
class YarnEntry:
    """A yarn role: metres in 100 g, grams in a ball, the published number of its weight."""

    colour: str
    label: str
    length_per_100g_m: float | None = None
    put_up_g: float | None = None
    shade: str | None = None
    yarn_weight: int | None = None


@dataclass(frozen=True)
class YarnByChoice:
    """What a part is worked in under one choice of an option: a colour or stripes of its own."""

    option: str
    choice: str
    colour: str | None = None
    stripes: str | None = None


@dataclass(frozen=True)
class YarnSectionEntry:
    """A part of the garment whose yarn is counted; `worked` and `extra` are formulas.

    Of `by_choice` the first that is chosen holds, in place of the part's own colour or stripes.
    """

    name: str
    fabric: str
    worked: str
    colour: str | None = None
    stripes: str | None = None
    rows: CountOrName | None = None
    when: When = ()
    extra: str | None = None
    by_choice: tuple[YarnByChoice, ...] = ()

    def ways(self, choices: Mapping[str, tuple[str, ...]]) -> list["YarnSectionEntry"]:
        """Return the part as one part for each way it is coloured, of which no two are ever made at once.

        Args:
            choices: The choices of each option that the pattern has.
        """
        if not self.by_choice:
            return [self]
        when = dict(self.when)
        found = []
        for one in self.by_choice:
            left = when.get(one.option, choices.get(one.option, ()))
            if one.choice in left:
                found.append(self._worked_in(one, {**when, one.option: (one.choice,)}))
            when[one.option] = tuple(choice for choice in left if choice != one.choice)
            if not when[one.option]:
                return found
        return [replace(self, when=tuple(when.items()), by_choice=()), *found]

    def _worked_in(self, chosen: YarnByChoice, when: Mapping[str, tuple[str, ...]]) -> "YarnSectionEntry":
        """Return the part in the colour or stripes of a choice."""
        whens = tuple(when.items())
        return replace(self, colour=chosen.colour, stripes=chosen.stripes, when=whens, by_choice=())


@dataclass(frozen=True)
class PieceDimension:
    """A dimension line of a piece, from one corner to another."""

    value: str
    start: int
    end: int


@dataclass(frozen=True)
class PieceCurve:
    """An edge of a piece that is a curve, from corner to corner; 0 to 0 where none are named."""

    curve: str | None
    start: int
    end: int


@dataclass(frozen=True)
class PieceSide:
    """A side of a piece that is joined to something: along the outline from one corner to another."""

    name: str
    start: int
    end: int


@dataclass(frozen=True)
class PieceEntry:
    """A piece to scale: corners as pairs of length formulas; `direction` says where its rows lie, if told."""

    name: str
    label: str
    outline: tuple[tuple[str, str], ...]
    when: When = ()
    curves: tuple[PieceCurve, ...] = ()
    dimensions: tuple[PieceDimension, ...] = ()
    direction: str | None = None
    sides: tuple[PieceSide, ...] = ()


@dataclass(frozen=True)
class JoinEdge:
    """One edge of a join: a side as "piece.side", a pick-up, a length, or stitches of a fabric."""

    edge: str
    times: int = 1
    fabric: str | None = None


@dataclass(frozen=True)
class JoinEntry:
    """Edges that are sewn, picked up or set in together: what is joined, and what it is joined to.

    `tolerance` is a share of the length, `ease` how much longer the first edges are wanted, in mm.
    """

    name: str
    label: str
    edges: tuple[JoinEdge, ...]
    onto: tuple[JoinEdge, ...]
    tolerance: float
    ease: tuple[float, float] = (0.0, 0.0)
    when: When = ()


@dataclass(frozen=True)
class NotionEntry:
    """Something else that is needed."""

    label: str
    count: CountOrName
    size: str | None = None
    when: When = ()


@dataclass(frozen=True)
class StitchPatternEntry:
    """A stitch pattern over a multiple of stitches plus some: rows in words, or a grid of colours.

    `over` names the lines whose stitches are worked in it; `left_over` says what becomes of those beyond.
    """

    name: str
    label: str
    multiple: int
    plus: int = 0
    rows: tuple[str, ...] = ()
    grid: tuple[str, ...] = ()
    craft: str | None = None
    rounds: bool = False
    first_side: str = "RS"
    stitch: str | None = None
    over: tuple[str, ...] = ()
    left_over: str | None = None
    introduction: str | None = None


@dataclass(frozen=True)
class SpecialStitchEntry:
    """A stitch that its name alone tells nobody how to work; `shown` are rows for its chart, if any."""

    name: str
    label: str
    short: str
    method: str
    shown: StitchPatternEntry | None = None

    def meaning(self, wording: int) -> str:
        """Its name as it stands among abbreviations: in small letters, but for a letter as in “V stitch”."""
        is_letter = wording > WIDE_WORDING and self.label[1:2] in (" ", "-") and self.label[0] not in "AI"
        kept = is_letter or self.label[1:2].isupper()
        return self.label if kept else self.label[:1].lower() + self.label[1:]


@dataclass(frozen=True)
class SectionEntry:
    """A section of the written instructions."""

    title: str
    steps: tuple[str, ...]
    when: When = ()


@dataclass(frozen=True)
class PatternFile:
    """A whole pattern file; `typed` is the file as given, for export without loss.

    `wording` is no part of the file: a frozen pattern is printed in the words of its time.
    """

    title: str
    craft: str
    home_units: str
    home_terms: str
    sizes: tuple[str, ...]
    size_groups: tuple[SizeGroup, ...] = ()
    summary: str | None = None
    skill: str | None = None
    construction: str | None = None
    wearer: str | None = None
    hazards: tuple[str, ...] = ()
    notions: tuple[NotionEntry, ...] = ()
    abbreviations: tuple[tuple[str, str], ...] = ()
    body: tuple[BodyEntry, ...] = ()
    fabrics: tuple[FabricEntry, ...] = ()
    values: tuple[ValueEntry, ...] = ()
    checks: tuple[CheckEntry, ...] = ()
    shapings: tuple[ShapingEntry, ...] = ()
    spreads: tuple[SpreadEntry, ...] = ()
    curves: tuple[CurveEntry, ...] = ()
    pick_ups: tuple[PickUpEntry, ...] = ()
    stripes: tuple[StripesEntry, ...] = ()
    options: tuple[OptionEntry, ...] = ()
    yarns: tuple[YarnEntry, ...] = ()
    yarn_allowance: float = 0.0
    yarn_sections: tuple[YarnSectionEntry, ...] = ()
    pieces: tuple[PieceEntry, ...] = ()
    joins: tuple[JoinEntry, ...] = ()
    stitch_patterns: tuple[StitchPatternEntry, ...] = ()
    special_stitches: tuple[SpecialStitchEntry, ...] = ()
    sections: tuple[SectionEntry, ...] = ()
    wording: int = NEWEST_WORDING
    typed: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)
    memo: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    def own_shorts(self) -> dict[str, str]:
        """Return the author's abbreviations and what they mean, those of special stitches among them."""
        special = {one.short: one.meaning(self.wording) for one in self.special_stitches}
        return {**dict(self.abbreviations), **special}

    def option_choices(self) -> dict[str, tuple[str, ...]]:
        """Return the choices of each option, in file order."""
        return {option.name: option.choices for option in self.options}


OVER_MM = {"10 cm": 100.0, "4 in": 4 * LENGTH_UNITS_MM["in"]}


def differ(old: object, new: object) -> bool:
    """Return whether two entries are not the same; an entry taken over as it is needs no comparison."""
    return old is not new and old != new
