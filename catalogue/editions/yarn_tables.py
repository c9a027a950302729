"""Yarn to buy as tables of the first wording: one for each choice that changes it, or one for each colour."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil
from typing import Any

from grading.core.instructions.choice_words import choice_words
from grading.core.instructions.steps import when_label
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.edition import Units
from grading.core.printing.numbers import (
    DASH,
    GRAMS_PER_OUNCE,
    print_grams_to_buy,
    print_metres_to_buy,
    print_ounces,
    print_whole,
    print_yards_to_buy,
)
from grading.core.printing.size_rows import PageRow

Amounts = Mapping[str, Mapping[str, Sequence[float | None]]]
Column = tuple[str, str, Callable[[float], str]]

# More tables than these are gathered by colour; of more choices than these the weight alone is told.
MOST_TABLES, MOST_IN_FULL = 8, 24


@dataclass(frozen=True)
class Group:
    """Choices that need the same yarn: what they are called, and what is needed."""

    label: str
    colours: Amounts


def yarn_blocks(
    needs: Sequence[Mapping[str, Any]], pattern: PatternFile, units: Units, kept: Sequence[int]
) -> Iterator[tuple[str, list[PageRow]]]:
    """The tables of a pattern, each with its caption, over the sizes that are kept."""
    if not needs:
        return
    letters = list(needs[0]["colours"])
    together = yarn_groups(needs, pattern, letters)
    if len(together) <= MOST_TABLES:
        for group in together:
            rows = [row for letter in letters for row in _rows(group, letter, _columns(units), kept)]
            if rows:
                yield group.label, rows
        return
    for letter in letters:
        rows = list(_rows_of_colour(letter, yarn_groups(needs, pattern, [letter]), units, kept))
        if rows:
            yield "", rows


def yarn_note(pattern: PatternFile, units: Units = "cm", *, adds: bool = False, sums: bool = False) -> str:
    """What amounts of yarn are: estimates, with the allowance that is in them where there is one.

    Where a maker has to add what a choice takes, how: balls are rounded up, weights are not. Where sums are
    told, why they can differ from their parts.
    """
    share = pattern.yarn_allowance
    with_more = f" and include an allowance of {round(share * 100, 2):g} %" if share else ""
    note = f"These amounts are estimates{with_more}. Buy enough of one dye lot."
    if pattern.wording <= WIDE_WORDING:
        return note
    if adds:
        weight = "ounces" if units == "in" else "grams"
        rule = "then divide by the weight of a ball and round up once."
        note += f" To add a choice, add its {weight} first, {rule}"
    return (
        f"{note} Totals are rounded only once, so they can differ slightly from the sum of their parts."
        if sums
        else note
    )


def yarn_groups(
    needs: Sequence[Mapping[str, Any]], pattern: PatternFile, letters: Sequence[str]
) -> list[Group]:
    """The fewest groups of choices that need the same of these colours, in the order of the options."""
    names = [option.name for option in pattern.options]
    needed = {tuple(one["options"][name] for name in names): one["colours"] for one in needs}
    told = choice_words if pattern.wording > WIDE_WORDING else when_label
    alike = [_alike(needed, place, letters) for place in range(len(names))]
    return [
        Group(
            told(
                [
                    (name, choices)
                    for name, choices, all_choices in zip(names, chosen, alike, strict=True)
                    if len(all_choices) > 1
                ],
                pattern,
            ),
            needed[tuple(choices[0] for choices in chosen)],
        )
        for chosen in product(*alike)
    ]


def _alike(
    needed: Mapping[tuple[str, ...], Amounts], place: int, letters: Sequence[str]
) -> list[tuple[str, ...]]:
    """Choices of one option, those together that never make a difference, whatever else is chosen."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for combination in needed:
        found.setdefault(combination[place], []).append(combination)
    gathered: dict[tuple[str, ...], list[str]] = {}
    for choice, combinations in found.items():
        told = tuple(repr([needed[one][letter] for letter in letters]) for one in sorted(combinations))
        gathered.setdefault(told, []).append(choice)
    return [tuple(choices) for choices in gathered.values()]


def _rows_of_colour(
    letter: str, groups: Sequence[Group], units: Units, kept: Sequence[int]
) -> Iterator[PageRow]:
    """What every group needs of one colour, under its heading: where groups are many, its weight alone."""
    columns = _columns(units)
    if len(groups) > MOST_IN_FULL:
        columns = columns[1:2]
    for group in groups:
        if rows := list(_rows(group, letter, columns, kept)):
            if group.label:
                yield PageRow(group.label)
            yield from rows


def _columns(units: Units) -> list[Column]:
    """Balls, then weights and lengths in the units of the edition."""
    columns: list[Column] = [("balls", "balls", print_whole)]
    if units != "in":
        columns += [("weight", "g", print_grams_to_buy), ("length", "m", print_metres_to_buy)]
    if units != "cm":
        columns += [("weight", "oz", ounces_to_buy), ("length", "yd", print_yards_to_buy)]
    return columns


def _rows(group: Group, letter: str, columns: Sequence[Column], kept: Sequence[int]) -> Iterator[PageRow]:
    """The amounts of one colour, a row for each column; a colour that is not used has none."""
    amounts = group.colours[letter]
    if not any(amounts["weight"]):
        if None in amounts["weight"]:
            yield PageRow(f"{letter}, amount not known", (DASH,) * len(kept))
        return
    for kind, unit, show in columns:
        found = [amounts[kind][at] for at in kept]
        texts = tuple(DASH if amount is None else show(amount) for amount in found)
        if set(texts) != {DASH}:
            yield PageRow(f"{letter}, {unit}", texts)


def ounces_to_buy(weight_g: float) -> str:
    """Ounces up to the next quarter: a maker who buys what is printed must not run out."""
    return print_ounces(ceil(weight_g / GRAMS_PER_OUNCE * 4 - 1e-9) / 4 * GRAMS_PER_OUNCE)
