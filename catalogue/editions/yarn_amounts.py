"""Yarn to buy, one line a colour: what all need, and what a choice adds; a row for each size."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil
from typing import Any

from catalogue.editions.yarn_additions import added_texts, in_units, lengths_to_buy, ounces_within
from catalogue.editions.yarn_tables import Amounts, yarn_groups
from grading.core.instructions.choice_words import choice_noun, choice_words
from grading.core.instructions.steps import when_label
from grading.core.pattern.pattern import OptionEntry, PatternFile
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.numbers import (
    DASH,
    GRAMS_PER_OUNCE,
    METRES_PER_YARD,
    print_grams_to_buy,
    print_ounces,
)

# More columns than these are told by the least and the most of each colour.
MOST_COLUMNS = 8
ALIKE = 1e-6  # relative: amounts that differ by less are the same

Chosen = dict[str, str]


@dataclass(frozen=True)
class YarnColumn:
    """One colour for some choices: its head, and what each size takes, as text.

    `added` are choices that only add to a colour, each with its option. An addition tells what one of them
    takes, a sum what all takes with them.
    """

    head: str
    texts: tuple[str, ...]
    colour: str = ""
    added: frozenset[tuple[str, str]] = frozenset()
    is_sum: bool = False


@dataclass(frozen=True)
class _Ground:
    """What all columns are made from."""

    needs: Sequence[Mapping[str, Any]]
    pattern: PatternFile
    edition: PrintForm
    kept: Sequence[int]

    def amounts(self, chosen: Chosen) -> Amounts:
        """What one combination of choices needs."""
        found: Amounts = next(one["colours"] for one in self.needs if one["options"] == chosen)
        return found

    def put_up_g(self, letter: str) -> float | None:
        """What a ball of a colour weighs, as its amounts are told by."""
        return told_put_up_g(self.pattern, letter)


def told_put_up_g(pattern: PatternFile, letter: str) -> float | None:
    """What a ball of a colour weighs in g; nothing in older wordings, which looked at the weight alone."""
    if pattern.wording <= WIDE_WORDING:
        return None
    return next((one.put_up_g for one in pattern.yarns if one.colour == letter), None)


def yarn_columns(
    needs: Sequence[Mapping[str, Any]], pattern: PatternFile, edition: PrintForm, kept: Sequence[int]
) -> list[YarnColumn]:
    """The columns of a pattern's yarn: each colour, for each choice that changes it, and what is added.

    A colour that no kept size uses has none. Where a choice only adds to another one, whatever else is
    chosen, what it adds is told.
    """
    if not needs:
        return []
    ground = _Ground(needs, pattern, edition, kept)
    adding = _adding(ground)
    base = [one for one in needs if adding.items() <= one["options"].items()]
    letters = list(needs[0]["colours"])
    columns = [column for letter in letters for column in _columns_of(ground, adding, base, letter)]
    if pattern.wording <= WIDE_WORDING:
        columns += [column for letter in letters for column in _added(ground, adding, base, letter)]
    else:
        columns += _added_and_whole(ground, adding, base, MOST_COLUMNS - len(columns))
    if len(columns) > MOST_COLUMNS:
        return [column for letter in letters for column in _bounds(ground, letter)]
    return columns


def _columns_of(
    ground: _Ground, adding: Chosen, needs: Sequence[Mapping[str, Any]], letter: str
) -> Iterator[YarnColumn]:
    """A colour for the fewest groups of choices that need the same of it, without what others add."""
    plain = ""
    if ground.pattern.wording > WIDE_WORDING:
        found = _adding_choices(ground, adding, letter)[1]
        # What “buttons and ties” add to buttons are the ties: the colour without them is the colour itself.
        names = dict.fromkeys(one[0] for one in found if not one[1].startswith(f"{adding[one[0]]} and "))
        told = [choice_words([(name, (adding[name],))], ground.pattern) for name in names]
        # A colour without a belt is the colour itself; with short sleeves it has to say so.
        plain = " ".join(one for one in told if not one.startswith("without "))
    for group in yarn_groups(needs, ground.pattern, [letter]):
        if texts := _texts(ground, group.colours[letter], letter):
            label = " ".join(filter(None, (group.label, plain)))
            yield YarnColumn(_head(ground, letter, label), texts, letter)


def _added(
    ground: _Ground, adding: Chosen, base: Sequence[Mapping[str, Any]], letter: str
) -> Iterator[YarnColumn]:
    """What choices add to a colour: what it takes with them less what it takes without, as printed.

    Where several choices add, each stands by itself: its balls must do whatever they are added to.
    """
    plain, found = _adding_choices(ground, adding, letter)
    if len(found) > 1:
        for one in found:
            after = ground.amounts({**plain, one[0]: one[1]})[letter]
            if texts := _texts(
                ground, _by_itself(ground, (ground.amounts(plain)[letter], after), letter), letter
            ):
                yield YarnColumn(f"Add to {letter} for {_label(ground, one)}", texts)
        return
    for one in found:
        told = [(group, _more(ground, start, one, letter)) for group, start in _starts(ground, base, letter)]
        groups: dict[tuple[str, ...], list[str]] = {}
        for group, texts in told:
            if texts:
                groups.setdefault(texts, []).append(group)
        for texts, names in groups.items():
            to = f" ({' or '.join(names)})" if len(groups) > 1 and all(names) else ""
            yield YarnColumn(f"Add to {letter}{to} for {_label(ground, one)}", texts)


def _adding_choices(ground: _Ground, adding: Chosen, letter: str) -> tuple[Chosen, list[tuple[str, str]]]:
    """The combination without any addition, and the choices that add to a colour."""
    plain: Chosen = {**ground.needs[0]["options"], **adding}
    found = [
        (option.name, choice)
        for option in ground.pattern.options
        for choice in (option.choices if option.name in adding else ())
        if choice != adding[option.name] and _changes(ground, plain, (option.name, choice), letter)
    ]
    return plain, found


def _added_and_whole(
    ground: _Ground, adding: Chosen, base: Sequence[Mapping[str, Any]], room: int
) -> list[YarnColumn]:
    """What choices add in grams and metres, and what is bought where they are chosen.

    Grams add up, balls do not: they stand only beside a whole combination of choices. Where there is no
    room for every one, that with all additions is told.
    """
    letters = list(ground.needs[0]["colours"])
    added = [column for letter in letters for column in _added_once(ground, adding, letter)]
    for only_all in (False, True):
        whole = [one for letter in letters for one in _whole(ground, adding, base, letter, only_all=only_all)]
        if len(added) + len(whole) <= room:
            return [*added, *whole]
    return added


def _added_once(ground: _Ground, adding: Chosen, letter: str) -> Iterator[YarnColumn]:
    """What each choice adds to a colour, from the true weights."""
    plain, found = _adding_choices(ground, adding, letter)
    yarn = next((one for one in ground.pattern.yarns if one.colour == letter), None)
    before = ground.amounts(plain)[letter]
    for one in found:
        after = ground.amounts({**plain, one[0]: one[1]})[letter]
        if texts := added_texts(before, after, yarn, ground.edition, ground.kept):
            told = _label(ground, one).removeprefix(f"{adding[one[0]]} and ")
            yield YarnColumn(f"Add to {letter} for {told}", texts, letter, frozenset({one}))


def _whole(
    ground: _Ground, adding: Chosen, base: Sequence[Mapping[str, Any]], letter: str, *, only_all: bool
) -> Iterator[YarnColumn]:
    """A colour where additions are chosen: for each combination of them, or for that of all."""
    _, found = _adding_choices(ground, adding, letter)
    names = list(dict.fromkeys(name for name, _ in found))
    each = [[None, *(choice for name, choice in found if name == of)] for of in names]
    combinations = [
        {name: choice for name, choice in zip(names, chosen, strict=True) if choice is not None}
        for chosen in product(*each)
    ]
    for chosen in combinations[-1:] if only_all else combinations:
        for group, start in _starts(ground, base, letter) if chosen else ():
            told = choice_words([(name, (choice,)) for name, choice in chosen.items()], ground.pattern)
            plain, whole = ground.amounts(start)[letter], ground.amounts({**start, **chosen})[letter]
            if texts := _texts(ground, whole, letter):
                more = [plain["weight"][at] != whole["weight"][at] for at in ground.kept]
                added = tuple(text if is_more else DASH for text, is_more in zip(texts, more, strict=True))
                head, choices = f"{_head(ground, letter, group)} {told}", frozenset(chosen.items())
                yield YarnColumn(head, added, letter, choices, is_sum=True)


def _head(ground: _Ground, letter: str, group: str) -> str:
    """A colour for some choices: “A with long sleeves”; in older wordings “A (Sleeves: long)”."""
    if not group:
        return letter
    return f"{letter} ({group})" if ground.pattern.wording <= WIDE_WORDING else f"{letter} {group}"


def _label(ground: _Ground, choice: tuple[str, str]) -> str:
    """What one choice of an option brings: “folded brim”, “pockets”; in older wordings “Brim: folded”."""
    if ground.pattern.wording > WIDE_WORDING:
        return choice_noun(*choice, ground.pattern)
    return when_label([(choice[0], (choice[1],))], ground.pattern)


def _changes(ground: _Ground, plain: Chosen, choice: tuple[str, str], letter: str) -> bool:
    """Whether a choice changes what a colour takes, in a size that is printed; in old wordings, in any."""
    before = ground.amounts(plain)[letter]["weight"]
    after = ground.amounts({**plain, choice[0]: choice[1]})[letter]["weight"]
    told = range(len(before)) if ground.pattern.wording <= WIDE_WORDING else ground.kept
    return any(before[at] != after[at] for at in told)


def _starts(ground: _Ground, base: Sequence[Mapping[str, Any]], letter: str) -> Iterator[tuple[str, Chosen]]:
    """What something is added to: choices that take the same of a colour, and one combination of them."""
    for group in yarn_groups(base, ground.pattern, [letter]):
        same = (one["options"] for one in base if one["colours"][letter] == group.colours[letter])
        yield group.label, next(same)


def _by_itself(
    ground: _Ground, both: tuple[Mapping[str, Any], Mapping[str, Any]], letter: str
) -> Mapping[str, Sequence[float | None]]:
    """What one of several choices adds, in balls of its own."""
    before, after = both
    more = {kind: _differences(before[kind], after[kind]) for kind in ("weight", "length")}
    put_up = next((one.put_up_g for one in ground.pattern.yarns if one.colour == letter), None)
    return {**more, "balls": [put_up and w and float(ceil(w / put_up - ALIKE)) for w in more["weight"]]}


def _more(ground: _Ground, start: Chosen, choice: tuple[str, str], letter: str) -> tuple[str, ...]:
    """What a choice adds in each size to one combination; nothing where it adds to none."""
    before = ground.amounts(start)[letter]
    after = ground.amounts({**start, choice[0]: choice[1]})[letter]
    more = _differences(before["weight"], after["weight"])
    if not any(more[at] is None or more[at] for at in ground.kept):
        return ()
    return tuple(_more_of_size(before, after, at, ground) for at in ground.kept)


def _more_of_size(before: Mapping[str, Any], after: Mapping[str, Any], at: int, ground: _Ground) -> str:
    """As 1 more ball · 35 g · 80 m: with what is printed without the choice it is what is printed with it."""
    small, large = ({kind: of[kind][at] for kind in ("weight", "length", "balls")} for of in (before, after))
    if None in (small["weight"], large["weight"]) or large["weight"] - small["weight"] <= ALIKE:
        return DASH
    words, edition = [], ground.edition
    none = "no more balls" if ground.pattern.wording <= WIDE_WORDING else "no extra ball"
    if None not in (small["balls"], large["balls"]):
        balls = large["balls"] - small["balls"]
        words.append(f"{balls:.0f} more ball{'s' if balls > 1 else ''}" if balls else none)
    for kind, units in _UNITS.items():
        if None not in (small[kind], large[kind]):
            apart = [
                (_up(large[kind] / one.per, one) - _up(small[kind] / one.per, one), one) for one in units
            ]
            if any(more and one.is_in(edition) for more, one in apart):
                metric, imperial = (one.words(more) for more, one in apart)
                words.append(in_units(metric, imperial, edition))
    return " · ".join(words) or DASH


@dataclass(frozen=True)
class _Unit:
    """A unit of yarn to buy: how much of it is one, in g or m, and in what steps it is printed."""

    name: str
    per: float
    step: float
    system: str

    def is_in(self, edition: PrintForm) -> bool:
        """Whether an edition prints it."""
        return edition.units in ("both", self.system)

    def words(self, number: float) -> str:
        """A number of it."""
        return (
            f"{print_ounces(number * GRAMS_PER_OUNCE) if self.name == 'oz' else f'{number:.0f}'} {self.name}"
        )


_UNITS = {
    "weight": (_Unit("g", 1.0, 5.0, "cm"), _Unit("oz", GRAMS_PER_OUNCE, 0.25, "in")),
    "length": (_Unit("m", 1.0, 10.0, "cm"), _Unit("yd", METRES_PER_YARD, 10.0, "in")),
}


def _up(number: float, unit: _Unit) -> float:
    """Up to the next step of a unit, as amounts to buy are printed."""
    return ceil(number / unit.step - 1e-9) * unit.step


def _bounds(ground: _Ground, letter: str) -> Iterator[YarnColumn]:
    """The least and the most of a colour over all choices."""
    every = [one["colours"][letter] for one in ground.needs]
    for word, pick in (("least", min), ("most", max)):
        amounts = {
            kind: [_bound([one[kind][at] for one in every], pick) for at in range(len(every[0][kind]))]
            for kind in ("weight", "length", "balls")
        }
        if texts := _texts(ground, amounts, letter):
            yield YarnColumn(f"{letter}, {word} by choice", texts, letter)


def _bound(found: Sequence[float | None], pick: Any) -> float | None:
    """The least or the most; none where one is not known."""
    return None if None in found else pick(found)


def _adding(ground: _Ground) -> Chosen:
    """The options of which one choice is the least, with that choice: the others only add to it.

    An option that stands alone tells what each choice takes in all, unless its usual one is the least.
    """
    names = [option.name for option in ground.pattern.options if not _is_idle(ground, option)]
    return {
        option.name: least
        for option in ground.pattern.options
        if option.name in names
        and (least := next((one for one in option.choices if _only_adds(ground, option, one)), None))
        and (len(names) > 1 or least == option.default)
    }


def _is_idle(ground: _Ground, option: OptionEntry) -> bool:
    """Whether an option changes no yarn."""
    first, *others = [list(_steps(ground, option, option.default, choice)) for choice in option.choices]
    return not any(
        any(more for row in step.values() for more in row) for of in (first, *others) for step in of
    )


def _only_adds(ground: _Ground, option: OptionEntry, least: str) -> bool:
    """Whether every choice adds the same to one of them, whatever else is chosen."""
    for choice in option.choices:
        first, *others = _steps(ground, option, least, choice)
        if not all(_are_alike(first, one) for one in others):
            return False
        if any(more is None or more < -ALIKE for row in first.values() for more in row):
            return False
    return True


def _steps(
    ground: _Ground, option: OptionEntry, least: str, choice: str
) -> Iterator[dict[str, list[float | None]]]:
    """From one choice to another, the grams that each colour takes more, for all choices of the others."""
    for one in ground.needs:
        if one["options"][option.name] == least:
            after = ground.amounts({**one["options"], option.name: choice})
            yield {
                letter: _differences(row["weight"], after[letter]["weight"])
                for letter, row in one["colours"].items()
            }


def _are_alike(one: Mapping[str, Sequence[Any]], other: Mapping[str, Sequence[Any]]) -> bool:
    """Whether two rows of differences are the same for each colour, but for what rounding leaves."""
    pairs = (pair for letter in one for pair in zip(one[letter], other[letter], strict=True))
    return all(a == b or (None not in (a, b) and abs(a - b) < 1e-3) for a, b in pairs)


def _differences(before: Sequence[float | None], after: Sequence[float | None]) -> list[float | None]:
    """What comes to each size; none where one of the two is not known."""
    return [None if a is None or b is None else b - a for a, b in zip(before, after, strict=True)]


def _texts(ground: _Ground, amounts: Mapping[str, Sequence[float | None]], letter: str) -> tuple[str, ...]:
    """A colour for each size that is kept; nothing where none of them uses it."""
    if not any(amounts["weight"][at] is None or amounts["weight"][at] for at in ground.kept):
        return ()
    put_up = ground.put_up_g(letter)
    return tuple(
        _amount({kind: row[at] for kind, row in amounts.items()}, ground.edition, put_up)
        for at in ground.kept
    )


def _amount(of: Mapping[str, float | None], edition: PrintForm, put_up_g: float | None) -> str:
    """As 5 balls · 240 g · 530 m: what is not known is left out."""
    weight, length, balls = of["weight"], of["length"], of["balls"]
    if not weight:
        return DASH
    words = []
    ounces = ounces_within(weight, balls, put_up_g) * GRAMS_PER_OUNCE
    if balls is not None:
        words.append(f"{balls:.0f} ball{'s' if balls > 1 else ''}")
    words.append(in_units(f"{print_grams_to_buy(weight)} g", f"{print_ounces(ounces)} oz", edition))
    if length:
        metric, imperial = lengths_to_buy(length, weight_g=weight, balls=balls, put_up_g=put_up_g)
        words.append(in_units(metric, imperial, edition))
    return " · ".join(words)
