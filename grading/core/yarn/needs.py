"""How much yarn each size, option and colour takes."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from grading.core.sheet.json_numbers import json_counts, json_numbers

TOLERANCE = 1e-9
MOST_COMBINATIONS = 256

Numbers = NDArray[np.float64]
Combination = Mapping[str, str]


@dataclass(frozen=True)
class SectionWeight:
    """The yarn of one section: grams per size, and each colour's share of it per size.

    `when` maps an option to the choices under which the section is worked; `fabric` is what it is worked in.
    """

    weight_g: Numbers
    shares: Mapping[str, Numbers]
    when: Mapping[str, Sequence[str]]
    fabric: str = ""


@dataclass(frozen=True)
class Skein:
    """How a yarn is sold: metres in 100 g, grams in one ball; None where not given."""

    length_per_100g_m: float | None
    put_up_g: float | None


@dataclass(frozen=True)
class ColourNeed:
    """What one colour takes, one entry per size, NaN where unknown."""

    weight_g: Numbers
    length_m: Numbers
    balls: Numbers


@dataclass(frozen=True)
class CombinedNeed:
    """What all colours take under one combination of options."""

    options: Combination
    colours: Mapping[str, ColourNeed]

    def as_json(self) -> dict[str, Any]:
        """Return the amounts as JSON."""
        colours = {
            colour: {
                "weight": json_numbers(of.weight_g),
                "length": json_numbers(of.length_m),
                "balls": json_counts(of.balls.tolist()),
            }
            for colour, of in self.colours.items()
        }
        return {"options": dict(self.options), "colours": colours}


def combine_options(choices: Mapping[str, Sequence[str]]) -> tuple[list[dict[str, str]], str | None]:
    """List every combination of the choices of all options.

    Args:
        choices: Choices of each option, in the order of the pattern.

    Returns:
        The combinations, the last option changing fastest, and a problem where there are more than
        256 (then no combinations). Without options there is one empty combination.

    Source: derived.

    >>> combine_options({"sleeves": ["long", "none"]})
    ([{'sleeves': 'long'}, {'sleeves': 'none'}], None)
    """
    count = math.prod(len(of_option) for of_option in choices.values())
    if count > MOST_COMBINATIONS:
        return [], f"The options make {count} combinations; at most {MOST_COMBINATIONS} can be computed."
    return [dict(zip(choices, picked, strict=True)) for picked in product(*choices.values())], None


def applies(when: Mapping[str, Sequence[str]], chosen: Combination) -> bool:
    """Say whether something is made under a combination of options.

    Args:
        when: Choices under which it is made, by option; all options named must agree.
        chosen: One choice for each option.

    Returns:
        True where it is made.

    Source: derived.

    >>> applies({"sleeves": ["long", "short"]}, {"sleeves": "none"})
    False
    """
    return all(chosen.get(option) in allowed for option, allowed in when.items())


def grams_per_stitch_row(weight_g: float, stitches: float, rows: float) -> float:
    """Return the yarn of one stitch of one row.

    Args:
        weight_g: Weight of the swatch.
        stitches: Its stitches, above 0.
        rows: Its rows, above 0.

    Returns:
        Grams per stitch-row; NaN where the swatch has no area.

    Source: common practice (weighed swatch).

    >>> grams_per_stitch_row(12.6, 20, 14)
    0.045
    """
    area = stitches * rows
    return weight_g / area if area > 0 else math.nan


def section_weight_g(worked: Numbers, per_stitch_row_g: float, extra_g: Numbers | float = 0.0) -> Numbers:
    """Return the weight of one section.

    Args:
        worked: Stitch-rows, one per size; NaN where unknown.
        per_stitch_row_g: Yarn of one stitch of one row.
        extra_g: Seams and tails, for all sizes or one per size.

    Returns:
        Grams, one per size.

    Source: common practice.

    >>> section_weight_g(np.array([1000.0]), 0.05, 4.0)
    array([54.])
    """
    return np.asarray(worked, dtype=float) * per_stitch_row_g + extra_g


def yarn_needs(
    sections: Sequence[SectionWeight],
    combinations: Sequence[Combination],
    skeins: Mapping[str, Skein],
    allowance: float,
) -> list[CombinedNeed]:
    """Add up the yarn of all sections for every combination of options.

    Args:
        sections: Weight and colours of each section, arrays over the same sizes, at least one.
        combinations: Choices, one per option.
        skeins: How the yarn of each colour is sold; these are the colours that are counted.
        allowance: Share added to every weight (0.1 = 10 %).

    Returns:
        One entry per combination, in the order given, with every colour: 0 where it is not used,
        NaN where a section that applies is unknown.

    Source: common practice.

    >>> plain = SectionWeight(np.array([91.0]), {"A": np.array([1.0])}, {})
    >>> need = yarn_needs([plain], [{}], {"A": Skein(220, 50)}, 0.1)[0].colours["A"]
    >>> need.weight_g.round(3).tolist(), need.length_m.round(3).tolist(), need.balls.tolist()
    ([100.1], [220.22], [3.0])
    """
    return [
        CombinedNeed(chosen, {colour: _colour_need(colour, sections, chosen, skeins[colour], allowance)
                          for colour in skeins})
        for chosen in combinations
    ]  # fmt: skip


def balls_for(weight_g: Numbers, put_up_g: float | None) -> Numbers:
    """Count the balls that hold a weight of yarn.

    Args:
        weight_g: Weight per size, not rounded.
        put_up_g: Weight of one ball.

    Returns:
        Whole balls, rounded up less 1e-9; NaN where unknown.

    Source: derived.

    >>> balls_for(np.array([800.0, 825.0]), 50).tolist()
    [16.0, 17.0]
    """
    if put_up_g is None or not put_up_g > 0:
        return np.full_like(weight_g, np.nan)
    # a negative weight, from counts that stop the sheet, is shown as it is; + 0.0 makes 0 of −0
    return np.asarray(np.ceil(weight_g / put_up_g - TOLERANCE) + 0.0)


def _colour_need(
    colour: str, sections: Sequence[SectionWeight], chosen: Combination, skein: Skein, allowance: float
) -> ColourNeed:
    """Add up one colour over the sections that apply."""
    total = np.zeros(sections[0].weight_g.shape) if sections else np.zeros(0)
    for section in sections:
        if colour in section.shares and applies(section.when, chosen):
            total = total + section.weight_g * section.shares[colour]
    weight = total * (1 + allowance)
    metres = math.nan if skein.length_per_100g_m is None else skein.length_per_100g_m / 100
    return ColourNeed(weight, weight * metres, balls_for(weight, skein.put_up_g))
