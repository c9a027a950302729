"""How many balls of the yarn to take in place of one that is no longer made, size by size."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from catalogue.editions.chosen import only_chosen
from catalogue.editions.sources import Source
from catalogue.editions.yarn_amounts import YarnColumn
from catalogue.editions.yarn_tables import yarn_groups
from grading.core.printing.numbers import DASH, number_list, print_whole
from grading.core.yarn.needs import balls_for
from grading.core.yarn.substitutes import grams_in_place

# Of more choices than these the most is told.
MOST_TOLD = 4


def substitute_lines(source: Source) -> list[str]:
    """As “A in Larkmoss Orrendale: 6 (7, 8) balls”, a line for each choice that changes them.

    Records that keep what the old yarn is called have columns of it instead.
    """
    lines = [
        _line(one, words, balls, source.kept) for one, words, balls in _told(source) if "old_name" not in one
    ]
    return [line for line in lines if line]


def substitute_columns(source: Source) -> list[YarnColumn]:
    """The same as columns beside those of the yarns that are made: “A in Larkmoss Orrendale”, “6 balls”."""
    columns = []
    for one, words, balls in _told(source):
        kept = [balls[at] for at in source.kept]
        if "old_name" in one and any(number > 0 for number in kept):
            head = " ".join(filter(None, [f"{one['colour']} in {one['name']}", words]))
            columns.append(YarnColumn(head, tuple(map(_balls_text, kept)), one["colour"]))
    return columns


def named_as_ended(columns: Sequence[YarnColumn], source: Source) -> list[YarnColumn]:
    """Columns whose heads say of a yarn that is no longer made how it is called, and that it is not."""
    old = {
        one["colour"]: one["old_name"] for one in source.record.get("substitutes", ()) if "old_name" in one
    }
    return [
        replace(one, head=_ended_head(one.head, one.colour, old[one.colour])) if one.colour in old else one
        for one in columns
    ]


def _ended_head(head: str, colour: str, name: str) -> str:
    """A head with the yarn behind its letter.

    >>> _ended_head("Add to A for pockets", "A", "Larkmoss Fen")
    'Add to A in Larkmoss Fen (no longer made) for pockets'
    """
    letter = rf"(?<!\w){re.escape(colour)}(?!\w)"
    return re.sub(letter, lambda found: f"{found[0]} in {name} (no longer made)", head, count=1)


def _told(source: Source) -> Iterator[tuple[Mapping[str, Any], str, list[float]]]:
    """Each yarn to take, the choices that it is told for, and its balls in each size of the pattern."""
    chosen = source.edition.chosen
    needs = [
        one for one in source.record["results"]["yarn"] if dict(chosen).items() <= one["options"].items()
    ]
    pattern = only_chosen(source.facts.pattern, chosen)
    for one in source.record.get("substitutes", ()) if needs else ():
        colour = one["colour"]
        groups = yarn_groups(needs, pattern, [colour])
        told = [(group.label, _balls(group.colours[colour]["weight"], one)) for group in groups]
        if len(told) > MOST_TOLD:
            told = [("at most", [float(most) for most in np.max([balls for _, balls in told], axis=0)])]
        for words, balls in told:
            yield one, words, balls


def _balls_text(number: float) -> str:
    """As “6 balls”; a dash where a size takes none, or it is not known."""
    return f"{print_whole(number)} ball{'' if number == 1 else 's'}" if number > 0 else DASH


def _balls(weights_g: Sequence[float | None], substitute: Mapping[str, Any]) -> list[float]:
    """Balls of the other yarn in each size of the pattern; NaN where the weight is not known."""
    old, new = substitute["old_length_per_100g_m"], substitute["length_per_100g_m"]
    weights = [grams_in_place(np.nan if one is None else one, old, new) for one in weights_g]
    return [float(one) for one in balls_for(np.array(weights, dtype=float), substitute["put_up_g"])]


def _line(substitute: Mapping[str, Any], words: str, balls: Sequence[float], kept: Sequence[int]) -> str:
    """One line; nothing where no kept size takes a ball."""
    known = [balls[at] for at in kept if balls[at] > 0]
    if not known:
        return ""
    texts = [print_whole(one) if one > 0 else None for one in balls]
    of = f", {words}" if words else ""
    noun = "ball" if known == [1.0] * len(kept) else "balls"
    return f"{substitute['colour']} in {substitute['name']}{of}: {number_list(texts, kept)} {noun}"
