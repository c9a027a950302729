"""Yarns that are not made any more: what to take in their place, and which patterns that touches."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import isnan, nan
from typing import Any

import numpy as np
from django.db.models import TextField
from django.db.models.functions import Cast

from catalogue.drafts.yarn_ends import named_in, named_yarns, yarn_ends
from catalogue.materials.published_yarns import Reach, published_with, reach_of
from catalogue.models import Pattern, PatternYarn, Yarn
from grading.core.printing.edition import Units
from grading.core.printing.numbers import print_ball
from grading.core.yarn.needs import balls_for
from grading.core.yarn.substitutes import FAR_APART, distance, grams_in_place, length_difference
from grading.models import ColourRole, YarnNeed
from grading.sheets.documents import Document

NEAREST, MOST_TOUCHED = 30, 300
SAME = 0.005  # below half a per cent two lengths are the same on any label


@dataclass(frozen=True)
class Touched:
    """A pattern with a yarn that is not made any more: the colour that it plays, and balls before and after.

    Balls are empty where they are not known; `is_chosen` is False where the sheet alone names the yarn, and
    the colour is empty where published versions alone do.
    """

    pattern: Pattern
    colour: str
    balls: str
    instead: str
    is_chosen: bool
    reach: Reach


def nearest_yarns(yarn: Yarn) -> list[Yarn]:
    """The studio's yarns that are still made, those as fine as this one first."""
    known = Yarn.objects.filter(ended_on=None).exclude(pk=yarn.pk)
    length = float(yarn.length_per_100g_m)
    ordered = sorted(known, key=lambda one: (distance(length, float(one.length_per_100g_m)), one.name))
    return ordered[:NEAREST]


def beside(yarn: Yarn, other: Yarn) -> str:
    """Another yarn beside this one, in a few words."""
    share = length_difference(float(yarn.length_per_100g_m), float(other.length_per_100g_m))
    percent = f"{abs(share) * 100:.0f} %"
    fine = "as fine" if abs(share) < SAME else f"{percent} {'longer' if share > 0 else 'shorter'} in 100 g"
    far = "; far from it" if abs(share) > FAR_APART else ""
    fibre = f", {other.fibre}" if other.fibre else ""
    return f"{other.name}{fibre}: {fine}, balls of {other.put_up_g.normalize():f} g{far}"


def ended_words(yarn: Yarn, units: Units = "cm") -> str:
    """What makers are told of a yarn that is not made any more; empty for one that is made today.

    A ball reads as it does beside the amounts; how many of them a size takes follows from the length.
    """
    if not yarn.is_ended:
        return ""
    other = yarn.substitute
    if other is None or other.is_ended:
        return f"{yarn.name} is no longer made. Choose a yarn with the same gauge after a swatch."
    ball = print_ball(float(other.put_up_g), float(other.put_up_g * other.length_per_100g_m) / 100, units)
    weight = f"yarn weight {other.weight_words.lower()}" if other.weight_words else ""
    kind = ", ".join(filter(None, [other.fibre, weight]))
    return (
        f"{yarn.name} is no longer made. Take {other.name} instead{f' ({kind})' if kind else ''}: {ball}. "
        "You need the same length in all. Make a swatch first."
    )


def ended_among(names: Iterable[str]) -> list[Yarn]:
    """The studio's yarns that some texts name and that are no longer made."""
    return [one for one in named_yarns(names) if one.is_ended]


def ended_notes(names: Iterable[str], units: Units = "cm") -> list[str]:
    """What makers are told of the yarns that a version names in its own words."""
    return [note for yarn in named_yarns(names) if (note := ended_words(yarn, units))]


def draft_ended(pattern: Pattern, document: Document) -> dict[str, Any]:
    """What a record keeps of yarns of a draft that are no longer made: what is told, and what to take."""
    ends = [one.yarn for one in yarn_ends(pattern, document)]
    if not ends:
        return {}
    return {
        "ended_names": sorted(yarn.name for yarn in ends),  # what a signature knows them by
        "ended_yarns": [ended_words(yarn) for yarn in ends],
        "substitutes": _substitutes(pattern, document, ends),
    }


