"""How many balls of the yarn to take in place of one that is no longer made, size by size."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from catalogue.editions.chosen import only_chosen
from catalogue.editions.sources import Source
from catalogue.editions.yarn_tables import yarn_groups
from grading.core.printing.numbers import number_list, print_whole
from grading.core.yarn.needs import balls_for
from grading.core.yarn.substitutes import grams_in_place

# Of more choices than these the most is told.
MOST_TOLD = 4


def substitute_lines(source: Source) -> list[str]:
    """As “A in Larkmoss Orrendale: 6 (7, 8) balls”, a line for each choice that changes them."""
    chosen = source.edition.chosen
    needs = [
        one for one in source.record["results"]["yarn"] if dict(chosen).items() <= one["options"].items()
    ]
    if not needs:
        return []
    pattern = only_chosen(source.facts.pattern, chosen)
    lines = []
    for one in source.record.get("substitutes", ()):
        colour = one["colour"]
        groups = yarn_groups(needs, pattern, [colour])
        told = [(group.label, _balls(group.colours[colour]["weight"], one)) for group in groups]
        if len(told) > MOST_TOLD:
            told = [("at most", [float(most) for most in np.max([balls for _, balls in told], axis=0)])]
        lines += [_line(one, words, balls, source.kept) for words, balls in told]
    return [line for line in lines if line]


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
