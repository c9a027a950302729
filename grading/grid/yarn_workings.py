"""How the yarn of one size is worked out, part by part."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from grading.core.grade.grade import Graded
from grading.core.pattern.pattern import YarnEntry
from grading.core.sheet.workings import Workings
from grading.core.yarn.grading import YarnWorking, yarn_workings
from grading.core.yarn.needs import SectionWeight, applies
from grading.grid.shown_numbers import NONE, decimal_text, figure, unit_of

# Grams of one stitch of one row are too small to be read: they are shown for so many.
STITCHES = 1000


@dataclass(frozen=True)
class PartWorking:
    """One part in one size, as text: its colours, what is worked, and what that weighs in g."""

    part: str
    colours: str
    worked: str
    each: str
    extra: str
    weight: str
    allowance: str
    total: str


@dataclass(frozen=True)
class BoughtYarn:
    """What a colour weighs in one size with the allowance, and what of it is bought, as text."""

    colour: str
    weight: str
    sold: str
    length: str
    balls: str


@dataclass(frozen=True)
class YarnWorkings:
    """All parts worked with the chosen options, their sum in g, and what that makes of each colour."""

    size: str
    allowance: str
    parts: tuple[PartWorking, ...]
    total: str
    bought: tuple[BoughtYarn, ...]


def yarn_working_table(
    graded: Graded, chosen: Mapping[str, str], size: str, units: str = "cm"
) -> YarnWorkings:
    """How the yarn of a size comes about with these options; of the middle size where it is unknown."""
    sizes = graded.sizes
    place = sizes.index(size) if size in sizes else len(sizes) // 2
    share = graded.pattern.yarn_allowance
    of = Workings(graded.pattern, graded.calculation)
    worked = [(one, way) for one in yarn_workings(of) for way in one.ways if applies(way.when, chosen)]
    total = sum(float(way.weight_g[place]) * (1 + share) for _, way in worked)
    return YarnWorkings(
        sizes[place],
        f"{decimal_text(share * 100, 1)} %",
        tuple(_part(one, way, place, share) for one, way in worked),
        _grams(total),
        tuple(_bought(graded, chosen, place, units)),
    )


def _bought(graded: Graded, chosen: Mapping[str, str], place: int, units: str) -> Iterator[BoughtYarn]:
    """Each colour that is worked with these options: its length and balls by how it is sold."""
    fitting = (
        one for one in graded.yarn if all(chosen.get(k) == choice for k, choice in one.options.items())
    )
    need = next(fitting, None)
    sold = {one.colour: one for one in graded.pattern.yarns}
    for colour, of in need.colours.items() if need else ():
        weight, length, balls = (float(many[place]) for many in (of.weight_g, of.length_m, of.balls))
        if weight != 0:
            yield BoughtYarn(
                colour,
                _grams(weight),
                _sold(sold[colour], units),
                "" if math.isnan(length) else f"{figure(length, 'yarn', units)} {unit_of('yarn', units)}",
                "" if math.isnan(balls) else f"{balls:.0f} ball{'' if balls == 1 else 's'}",
            )


def _sold(yarn: YarnEntry, units: str) -> str:
    """How a yarn is sold, as `50 g = 110 m`; of 100 g where its ball is not known, empty without a length."""
    if yarn.length_per_100g_m is None:
        return "" if yarn.put_up_g is None else f"{_grams(yarn.put_up_g)} g"
    ball = yarn.put_up_g or 100.0
    length = figure(yarn.length_per_100g_m * ball / 100, "yarn", units)
    return f"{_grams(ball)} g = {length} {unit_of('yarn', units)}"


def _part(one: YarnWorking, way: SectionWeight, place: int, share: float) -> PartWorking:
    weight = float(way.weight_g[place])
    return PartWorking(
        part=one.name.replace("_", " "),
        colours=_colours(way, place),
        worked=figure(float(one.worked[place]), "area", "cm"),
        each=NONE if math.isnan(one.each_g) else decimal_text(one.each_g * STITCHES, 2),
        extra=_grams(float(one.extra_g[place])),
        weight=_grams(weight),
        allowance=_grams(weight * share),
        total=_grams(weight * (1 + share)),
    )


def _colours(way: SectionWeight, place: int) -> str:
    """A colour by its letter; of several each with its share."""
    shares = {colour: float(share[place]) for colour, share in way.shares.items()}
    if len(shares) == 1:
        return next(iter(shares))
    return ", ".join(
        colour if math.isnan(share) else f"{colour} {decimal_text(share * 100, 1)} %"
        for colour, share in shares.items()
    )


def _grams(weight_g: float) -> str:
    return figure(weight_g, "weight", "cm")
