"""What else an edit of the sheet moves: numbers in the instructions, yarn, pieces; in a few lines."""

import re
from typing import Any, cast

from grading.core.grade.grade import Graded
from grading.core.instructions.facts import facts_of
from grading.core.instructions.print_changes import PrintChange, number_changes, prints_any
from grading.core.instructions.steps import render_step
from grading.core.pattern.parts import label_of
from grading.core.printing.edition import PrintForm, Units
from grading.grid.origins import steps_with
from grading.grid.shown_numbers import figure
from grading.grid.yarn_tables import default_choices
from grading.sheets.differences import Difference, became
from grading.sheets.documents import Document, entries_of
from grading.sheets.kept_sheets import KeptSheet
from grading.sheets.naming import names_in

Place = tuple[int, int]  # of a step: its section, counted from 0, and the step in it, counted from 1
MOST_NUMBERS = 2  # that say by themselves what changes in a size; more are told as steps in words
MOST_STEPS = 4


def moves(before: KeptSheet, after: KeptSheet, difference: Difference) -> list[str]:
    """Lines for the numbers of the instructions, for each colour of yarn, and for the pieces that move."""
    told = [*_steps(after.document, difference), *_printed(before, after, difference)]
    if difference.yarn_changed:
        told += _yarn(before, after)
    changed = {value.name for value in difference.values}
    pieces = [
        str(label_of({"name": name, **entry}))
        for name, entry in entries_of(after.document, "pieces")
        if changed & set(names_in("pieces", entry))
    ]
    return [*told, f"Pieces drawn differently: {', '.join(pieces)}"] if pieces else told


def _steps(document: Document, difference: Difference) -> list[str]:
    """The steps that print numbers of the lines that change, a line for each line of the sheet."""
    if not difference.printed:
        return []
    told = []
    labels = {name: str(label_of({"name": name, **entry})) for name, entry in entries_of(document, "values")}
    for value in difference.values:
        steps = [one.label for one in steps_with(document, value.name)]
        more = f" and {len(steps) - MOST_STEPS} more" if len(steps) > MOST_STEPS else ""
        if steps:
            told.append(f"{labels[value.name]} prints in {', '.join(steps[:MOST_STEPS])}{more}")
    return told


def _printed(before: KeptSheet, after: KeptSheet, difference: Difference) -> list[str]:
    """The numbers of the instructions that change, by the sizes of it; where they are many, the steps."""
    by_sizes: dict[tuple[str, ...], list[PrintChange]] = {}
    order = [str(size) for size in after.document["sizes"]]
    for one in difference.printed:
        by_sizes.setdefault(one.sizes, []).append(one)
    told, worded = [], []
    for sizes, changes in sorted(by_sizes.items(), key=lambda one: order.index(one[0][0])):
        if len(changes) <= MOST_NUMBERS and all(one.before and one.after for one in changes):
            told += _by_steps(before.graded, after.graded, changes, difference.names)
        else:
            worded += [size for size in sizes if size not in worded]
    if worded:
        told += _in_words(before.graded, after.graded, worded[0], difference.names)
        others = ", ".join(worded[1:])
        told += [f"Other numbers of these steps change in {others}"] if others else []
    return told


def _by_steps(before: Graded, after: Graded, changes: list[PrintChange], names: frozenset[str]) -> list[str]:
    """A few numbers of the same sizes, each at the steps that print it otherwise."""
    sizes = changes[0].sizes
    steps = [
        (step, number_changes(old, new)) for step, old, new in _changed_steps(before, after, sizes[0], names)
    ]
    told: dict[str, list[str]] = {}
    for one in changes:
        found = [step for step, pairs in steps if (one.before, one.after) in pairs]
        where = ", ".join(found[:MOST_STEPS]) or "Instructions"
        told.setdefault(where, []).append(became(one))
    return [f"{where}, {', '.join(sizes)}: {', '.join(numbers)}" for where, numbers in told.items()]


