"""Yarn weight categories, 0 (lace) to 7 (jumbo), by the stitches that a yarn gives in 4 inches."""

import math
from dataclasses import dataclass

Range = tuple[float | None, float | None]


@dataclass(frozen=True)
class YarnWeight:
    """A category: stitches in 4 in (10.16 cm), thickness of tools in mm; None where a range is open."""

    number: int
    name: str
    crochet_stitches: Range
    knit_stitches: Range
    hook_mm: Range
    needle_mm: Range


# Craft Yarn Council, Standard Yarn Weight System (8 categories), from two reprints of 2018 and later. Crochet
# gauges are in single crochet (US), those of lace in double crochet; knitting gauges in stocking stitch.
YARN_WEIGHTS = (
    YarnWeight(0, "Lace", (32, 42), (33, 40), (1.5, 2.25), (1.5, 2.25)),
    YarnWeight(1, "Super Fine", (21, 32), (27, 32), (2.25, 3.5), (2.25, 3.25)),
    YarnWeight(2, "Fine", (16, 20), (23, 26), (3.5, 4.5), (3.25, 3.75)),
    YarnWeight(3, "Light", (12, 17), (21, 24), (4.5, 5.5), (3.75, 4.5)),
    YarnWeight(4, "Medium", (11, 14), (16, 20), (5.5, 6.5), (4.5, 5.5)),
    YarnWeight(5, "Bulky", (8, 11), (12, 15), (6.5, 9), (5.5, 8)),
    YarnWeight(6, "Super Bulky", (6, 9), (7, 11), (9, 16), (8, 12.75)),
    YarnWeight(7, "Jumbo", (None, 5), (None, 6), (16, None), (12.75, None)),
)


def yarn_weights_of(stitches_in_4_in: float, craft: str) -> tuple[YarnWeight, ...]:
    """Return the categories that a gauge fits: the ranges overlap, so there may be several.

    Args:
        stitches_in_4_in: Stitches in 4 in of single crochet or stocking stitch, above 0; taken as whole.
        craft: "knitting", else crochet.

    Returns:
        All categories whose range holds the gauge, finest first; none where it is finer than lace.

    Source: Craft Yarn Council, Standard Yarn Weight System, from reprints.

    >>> [one.name for one in yarn_weights_of(17, "crochet")]
    ['Fine', 'Light']
    """
    stitches = math.floor(stitches_in_4_in + 0.5)
    return tuple(
        one
        for one in YARN_WEIGHTS
        if _holds(one.knit_stitches if craft == "knitting" else one.crochet_stitches, stitches)
    )


def _holds(ends: Range, number: float) -> bool:
    """Return whether a number lies in a range, ends included."""
    least, most = ends
    return (least is None or number >= least) and (most is None or number <= most)
