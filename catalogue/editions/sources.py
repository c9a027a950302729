"""What an edition is made from: a frozen record, its pattern with numbers, and the edition asked for."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import cast

from catalogue.drawings.schematics import TYPE_MM
from catalogue.drawings.stripe_bars import TYPE_MM as STRIPE_TYPE_MM
from catalogue.editions.chosen import Chosen, in_own_shades, narrowed, read_options
from catalogue.versions.records import Record
from grading.core.grade.grade import Graded
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.spelling import spelled
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import PrintForm, Terms, Units
from grading.core.printing.size_rows import (
    MOST_ACROSS,
    MOST_ACROSS_LARGE,
    MOST_ACROSS_LARGE_WIDE,
    MOST_DOWN,
    MOST_DOWN_LARGE,
    PageRow,
    PageTable,
    sizes_across,
    split_rows,
)

TYPE_MM_LARGE = 5.4
STRIPE_TYPE_MM_LARGE = 4.6


@dataclass(frozen=True)
class Source:
    """What everything is read from: the record, its pattern with numbers, and the edition asked for."""

    record: Record
    facts: Facts
    edition: PrintForm
    graded: Graded
    across: int = MOST_ACROSS
    type_mm: float = TYPE_MM
    stripe_type_mm: float = STRIPE_TYPE_MM
    down: int = MOST_DOWN

    @property
    def sizes(self) -> tuple[str, ...]:
        """Labels of the sizes that are printed."""
        return self.facts.pattern.sizes if self.edition.only is None else self.edition.only

    @property
    def is_large(self) -> bool:
        """Whether it is in large print."""
        return self.type_mm > TYPE_MM

    @property
    def is_for_one(self) -> bool:
        """Whether it is the edition of one maker: one size, all that they work on before them."""
        return self.edition.sizes is not None and self.facts.pattern.wording > FIRST_WORDING

    @property
    def has_one_size(self) -> bool:
        """Whether the edition of all sizes has one alone: nobody chooses, and no list has two numbers."""
        is_new = self.facts.pattern.wording > WIDE_WORDING
        return is_new and self.edition.sizes is None and len(self.sizes) == 1

    @property
    def kept(self) -> list[int]:
        """Their places in the pattern."""
        return [self.facts.pattern.sizes.index(size) for size in self.sizes]

    @property
    def groups(self) -> list[tuple[str, "Source"]]:
        """What each group of sizes is called, and the same for it alone; none where all stand in one list."""
        if self.edition.only is not None:
            return []
        return [
            (one.label, replace(self, edition=replace(self.edition, group=one.sizes)))
            for one in self.facts.pattern.size_groups
        ]


def group_sizes(pattern: PatternFile, label: str | None) -> tuple[str, ...]:
    """The sizes of a group by its name; none for no group."""
    return next((one.sizes for one in pattern.size_groups if one.label == label), ())


def source_of(record: Record, graded: Graded, choices: dict[str, str]) -> Source:
    """Read a record for one edition."""
    chosen = read_options(graded.pattern.options, choices.get("options", "")) or ()
    record = in_own_shades(record, graded.pattern, choices.get("shades", ""))
    edition = PrintForm(
        units=cast("Units", choices["units"]),
        terms=cast("Terms", choices["terms"]),
        sizes=None if choices["sizes"] == "all" else choices["sizes"],
        hand="left" if choices["hand"] == "left" else "right",
        chosen=chosen,
        helps=choices.get("helps") != "without",
        group=group_sizes(graded.pattern, choices.get("group")),
    )
    facts = _facts(graded, edition)
    if choices["print"] == "large":
        is_wide = facts.pattern.wording <= WIDE_WORDING
        most = MOST_ACROSS_LARGE_WIDE if is_wide else MOST_ACROSS_LARGE
        across = sizes_across(facts.pattern.sizes, most)
        return Source(
            record, facts, edition, graded, across, TYPE_MM_LARGE, STRIPE_TYPE_MM_LARGE, MOST_DOWN_LARGE
        )
    return Source(record, facts, edition, graded, sizes_across(facts.pattern.sizes, MOST_ACROSS))


def with_choices(source: Source, chosen: Chosen) -> Source:
    """The same edition with other choices of the options."""
    edition = replace(source.edition, chosen=chosen)
    return replace(source, edition=edition, facts=_facts(source.graded, edition))


def _facts(graded: Graded, edition: PrintForm) -> Facts:
    """The pattern with its numbers, as an edition spells it and without what its choices leave out."""
    return facts_of(_spelled(narrowed(graded.pattern, edition.chosen), edition), graded)


def _spelled(pattern: PatternFile, edition: PrintForm) -> PatternFile:
    """A pattern whose options are called as the edition spells; since the third wording its body too."""
    if pattern.wording > WIDE_WORDING:
        body = (replace(one, label=spelled(one.label, edition.terms)) for one in pattern.body)
        pattern = replace(pattern, body=tuple(body))
    if pattern.wording == FIRST_WORDING or edition.terms == pattern.home_terms:
        return pattern
    options = (
        replace(one, label=spelled(one.label, edition.terms, pattern.wording)) for one in pattern.options
    )
    return replace(pattern, options=tuple(options))


def split_table(source: Source, rows: Sequence[PageRow], caption: str = "") -> Iterator[PageTable]:
    """Cut a table into groups of sizes that fit the page of the edition."""
    return split_rows(source.sizes, rows, across=source.across, down=source.down, caption=caption)