def _in_words(before: Graded, after: Graded, size: str, names: frozenset[str]) -> list[str]:
    """The steps of one size that read otherwise: the sentences that changed, as they were and as they are."""
    changed = [(step, *_apart(old, new)) for step, old, new in _changed_steps(before, after, size, names)]
    told = [f"{step}, {size}: “{old}” → “{new}”" for step, old, new in changed[:MOST_STEPS]]
    rest = len(changed) - MOST_STEPS
    return [*told, f"Other steps that read differently in {size}: {rest}"] if rest > 0 else told


def _changed_steps(
    before: Graded, after: Graded, size: str, names: frozenset[str]
) -> list[tuple[str, str, str]]:
    """The steps of one size that read otherwise: where, as they were and as they are.

    `names` are those of the entries that changed: a step that was not written anew and prints none of them
    reads as before.
    """
    old_steps = _steps_of(before)
    places = [
        place
        for place, step in _steps_of(after).items()
        if old_steps.get(place) != step or prints_any(step[1], after.pattern, names)
    ]
    was, now = _read_in(before, size, places), _read_in(after, size, places)
    return [
        (f"{after.pattern.sections[number].title}, step {step}", was.get((number, step), ""), words)
        for (number, step), words in now.items()
        if was.get((number, step)) != words
    ]


def _steps_of(made: Graded) -> dict[Place, tuple[Any, str]]:
    """The steps as they are written, each with what its section is for."""
    return {
        (number, place): (section.when, words)
        for number, section in enumerate(made.pattern.sections)
        for place, words in enumerate(section.steps, start=1)
    }


def _read_in(made: Graded, size: str, places: list[Place]) -> dict[Place, str]:
    """Steps as one size reads them, where there are such steps."""
    facts = facts_of(made.pattern, made)
    edition = PrintForm(cast("Units", facts.pattern.home_units), facts.home_terms, size)
    steps = _steps_of(made)
    return {
        place: " ".join(part.text for part in render_step(words, facts, edition, when))
        for place in places
        if place in steps
        for when, words in [steps[place]]
    }


def _apart(old: str, new: str) -> tuple[str, str]:
    """Two texts without the sentences with which both begin and end."""
    was, now = (re.split(r"(?<=[.;:)])\s+", text) for text in (old, new))
    while was and now and was[0] == now[0]:
        was, now = was[1:], now[1:]
    while was and now and was[-1] == now[-1]:
        was, now = was[:-1], now[:-1]
    return " ".join(was), " ".join(now)


def _yarn(before: KeptSheet, after: KeptSheet) -> list[str]:
    """Grams, metres and balls of each colour that change, for the choices of the sample."""
    was, now = _amounts(before), _amounts(after)
    told = []
    for colour in dict.fromkeys([*was, *now]):
        old, new = was.get(colour, {}), now.get(colour, {})
        moved = [
            _moved(after.document["sizes"], old.get(key), new.get(key), *more) for key, *more in _AMOUNTS
        ]
        if any(moved):
            same = ["the same balls"] if not moved[-1] and _is_known(new.get("balls")) else []
            told.append(f"Yarn {colour}: {'; '.join([*filter(None, moved), *same])}")
    return told


_AMOUNTS = (("weight", "weight", "g"), ("length", "yarn", "m"), ("balls", "count", "balls"))
"""Amounts of a colour: their key, the kind that they are printed as, their unit."""


def _moved(sizes: list[str], old: list[Any] | None, new: list[Any] | None, kind: str, unit: str) -> str:
    """The sizes in which an amount prints otherwise."""
    nothing = [None] * len(sizes)
    pairs = zip(sizes, old or nothing, new or nothing, strict=False)
    cells = [(size, figure(one, kind, "cm"), figure(other, kind, "cm")) for size, one, other in pairs]
    return ", ".join(f"{size} {one} → {other} {unit}" for size, one, other in cells if one != other)


def _is_known(amounts: list[Any] | None) -> bool:
    """Whether an amount is known in any size."""
    return any(one is not None for one in amounts or ())


def _amounts(of: KeptSheet) -> dict[str, dict[str, list[Any]]]:
    """The amounts of each colour in each size, for the choices of the sample."""
    chosen = default_choices(of.document)
    needs = of.graded.as_json()["yarn"]
    fitting = (
        one for one in needs if all(chosen.get(key) == choice for key, choice in one["options"].items())
    )
    need = next(fitting, None)
    return dict(need["colours"]) if need else {}
