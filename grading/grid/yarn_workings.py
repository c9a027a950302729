"""How the yarn of one size is worked out, part by part."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from grading.core.grade.grade import Graded
from grading.core.sheet.workings import Workings
from grading.core.yarn.grading import YarnWorking, yarn_workings
from grading.core.yarn.needs import SectionWeight, applies
from grading.grid.shown_numbers import NONE, decimal_text, figure

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
class YarnWorkings:
    """All parts that are worked with the chosen options, and their sum in g."""

    size: str
    allowance: str
    parts: tuple[PartWorking, ...]
    total: str


def yarn_working_table(graded: Graded, chosen: Mapping[str, str], size: str) -> YarnWorkings:
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
    )


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
