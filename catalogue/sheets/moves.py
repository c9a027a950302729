"""What else an edit of the sheet moves: numbers in the instructions, yarn, pieces; in a few lines."""

from typing import Any

from grading.core.pattern.parts import label_of
from grading.grid.origins import users_of
from grading.grid.shown_numbers import figure
from grading.grid.yarn_tables import default_choices
from grading.sheets.differences import Difference, became
from grading.sheets.documents import Document, entries_of
from grading.sheets.kept_sheets import KeptSheet
from grading.sheets.naming import names_in

MOST_PRINTED = 40
MOST_STEPS = 4


def moves(before: KeptSheet, after: KeptSheet, difference: Difference) -> list[str]:
    """Lines for the numbers of the instructions, for each colour of yarn, and for the pieces that move."""
    told = [*_steps(after.document, difference), *_printed(difference)]
    if difference.yarn_changed:
        told += _yarn(before, after)
    changed = {value.name for value in difference.values}
    pieces = [
        str(label_of({"name": name, **entry}))
        for name, entry in entries_of(after.document, "pieces")
        if changed & set(names_in("pieces", entry))
    ]
    return [*told, f"Pieces drawn otherwise: {', '.join(pieces)}"] if pieces else told


def _steps(document: Document, difference: Difference) -> list[str]:
    """The steps that print numbers of the lines that change, a line for each line of the sheet."""
    if not difference.printed:
        return []
    told = []
    labels = {name: str(label_of({"name": name, **entry})) for name, entry in entries_of(document, "values")}
    for value in difference.values:
        steps = [one.label for one in users_of(document, value.name) if one.part == "sections"]
        more = f" and {len(steps) - MOST_STEPS} more" if len(steps) > MOST_STEPS else ""
        if steps:
            told.append(f"{labels[value.name]} prints in {', '.join(steps[:MOST_STEPS])}{more}")
    return told


def _printed(difference: Difference) -> list[str]:
    """The numbers of the instructions that change, one line for the sizes that they change in."""
    by_sizes: dict[tuple[str, ...], list[str]] = {}
    for one in difference.printed[:MOST_PRINTED]:
        by_sizes.setdefault(one.sizes, []).append(became(one))
    told = [f"Instructions, {', '.join(sizes)}: {', '.join(words)}" for sizes, words in by_sizes.items()]
    rest = len(difference.printed) - MOST_PRINTED
    return [*told, f"Instructions: {rest} more numbers"] if rest > 0 else told


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
