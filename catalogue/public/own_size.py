"""The size of a visitor whose measurement came along from the list: which it is, and how it will sit."""

import math
from dataclasses import dataclass
from typing import cast

from catalogue.editions.size_choice import SizePair, length_range, size_pair
from catalogue.public.body_terms import AskedBody, girth_named
from catalogue.public.published import public_source
from catalogue.versions.records import Record
from grading.core.pattern.pattern import BodyEntry

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
    wording = source.facts.pattern.wording
    made_for = length_range([cast("float", found.entries[place])], source.edition, wording)
    says = f"For a {body.in_words} take size {size}: it fits {made_for}"
    if pair and pair.body == found and math.isfinite(pair.ease_mm[place]):
        ease = length_range([pair.ease_mm[place]], source.edition, wording)
        return OwnSize(size, f"{says}, with {ease} of ease{_how_it_sits(pair, body, place)}.")
    return OwnSize(size, f"{says}.")


def _how_it_sits(pair: SizePair, body: AskedBody, place: int) -> str:
    """How a garment around bust, waist or hip sits by its ease; nothing for other girths."""
    if body.girth not in ("bust", "waist", "hip"):
        return ""
    return ": " + next(words for least, words in FITS if pair.ease_mm[place] >= least)


def _girth(entry: BodyEntry) -> str:
    """Which girth a body measurement is."""
    return girth_named(entry.name) or girth_named(entry.label.casefold().replace(" ", "_"))