def _substitutes(pattern: Pattern, document: Document, ends: Sequence[Yarn]) -> list[dict[str, Any]]:
    """The yarns to take for the colours of a draft whose own is no longer made."""
    chosen = dict(PatternYarn.objects.filter(pattern=pattern).values_list("colour", "yarn"))
    return [
        {
            "colour": colour["colour"],
            "name": yarn.substitute.name,
            "old_name": yarn.name,
            "put_up_g": float(yarn.substitute.put_up_g),
            "length_per_100g_m": float(yarn.substitute.length_per_100g_m),
            "old_length_per_100g_m": float(yarn.length_per_100g_m),
        }
        for yarn in ends
        for colour in document.get("yarns", [])
        if yarn.substitute and not yarn.substitute.is_ended
        if chosen.get(colour["colour"], yarn.pk) == yarn.pk
        if colour["colour"] in chosen or yarn.name in str(colour.get("label", ""))
    ]


def touched_by(yarn: Yarn) -> list[Touched]:
    """The patterns that use a yarn, and those whose sheet or published versions name it; eight queries."""
    chosen = list(
        PatternYarn.objects.filter(yarn=yarn).select_related("pattern").order_by("pattern__title", "colour")
    )[:MOST_TOUCHED]
    known = {(one.pattern.sheet_id, one.colour) for one in chosen}
    uses = [(one.pattern, one.colour, True) for one in chosen]
    made = list(Yarn.objects.all())
    uses += [
        (one, colour, False) for one, colour in _named(yarn, made) if (one.sheet_id, colour) not in known
    ]
    published = published_with(yarn, made)
    drafts = {pattern.pk for pattern, _, _ in uses}
    uses += [(one, "", False) for one in published if one.pk not in drafts]
    uses = uses[:MOST_TOUCHED]
    needs = _needs({pattern.sheet_id for pattern, _, _ in uses})
    reaches = reach_of([pattern for pattern, _, _ in uses], published)
    return [_touched(yarn, use, needs.get((use[0].sheet_id, use[1]), []), reaches) for use in uses]


def _named(yarn: Yarn, made: Sequence[Yarn]) -> list[tuple[Pattern, str]]:
    """Patterns whose sheet names a yarn in the words of a colour."""
    typed = ColourRole.objects.annotate(words=Cast("typed", TextField()))
    found = typed.filter(words__icontains=json.dumps(yarn.name)[1:-1])[:MOST_TOUCHED]
    roles = [one for one in found if yarn in named_in(str(one.typed.get("label", "")), made)]
    patterns = {
        one.sheet_id: one for one in Pattern.objects.filter(sheet__in=[one.sheet_id for one in roles])
    }
    named = [(patterns[one.sheet_id], str(one.typed["colour"])) for one in roles if one.sheet_id in patterns]
    return sorted(named, key=lambda one: (one[0].title.casefold(), one[1]))


def _needs(sheets: set[int]) -> dict[tuple[int, str], list[YarnNeed]]:
    """What the sheets need of each colour, for every choice of options."""
    found: dict[tuple[int, str], list[YarnNeed]] = {}
    for need in YarnNeed.objects.filter(sheet__in=sheets):
        found.setdefault((need.sheet_id, need.colour), []).append(need)
    return found


def _touched(
    yarn: Yarn, use: tuple[Pattern, str, bool], needs: Sequence[YarnNeed], reaches: Mapping[int, Reach]
) -> Touched:
    """One pattern and colour."""
    pattern, colour, is_chosen = use
    weights = [nan if one is None else float(one) for need in needs for one in need.weight_g]
    other = yarn.substitute
    instead = ""
    if other:
        old, new = float(yarn.length_per_100g_m), float(other.length_per_100g_m)
        instead = ball_range([grams_in_place(one, old, new) for one in weights], float(other.put_up_g))
    balls = ball_range(weights, float(yarn.put_up_g))
    return Touched(pattern, colour, balls, instead, is_chosen, reaches[pattern.pk])


def ball_range(weights_g: Sequence[float], put_up_g: float) -> str:
    """The fewest and the most balls of all sizes and choices."""
    balls = [one for one in balls_for(np.array(weights_g, dtype=float), put_up_g) if not isnan(one)]
    if not balls:
        return ""
    least, most = min(balls), max(balls)
    return f"{least:.0f}" if least == most else f"{least:.0f} to {most:.0f}"
