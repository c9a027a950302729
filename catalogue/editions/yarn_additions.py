"""What a choice adds to a colour: one true difference, in grams and, converted from these, in metres."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor

from grading.core.pattern.pattern import YarnEntry
from grading.core.printing.edition import PrintForm
from grading.core.printing.numbers import DASH, GRAMS_PER_OUNCE, METRES_PER_YARD, print_ounces, print_whole

ALIKE = 1e-6
GRAMS_STEP, OUNCES_STEP = 5.0, 0.25
SHORT_BY = 0.005  # amounts of yarn are estimates: a two-hundredth is nothing beside their allowance

Row = Sequence[float | None]
Amount = Mapping[str, Row]


@dataclass(frozen=True)
class Weighed:
    """An amount of yarn as it is told: grams rounded up once, and everything else converted from them."""

    grams: float
    metres: float | None

    def words(self, edition: PrintForm) -> str:
        """As 25 g · 55 m in the units of an edition."""
        ounces = max(OUNCES_STEP, floor(self.grams / GRAMS_PER_OUNCE / OUNCES_STEP + 0.5) * OUNCES_STEP)
        told = [(f"{self.grams:.0f} g", f"{print_ounces(ounces * GRAMS_PER_OUNCE)} oz")]
        if self.metres is not None:
            metres = ceil(self.metres - ALIKE)
            told.append((f"{metres} m", f"{floor(metres / METRES_PER_YARD + 0.5)} yd"))
        return " · ".join(in_units(metric, imperial, edition) for metric, imperial in told)


def in_units(metric: str, imperial: str, edition: PrintForm) -> str:
    """An amount in the units of an edition; of two the edition's own stands first."""
    if edition.units == "both":
        own, other = edition.in_order((metric, imperial))
        return f"{own} ({other})"
    return imperial if edition.units == "in" else metric


def added_texts(
    before: Amount, after: Amount, yarn: YarnEntry | None, edition: PrintForm, kept: Sequence[int]
) -> tuple[str, ...]:
    """What a colour takes more in each kept size, from the true weights; nothing where none takes more.

    Where the weight of a ball and its length are known, the metres are those of the grams that are told.
    """
    texts = tuple(_added(before, after, at, yarn, edition) for at in kept)
    return texts if set(texts) != {DASH} else ()


def _added(before: Amount, after: Amount, at: int, yarn: YarnEntry | None, edition: PrintForm) -> str:
    """What one size takes more."""
    small, large = before["weight"][at], after["weight"][at]
    if small is None or large is None or large - small <= ALIKE:
        return DASH
    grams = ceil((large - small) / GRAMS_STEP - ALIKE) * GRAMS_STEP
    per_100g = yarn.length_per_100g_m if yarn else None
    return Weighed(grams, per_100g and grams * per_100g / 100).words(edition)


def length_within(length_m: float, step_m: float, held_m: float | None) -> float:
    """Metres to buy, up to the next step; never more than the balls beside them hold.

    A ball of 105 m is enough for 101 m, though the next ten are 110. Where the step below falls short by
    less than amounts of yarn can be known, it is told.
    """
    metres = ceil(length_m / step_m - 1e-9) * step_m
    if held_m is None or metres <= held_m + ALIKE:
        return metres
    below = floor(held_m / step_m + 1e-9) * step_m
    return below if below >= length_m * (1 - SHORT_BY) else max(held_m, length_m)


def lengths_to_buy(
    length_m: float, *, weight_g: float | None, balls: float | None, put_up_g: float | None
) -> tuple[str, str]:
    """A length to buy in metres and in yards, within what its balls hold: the same wherever it is told.

    >>> lengths_to_buy(1643.686, weight_g=747.13, balls=15, put_up_g=50)  # 15 balls of 110 m are 1650 m
    ('1650 m', '1800 yd')
    """
    held_m = _held_m(length_m, weight_g, balls, put_up_g)
    metres, yards = (length_within(length_m, 10 * per, held_m) / per for per in (1.0, METRES_PER_YARD))
    return f"{print_whole(metres)} m", f"{print_whole(yards)} yd"


def metres_to_buy(
    length_m: float, *, weight_g: float | None, balls: float | None, put_up_g: float | None
) -> float:
    """A length to buy in metres, as `lengths_to_buy` tells it.

    >>> metres_to_buy(1643.686, weight_g=747.13, balls=15, put_up_g=50)
    1650.0
    """
    return length_within(length_m, 10.0, _held_m(length_m, weight_g, balls, put_up_g))


def _held_m(
    length_m: float, weight_g: float | None, balls: float | None, put_up_g: float | None
) -> float | None:
    """Metres that balls of such a yarn hold; None where that is not known."""
    return balls * put_up_g * length_m / weight_g if balls and put_up_g and weight_g else None


def ounces_within(weight_g: float, balls: float | None, put_up_g: float | None) -> float:
    """Ounces to buy of so many grams, up to the next quarter; never more than the balls beside them hold.

    A ball of 50 g is sold as 1¾ oz: 15 of them are 26¼ oz, though their 750 g are 26½.
    """
    ounces = ceil(weight_g / GRAMS_PER_OUNCE / OUNCES_STEP - 1e-9) * OUNCES_STEP
    if balls is None or not put_up_g:
        return ounces
    ball = floor(put_up_g / GRAMS_PER_OUNCE / OUNCES_STEP + 0.5) * OUNCES_STEP
    return min(ounces, balls * ball)
