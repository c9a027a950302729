"""Filters of the public list: what each is called, what it offers, and which of them leaves nothing."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from catalogue.public.listings import KINDS, options_of, search_listings
from grading.core.yarn.weights import YARN_WEIGHTS

FILTERS = (*KINDS, "words", "girth", "measures")
# What each filter is called, and what it says where nothing is chosen.
FILTER_WORDS = {
    "craft": ("Craft", "any"),
    "garment": ("Garment", "any"),
    "wearer": ("For", "anybody"),
    "level": ("Skill level", "any"),
    "weight": ("Yarn", "any weight"),
    "size": ("Size", "any"),
    "technique": ("Technique", "any"),
    "season": ("Season", "any"),
    "tag": ("Tag", "any"),
}
# Yarn weights as makers say them, each with the number on the label of a ball.
# Source: Craft Yarn Council, Standard Yarn Weight System, types of yarns in a category; from memory.
_SOLD_AS = ("lace", "sock, fingering", "sport", "DK", "worsted, aran", "chunky", "super chunky", "jumbo")
WEIGHT_WORDS = {
    one.name: f"{one.number} · {one.name}" + ("" if sold_as == one.name.casefold() else f" ({sold_as})")
    for one, sold_as in zip(YARN_WEIGHTS, _SOLD_AS, strict=True)
}


@dataclass(frozen=True)
class InTheWay:
    """A filter without which there are patterns: what it is called, what it asks for, the list without it."""

    label: str
    said: str
    query: str


def offered_filters(offered: Mapping[str, Sequence[str]], asked: Mapping[str, str]) -> list[dict[str, Any]]:
    """The filters with their options; one that offers no choice is left out."""
    return [
        {"kind": kind, "label": label, "any": anything, "options": options}
        for kind, (label, anything) in FILTER_WORDS.items()
        if (
            options := options_of(
                list(offered[kind]), asked[kind], WEIGHT_WORDS if kind == "weight" else None
            )
        )
    ]


def in_the_way(asked: Mapping[str, str], body_mark: str) -> Iterator[InTheWay]:
    """Each filter that alone keeps the list empty; a query for each that is used."""
    labels = {
        **{kind: label for kind, (label, _) in FILTER_WORDS.items()},
        "words": "Search",
        "measures": "Body",
    }
    for kind, label in labels.items():
        if not asked[kind]:
            continue
        rest = {name: said for name, said in asked.items() if said and name != kind}
        if search_listings(rest, "" if kind == "measures" else body_mark).exists():
            yield InTheWay(label, _said(kind, asked[kind]), urlencode(rest))


def _said(kind: str, asked: str) -> str:
    """What a filter asks for, as its options say it."""
    return WEIGHT_WORDS.get(asked, asked) if kind == "weight" else asked
