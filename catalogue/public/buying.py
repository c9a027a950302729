"""What a maker buys for one size and one choice of options, from the frozen record; and their stripes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, cast

from django.http import QueryDict

from catalogue.editions.booklet import stripe_block
from catalogue.public.published import public_source
from catalogue.versions.records import Record
from grading.core.pattern.pattern import PatternFile, YarnEntry
from grading.core.printing.edition import Units
from grading.core.printing.numbers import (
    DASH,
    print_ball,
    print_grams_to_buy,
    print_metres_to_buy,
    print_whole,
    print_yards_to_buy,
)
from grading.core.yarn.colour import parse_shade

NO_SHADE = "#8a7a5c"  # stands in a box until a shade is chosen


@dataclass(frozen=True)
class AskedToBuy:
    """What a maker asks for: a size, one choice for each option, a shade for each colour that has one."""

    size: str
    options: Mapping[str, str]
    shades: Mapping[str, str]


@dataclass(frozen=True)
class ColourToBuy:
    """What one colour takes; None where the record does not know."""

    colour: str
    label: str
    srgb: str
    balls: float | None
    weight_g: float | None
    length_m: float | None
    ball_words: str
    weight_words: str
    length_words: str


def read_asked(record: Record, core: PatternFile, query: QueryDict) -> AskedToBuy:
    """Read what is asked for; what is not said, or is not there, is the first size and the usual choice."""
    sizes = record["results"]["sizes"]
    size = query.get("size", "")
    options = {}
    for option in core.options:
        said = query.get(f"option_{option.name}", "")
        options[option.name] = said if said in option.choices else option.default
    return AskedToBuy(size if size in sizes else sizes[0], options, _shades(record, core, query))


def what_to_buy(record: Record, core: PatternFile, asked: AskedToBuy, units: str) -> list[ColourToBuy]:
    """Balls, weight and length of each colour that is used."""
    place = record["results"]["sizes"].index(asked.size)
    labels = {yarn.colour: _ball_words(yarn, units) for yarn in core.yarns}
    needs: list[dict[str, Any]] = record["results"]["yarn"]
    need: dict[str, Any] = next(
        (one["colours"] for one in needs if one["options"] == dict(asked.options)), {}
    )
    return [
        _to_buy(colour, labels.get(colour, ""), asked.shades.get(colour, ""), amounts, place, units)
        for colour, amounts in need.items()
        if amounts["weight"][place] is None or amounts["weight"][place] > 0
    ]


def shade_boxes(
    record: Record, core: PatternFile, asked: AskedToBuy, to_buy: Sequence[ColourToBuy]
) -> list[tuple[YarnEntry, str]]:
    """The colours to choose own shades for: those that are used, where there is something to see in them."""
    used = {one.colour for one in to_buy} or {yarn.colour for yarn in core.yarns}
    if len(used) < 2 and not record["pattern"].get("stripes"):
        return []
    return [(yarn, asked.shades.get(yarn.colour, NO_SHADE)) for yarn in core.yarns if yarn.colour in used]


def stripes_in_shades(record: Record, asked: AskedToBuy, units: str) -> dict[str, Any]:
    """The stripes of one size in the maker's shades; nothing for a pattern without stripes."""
    if not record["pattern"].get("stripes"):
        return {"stripes": None, "stripe_sheets": []}
    shown = {
        **record,
        "shades": {
            colour: {"yarn": "Your yarn", "shade": srgb, "srgb": srgb}
            for colour, srgb in asked.shades.items()
        },
    }
    source = public_source(shown, units, size=asked.size)
    return stripe_block(source)


def _ball_words(yarn: YarnEntry, units: str) -> str:
    """A yarn and what one ball of it is."""
    if not (yarn.put_up_g and yarn.length_per_100g_m):
        return yarn.label
    ball_m = yarn.put_up_g * yarn.length_per_100g_m / 100
    return f"{yarn.label}; {print_ball(yarn.put_up_g, ball_m, cast('Units', units))}"


def _to_buy(
    colour: str,
    label: str,
    srgb: str,
    amounts: Mapping[str, Sequence[float | None]],
    place: int,
    units: str,
) -> ColourToBuy:
    """One colour, with its amounts in words."""
    balls, weight, length = (amounts[kind][place] for kind in ("balls", "weight", "length"))
    metres = f"{print_metres_to_buy(length)} m" if length is not None else DASH
    yards = f"{print_yards_to_buy(length)} yd" if length is not None else DASH
    in_words = {"cm": metres, "in": yards, "both": f"{metres} ({yards})" if length is not None else DASH}
    return ColourToBuy(
        colour,
        label,
        srgb,
        balls,
        weight,
        length,
        print_whole(balls) if balls is not None else DASH,
        f"{print_grams_to_buy(weight)} g" if weight is not None else DASH,
        in_words[units],
    )


def _shades(record: Record, core: PatternFile, query: QueryDict) -> dict[str, str]:
    """The maker's shade of each colour, else the designer's; one that can't be read is left out."""
    found = {}
    for yarn in core.yarns:
        own = record["shades"].get(yarn.colour, {}).get("srgb", "")
        said = query.get(f"shade_{yarn.colour}", own).lower()
        if said and parse_shade(said) is not None:
            found[yarn.colour] = said
    return found
