"""The size of a visitor whose measurement came along from the list: which it is, and how it will sit."""

import math
from dataclasses import dataclass, replace
from typing import cast

from catalogue.editions.size_choice import SizePair, ease_range, size_pair
from catalogue.editions.sources import Source
from catalogue.public.body_terms import AskedBody, girth_named
from catalogue.public.published import public_source
from catalogue.versions.records import Record
from grading.core.pattern.pattern import BodyEntry
from grading.core.printing.measures import length_range

# How a garment sits by its ease around the chest, in mm from the least on. Common practice, from memory.
FITS = ((150, "very loose"), (100, "loose"), (50, "with some room"), (0, "close"), (-math.inf, "very close"))


@dataclass(frozen=True)
class OwnSize:
    """The size whose body is nearest to the visitor's, and a sentence about it."""

    size: str
    says: str


def own_size(record: Record, body: AskedBody, units: str) -> OwnSize | None:
    """The size of a pattern for a measurement; None where none came along or the pattern does not have it."""
    if not body.mark:
        return None
    source = public_source(record, units)
    pair = size_pair(source.facts, source.edition)
    entries = [pair.body] if pair else []
    found = next((one for one in [*entries, *source.facts.pattern.body] if _girth(one) == body.girth), None)
    known = (
        [(abs(mm - body.length_mm), at) for at, mm in enumerate(found.entries) if mm is not None]
        if found
        else []
    )
    if found is None or not known:
        return None
    _, place = min(known)
    size = source.facts.pattern.sizes[place]
    says = f"For a {body.in_words} take size {size}"
    if pair and pair.body == found and math.isfinite(pair.finished_mm[place]):
        return OwnSize(size, f"{says}: {_on_the_body(source, pair, place, body)}.")
    made_for = [cast("float", found.entries[place])]
    return OwnSize(
        size, f"{says}: it fits {length_range(made_for, source.edition, source.facts.pattern.wording)}."
    )


def _on_the_body(source: Source, pair: SizePair, place: int, body: AskedBody) -> str:
    """How large the garment is beside this very body, as both are printed, and how it will sit there."""
    edition, wording = source.edition, source.facts.pattern.wording
    unit = "in" if edition.inches_first else "cm"
    own = replace(pair, body_mm=(body.length_mm,) * len(pair.body_mm), unit=unit)
    ease_mm = own.ease_mm[place]
    if round(ease_mm):
        apart = ease_range(own, [place], edition, wording, 1 if ease_mm > 0 else -1)
        beside = f"{apart} {'more' if ease_mm > 0 else 'less'} than yours"
    else:
        beside = "as much as yours"
    return (
        f"{length_range([own.finished_mm[place]], edition, wording)} finished, {beside}"
        f"{_how_it_sits(ease_mm, body.girth)}"
    )


def _how_it_sits(ease_mm: float, girth: str) -> str:
    """How a garment around bust, waist or hip sits by its ease; nothing for other girths."""
    if girth not in ("bust", "waist", "hip"):
        return ""
    return ": " + next(words for least, words in FITS if round(ease_mm) >= least)


def _girth(entry: BodyEntry) -> str:
    """Which girth a body measurement is."""
    return girth_named(entry.name) or girth_named(entry.label.casefold().replace(" ", "_"))
