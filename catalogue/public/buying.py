"""What a maker buys for one size and one choice of options, from the frozen record; and their stripes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np
from django.http import QueryDict
from django.template.defaultfilters import pluralize

from catalogue.editions.sized_parts import stripe_block
from catalogue.editions.substitutes import substitute_lines
from catalogue.editions.yarn_additions import lengths_to_buy, metres_to_buy, ounces_within
from catalogue.editions.yarn_amounts import told_put_up_g
from catalogue.materials.ended_yarns import ended_among, ended_words
from catalogue.materials.published_yarns import yarn_names
from catalogue.models import Yarn
from catalogue.public.published import public_source
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import Record
from grading.core.pattern.pattern import PatternFile, YarnEntry
from grading.core.printing.edition import Units
from grading.core.printing.numbers import (
    DASH,
    GRAMS_PER_OUNCE,
    half_up,
    print_ball,
    print_grams_to_buy,
    print_ounces,
    print_whole,
)
from grading.core.yarn.colour import parse_shade
from grading.core.yarn.needs import balls_for
from grading.core.yarn.substitutes import grams_in_place

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

    @property
    def amounts(self) -> str:
        """What to buy, in words: “14 balls, 700 g, 1470 m”."""
        return f"{self.ball_words} ball{pluralize(self.balls or 0)}, {self.weight_words}, {self.length_words}"


@dataclass(frozen=True)
class _Sold:
    """A yarn as it is sold: its name with its ball, and what a ball weighs, None where that is not known."""

    words: str
    put_up_g: float | None


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
    sold = {
        yarn.colour: _Sold(_ball_words(yarn, units), told_put_up_g(core, yarn.colour)) for yarn in core.yarns
    }
    needs: list[dict[str, Any]] = record["results"]["yarn"]
    need: dict[str, Any] = next(
        (one["colours"] for one in needs if one["options"] == dict(asked.options)), {}
    )
    return [
        _to_buy(
            colour, sold.get(colour, _Sold("", None)), asked.shades.get(colour, ""), amounts, place, units
        )
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
    sold: _Sold,
    srgb: str,
    amounts: Mapping[str, Sequence[float | None]],
    place: int,
    units: str,
) -> ColourToBuy:
    """One colour, with its amounts in words."""
    balls, weight, length = (amounts[kind][place] for kind in ("balls", "weight", "length"))
    metres, yards = DASH, DASH
    if length is not None:
        metres, yards = lengths_to_buy(length, weight_g=weight, balls=balls, put_up_g=sold.put_up_g)
    in_words = {"cm": metres, "in": yards, "both": f"{metres} ({yards})" if length is not None else DASH}
    return ColourToBuy(
        colour,
        sold.words,
        srgb,
        balls,
        weight,
        length,
        print_whole(balls) if balls is not None else DASH,
        _weight_words(weight, balls, sold.put_up_g, units),
        in_words[units],
    )


def _weight_words(weight_g: float | None, balls: float | None, put_up_g: float | None, units: str) -> str:
    """A weight to buy as the PDF prints it, and with inches as ounces first."""
    if weight_g is None:
        return DASH
    grams = f"{print_grams_to_buy(weight_g)} g"
    ounces = f"{print_ounces(ounces_within(weight_g, balls, put_up_g) * GRAMS_PER_OUNCE)} oz"
    return {"cm": grams, "in": f"{ounces} ({grams})", "both": f"{grams} ({ounces})"}[units]


def with_substitutes(
    to_buy: Sequence[ColourToBuy], core: PatternFile, record: Record, units: str
) -> list[ColourToBuy]:
    """What to buy, with a row for the yarn to take in place of one that is no longer made."""
    ended = ended_among(yarn_names(record))
    found = []
    for one in to_buy:
        found.append(one)
        names = [yarn.label for yarn in core.yarns if yarn.colour == one.colour]
        names.append(str(record["shades"].get(one.colour, {}).get("yarn", "")))
        yarn = next((yarn for yarn in ended if any(yarn.name in name for name in names)), None)
        if yarn and yarn.substitute and not yarn.substitute.is_ended and one.weight_g is not None:
            found.append(_instead(one, yarn, yarn.substitute, units))
    return found


def yarns_instead(record: Record, asked: AskedToBuy, units: str) -> list[ColourToBuy]:
    """What a size takes of the yarns to take in place of those that are no longer made."""
    core = record_pattern(record)
    bought = what_to_buy(record, core, asked, units)
    return [one for one in with_substitutes(bought, core, record, units) if one not in bought]


def ended_parts(record: Record, units: str) -> dict[str, list[str]]:
    """What makers are told of yarns that are no longer made, and how many balls of the others they take."""
    ended = ended_among(yarn_names(record))
    taken = [
        {
            "colour": yarn["colour"],
            "name": one.substitute.name,
            "put_up_g": float(one.substitute.put_up_g),
            "length_per_100g_m": float(one.substitute.length_per_100g_m),
            "old_length_per_100g_m": float(one.length_per_100g_m),
        }
        for one in ended
        if one.substitute and not one.substitute.is_ended
        for yarn in record["pattern"].get("yarns", [])
        if one.name in f"{yarn['label']}\n{record['shades'].get(yarn['colour'], {}).get('yarn', '')}"
    ]
    source = public_source({**record, "substitutes": taken}, units) if taken else None
    return {
        "ended_yarns": [ended_words(one, cast("Units", units)) for one in ended],
        "instead": substitute_lines(source) if source else [],
    }


def _instead(one: ColourToBuy, yarn: Yarn, other: Yarn, units: str) -> ColourToBuy:
    """A colour in another yarn of the same length as it is told, so that its weight comes out by hand."""
    put_up_g, new_m = float(other.put_up_g), float(other.length_per_100g_m)
    ball_m = put_up_g * new_m / 100
    weight_g = grams_in_place(one.weight_g or 0, float(yarn.length_per_100g_m), new_m)
    balls = float(balls_for(np.array([weight_g]), put_up_g)[0])
    if one.length_m is not None:
        told_m = metres_to_buy(
            one.length_m, weight_g=one.weight_g, balls=one.balls, put_up_g=float(yarn.put_up_g)
        )
        weight_g = min(told_m / half_up(ball_m, 1.0), balls) * put_up_g
    ball = print_ball(put_up_g, ball_m, cast("Units", units))
    amounts: dict[str, list[float | None]] = {
        "balls": [balls],
        "weight": [weight_g],
        "length": [one.length_m],
    }
    sold = _Sold(f"instead: {other.name}; {ball}", put_up_g)
    instead = _to_buy(one.colour, sold, one.srgb, amounts, 0, units)
    return replace(instead, length_words=one.length_words)


def _shades(record: Record, core: PatternFile, query: QueryDict) -> dict[str, str]:
    """The maker's shade of each colour, else the designer's; one that can't be read is left out."""
    found = {}
    for yarn in core.yarns:
        own = record["shades"].get(yarn.colour, {}).get("srgb", "")
        said = query.get(f"shade_{yarn.colour}", own).lower()
        if said and parse_shade(said) is not None:
            found[yarn.colour] = said
    return found
