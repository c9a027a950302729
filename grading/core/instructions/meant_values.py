"""Which value of the sheet a number that was typed into a step may mean, and what is said about it."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import nan
from typing import cast

import numpy as np
from numpy.typing import NDArray

from grading.core.instructions.facts import Facts
from grading.core.instructions.references import line_and_column
from grading.core.instructions.typed_numbers import NumberInStep, typed_numbers, written_length
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.edition import Units
from grading.core.printing.measures import printed_lists
from grading.core.printing.numbers import DASH, MOST_IN_LINE, number_list
from grading.core.sheet.findings import Finding, Weight

MOST_MEANT = 4
MOST_POINTED = 50
LEAST_NEAR_MM, NEAR = 100.0, 0.1  # a shorter length is near to too many others
MOST_OFF = 0.5
SURELY_A_LIST = 3  # two numbers, as in "20 (22)", may be two units or two choices
TOLD = 0.2  # a value that the words speak of comes before one that is up to five times nearer
# Half of what lengths are printed to: cm to the nearest half, inches to the nearest quarter.
SAME_MM = {"cm": 2.5, "in": 25.4 / 8}
_OF_ROWS = re.compile(r"\b(?:rows?|rounds?|rnds?)\s[\d\s,and]*$", re.IGNORECASE)  # “rows 1 (2, 3)”
_COMMON_WORDS = {"stitches", "rows", "rounds", "target", "width", "length", "of", "the"}

Numbers = NDArray[np.float64]
TypedBySteps = dict[tuple[int, int], list[NumberInStep]]


@dataclass(frozen=True)
class Meant:
    """A value that a typed number may mean.

    `numbers` are its numbers as printed, `near` the one that comes nearest with its sizes, `same_in` the
    sizes that have the number typed, `is_same` whether all have.
    """

    name: str
    numbers: str
    near: str
    same_in: str
    is_same: bool

    @property
    def reference(self) -> str:
        """How the value is written in a step."""
        return f"{{{self.name}}}"


@dataclass(frozen=True)
class Pointer:
    """A number typed in a step, the values that it may mean, the likeliest first, and one sentence."""

    where: str
    line: int
    column: int
    typed: NumberInStep
    meant: tuple[Meant, ...]
    says: str
    weight: Weight = "warn"

    @property
    def finding(self) -> Finding:
        """The pointer as a finding: to think about, or in the way where a size has no number."""
        return Finding(self.where, None, self.weight, self.line, self.column, self.says)


def typed_by_step(pattern: PatternFile) -> TypedBySteps:
    """Return the numbers typed in each step where a value may be meant.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Returns:
        By section and step, from 0; steps without any are left out.
    """
    found = {
        (i, j): typed_numbers(step, pattern)
        for i, section in enumerate(pattern.sections)
        for j, step in enumerate(section.steps)
    }
    return {place: typed for place, typed in found.items() if typed}


def point_at_numbers(facts: Facts, typed: TypedBySteps | None = None) -> list[Pointer]:
    """Point at the numbers typed in the steps of a pattern where a value is meant.

    Args:
        facts: The pattern and its numbers.
        typed: The numbers typed in its steps, where they are known.

    Returns:
        Pointers at `sections[i].steps[j]` in order, at most 50 in one step: every number that
        `grading.core.instructions.typed_numbers` finds; a doubtful one only where a value is that number,
        or is a length of 10 cm or more that is less than a tenth off. A list of three numbers or more
        that are not as many as the sizes stops a pattern, unless they are numbers of rows.

    Source: common practice.
    """
    table, pattern = _Table(facts), facts.pattern
    found: list[Pointer] = []
    for (i, j), numbers in (typed_by_step(pattern) if typed is None else typed).items():
        section = pattern.sections[i]
        told = table.told_of(f"{section.title} {section.steps[j]}".lower())
        meant = [(one, table.meant_by(one, told)) for one in numbers]
        pointed = [pair for pair in meant if pair[1] or not pair[0].is_doubtful][:MOST_POINTED]
        for one, values in pointed:
            place = line_and_column(section.steps[j], one.offset)
            weight: Weight = "warn"
            says = _says(one, values)
            if _is_off(one, len(pattern.sizes)):
                says = _says_off(one)
                weight = "stop" if _is_surely_by_size(one, section.steps[j]) else "warn"
            found.append(Pointer(f"sections[{i}].steps[{j}]", *place, one, tuple(values), says, weight))
    return found


def without_pointed(findings: Iterable[Finding], pointers: Iterable[Pointer]) -> list[Finding]:
    """Leave out what says less about a number than a pointer does: that a length is not in braces.

    Args:
        findings: What was found without looking at the numbers of the pattern.
        pointers: Numbers typed in its steps.

    Returns:
        The findings at other places.
    """
    places = {(one.where, one.line, one.column) for one in pointers}
    return [
        one for one in findings if (one.where, one.line, one.column) not in places or one.weight == "stop"
    ]


class _Table:
    """The numbers of a pattern that can be referred to, one row per name."""

    def __init__(self, facts: Facts) -> None:
        """Begin with the names; numbers are gathered when they are asked for."""
        self.facts = facts
        self.sizes = facts.pattern.sizes
        self.names = list(facts.units_of)

    @cached_property
    def rows(self) -> Numbers:
        """One number per name and size, NaN for none."""
        rows = [[nan if n is None else n for n in self.facts.row(name)] for name in self.names]
        return np.array(rows, dtype=float).reshape(len(self.names), len(self.sizes))

    def told_of(self, words: str) -> NDArray[np.bool_]:
        """Return for each name whether words speak of it."""
        own = (set(name.split("_")) - _COMMON_WORDS for name in self.names)
        return np.array([any(word in words for word in parts) for parts in own], dtype=bool)

    def meant_by(self, typed: NumberInStep, told: NDArray[np.bool_]) -> list[Meant]:
        """Return the values that a typed number may mean, the likeliest first."""
        fitting = [i for i, name in enumerate(self.names) if self.facts.units_of[name] in typed.kinds]
        if not fitting or not typed.places or _is_off(typed, len(self.sizes)):
            return []
        if len(typed.numbers) == len(self.sizes):  # a list keeps the place of every size, in a block as well
            typed = replace(typed, numbers=tuple(typed.numbers[place] for place in typed.places))
        gaps = _gaps(typed, self.rows[np.ix_(fitting, typed.places)])
        same = gaps <= _same(typed)
        off = gaps.mean(axis=1) if typed.is_list else gaps.min(axis=1)
        # What is counted itself, what is the same in all sizes, the same in some, then the nearest.
        ranked = np.lexsort(
            (
                np.where(told[fitting], off * TOLD, off),
                ~same.any(axis=1),
                ~same.all(axis=1),
                np.array([self.names[i] != typed.name for i in fitting]),
            )
        )
        near = [i for i in ranked if off[i] <= _most_off(typed)][:MOST_MEANT]
        meant = [self._meant(typed, self.names[fitting[i]], gaps[i]) for i in near]
        return [one for one in meant if one.is_same] or ([] if typed.is_list else meant)

    def _meant(self, typed: NumberInStep, name: str, gaps: Numbers) -> Meant:
        """Return a value as it is offered."""
        same = gaps <= _same(typed)
        nearest = gaps <= gaps.min()
        units = cast("Units", typed.unit or self.facts.pattern.home_units)
        row = self.rows[self.names.index(name)]
        printed = printed_lists(self.facts.units_of[name], row.tolist(), units)[0]
        one = next(printed.texts[place] for place, is_it in zip(typed.places, nearest, strict=True) if is_it)
        near = f"{one or DASH} {printed.unit}".rstrip() + f" ({self._size_words(typed, nearest)})"
        numbers = f"{_listed(printed.texts, typed.places)} {printed.unit}".rstrip()
        is_whole = not typed.is_list or len(typed.numbers) == len(typed.places)
        same_in = self._size_words(typed, same) if same.any() else ""
        return Meant(name, numbers, near, same_in, bool(same.all()) and is_whole)

    def _size_words(self, typed: NumberInStep, chosen: NDArray[np.bool_]) -> str:
        """Name some of the sizes that a number is printed for."""
        named = [self.sizes[place] for place, is_it in zip(typed.places, chosen, strict=True) if is_it]
        if len(named) == len(self.sizes):
            return "every size"
        return f"size {named[0]}" if len(named) == 1 else f"sizes {', '.join(named)}"


def _same(typed: NumberInStep) -> float:
    """Return how far a number may be from a typed one and print the same."""
    return SAME_MM.get(typed.unit, 0.0) + 1e-6


def _gaps(typed: NumberInStep, columns: Numbers) -> Numbers:
    """Return how far the numbers of values are from a typed one, per value and size; infinite for none."""
    wanted = np.array([nan if n is None else n for n in typed.numbers])
    if len(wanted) != len(typed.places):
        wanted = wanted[:1]
    gaps: Numbers = np.abs(columns - wanted)
    gaps[np.isnan(columns) & np.isnan(wanted)] = 0.0
    gaps[np.isnan(gaps)] = np.inf
    return gaps


def _most_off(typed: NumberInStep) -> float:
    """Return how far a value may be off; a doubtful number means one that is the same, or a like length."""
    number = typed.numbers[0] or 0.0
    if not typed.is_doubtful:
        return MOST_OFF * number
    is_long = bool(typed.unit) and number >= LEAST_NEAR_MM
    return max(_same(typed), NEAR * number if is_long else 0.0)


def _listed(texts: Sequence[str | None], places: Sequence[int]) -> str:
    """Print numbers by size, the first and the last where they are too many for a line."""
    shown = [texts[place] or DASH for place in places]
    if len(shown) > MOST_IN_LINE and len(set(shown)) > 1:
        return f"{shown[0]} … {shown[-1]}"
    return number_list(texts, places)


def _says(typed: NumberInStep, meant: Sequence[Meant]) -> str:
    """Say what is typed, what the sheet has, and what to do."""
    begun, fixed = f"“{typed.shown}” is typed", _or_fixed(typed)
    if not meant:
        return f"{begun} and no value gives it: add one and write its name in braces{fixed}."
    best = meant[0]
    write = f"write {best.reference}"
    if typed.is_list:
        return f"{begun} for each size: {write}, which has the same numbers."
    if best.is_same:
        return f"{begun}; {best.name} is {typed.source} in {best.same_in}: {write}, which follows the sheet."
    if best.same_in:
        only = f"{best.name} is {typed.source} in {best.same_in} only"
        return f"{begun}; {only}: {write} if it is meant{fixed}."
    none_gives_it = " and no value gives it" if typed.is_closing else ""
    return f"{begun}{none_gives_it}; {best.name} is {best.near}: {write} if it is meant{fixed}."


def _is_off(typed: NumberInStep, sizes: int) -> bool:
    """Whether a list has another number of numbers than there are sizes, here or in all."""
    return typed.is_list and bool(typed.places) and len(typed.numbers) not in (len(typed.places), sizes)


def _is_surely_by_size(typed: NumberInStep, step: str) -> bool:
    """Whether a list can be nothing else than one by size: of some numbers, and not those of rows."""
    return len(typed.numbers) >= SURELY_A_LIST and not _OF_ROWS.search(step[: typed.offset])


def _says_off(typed: NumberInStep) -> str:
    """Say that a list does not have a number for each size."""
    sizes = "1 size" if len(typed.places) == 1 else f"{len(typed.places)} sizes"
    return (
        f"“{typed.shown}” has {len(typed.numbers)} numbers for {sizes}: write one for each, or the name of a "
        "value in braces. If it is not a list by size, put it in backticks."
    )


def _or_fixed(typed: NumberInStep) -> str:
    """Say how a number is written that is right as it stands in every size."""
    if typed.is_list:
        return ""
    if typed.unit:
        return f"; if every size has it, write {{{written_length(typed.source)}}}"
    return f"; if every size has {typed.source}, put it in backticks"
