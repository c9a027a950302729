"""The size of a visitor whose measurement came along from the list: which it is, and how it will sit."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import cast

from catalogue.editions.size_choice import SizePair, ease_range, size_pair
from catalogue.editions.sources import Source
from catalogue.public.body_terms import GIRTHS, AskedBody, body_marks, girth_named
from catalogue.public.own_fit import AS_DESIGNED, AskedFit
from catalogue.public.published import public_source
from catalogue.versions.records import Record
from grading.core.pattern.pattern import BodyEntry
from grading.core.printing.measures import length_range
from grading.core.printing.numbers import MM_PER_CM, half_up, print_inches

# How a garment sits by its ease around the chest, in mm from the least on. Common practice, from memory.
FITS = ((150, "very loose"), (100, "loose"), (50, "with some room"), (0, "close"), (-math.inf, "very close"))
# The girths around which one may like a garment closer or looser.
WORN_CLOSER = ("bust", "waist", "hip")
# So far beyond the outermost size, in mm, it is said that there is no other: half a step of sizes.
FAR_MM = 25


@dataclass(frozen=True)
class OwnSize:
    """The size whose body is nearest to the visitor's, and a sentence about it."""

    size: str
    says: str


def own_size(record: Record, body: AskedBody, units: str, fit: AskedFit = AS_DESIGNED) -> OwnSize | None:
    """The size of a pattern for a measurement, as close as it is liked; None where there is none to tell."""
    if not body.mark:
        return None
    source = public_source(record, units)
    pair = size_pair(source.facts, source.edition)
    found = _measured(source, pair, body.girth)
    known = (
        [(abs(mm - body.length_mm), at) for at, mm in enumerate(found.entries) if mm is not None]
        if found
        else []
    )
    if found is None or not known:
        return None
    _, place = min(known)
    size = source.facts.pattern.sizes[place]
    if pair and pair.body == found and math.isfinite(pair.finished_mm[place]):
        return _liked(source, pair, place, body, fit)
    made_for = [cast("float", found.entries[place])]
    fits = length_range(made_for, source.edition, source.facts.pattern.wording)
    return OwnSize(size, f"For a {body.in_words} take size {size}: it fits {fits}.")


def girth_to_fit(record: Record, units: str) -> str:
    """The girth that sizes go by, where one may like them closer or looser; empty without a choice."""
    source = public_source(record, units)
    pair = size_pair(source.facts, source.edition)
    girth = _girth(pair.body) if pair else ""
    made = [mm for mm in pair.finished_mm if math.isfinite(mm)] if pair else []
    return girth if girth in WORN_CLOSER and len(made) > 1 else ""


def _liked(source: Source, pair: SizePair, designed: int, body: AskedBody, fit: AskedFit) -> OwnSize:
    """The size for a body and the fit that is liked, with what it leaves on that body."""
    sizes = source.facts.pattern.sizes
    if fit.ease_mm is not None:
        place = _nearest(pair, body.length_mm + fit.ease_mm)
        far = _beyond(pair, body.length_mm + fit.ease_mm)
        told = f"For a {body.in_words} and {fit.in_words}, size {sizes[place]} comes nearest"
        return OwnSize(sizes[place], f"{told}: {_on_the_body(source, pair, place, body)}.{far}")
    is_made_for = body.mark in body_marks(source.facts.pattern)
    told = f"For a {body.in_words} take size {sizes[designed]}"
    if not is_made_for:
        told = f"No size is made for a {body.in_words}. Size {sizes[designed]} is nearest"
    told += f": {_on_the_body(source, pair, designed, body)}."
    if fit.way in ("closer", "looser"):
        beside = _beside(pair, designed, fit.way)
        if beside is None:
            end = "smaller" if fit.way == "closer" else "larger"
            return OwnSize(sizes[designed], f"{told} No size is {end}.")
        liked = f"Worn {fit.way}, take size {sizes[beside]}: {_on_the_body(source, pair, beside, body)}."
        return OwnSize(sizes[beside], f"{liked} As designed: {told[0].lower()}{told[1:]}")
    return OwnSize(sizes[designed], told + _size_below(source, pair, designed, body))


def _nearest(pair: SizePair, wanted_mm: float) -> int:
    """The place of the finished measurement that is nearest to one that is wanted; of two, the smaller."""
    made = [(abs(mm - wanted_mm), mm, at) for at, mm in enumerate(pair.finished_mm) if math.isfinite(mm)]
    return min(made)[2]


def _beyond(pair: SizePair, wanted_mm: float) -> str:
    """A sentence where what is wanted lies well beyond the outermost size."""
    made_mm = [mm for mm in pair.finished_mm if math.isfinite(mm)]
    if wanted_mm > max(made_mm) + FAR_MM:
        return " No size is larger."
    return " No size is smaller." if wanted_mm < min(made_mm) - FAR_MM else ""


def _beside(pair: SizePair, place: int, way: str) -> int | None:
    """The next smaller garment for “closer”, the next larger one for “looser”; None past the last."""
    turned = 1 if way == "looser" else -1
    made = [(turned * (mm - pair.finished_mm[place]), at) for at, mm in enumerate(pair.finished_mm)]
    return min(((apart, at) for apart, at in made if apart > 0), default=(0, None))[1]


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


def _size_below(source: Source, pair: SizePair, place: int, body: AskedBody) -> str:
    """The next smaller garment, for who likes a close fit; nothing for the smallest."""
    below = _beside(pair, place, "closer")
    if below is None:
        return ""
    size = source.facts.pattern.sizes[below]
    return f" One size smaller, {size}: {_on_the_body(source, pair, below, body)}."


def _how_it_sits(ease_mm: float, girth: str) -> str:
    """How a garment around bust, waist or hip sits by its ease; nothing for other girths."""
    if girth not in WORN_CLOSER:
        return ""
    return ": " + next(words for least, words in FITS if round(ease_mm) >= least)


def fit_marks(record: Record) -> Iterator[str]:
    """What the list says of each size by: girth, body and finished measurement in mm, “-” where unknown."""
    source = public_source(record, "cm")
    pair = size_pair(source.facts, source.edition)
    for girth in GIRTHS:
        entry = _measured(source, pair, girth)
        for place, mm in enumerate(entry.entries if entry else ()):
            if mm is not None and math.isfinite(mm):
                made_mm = pair.finished_mm[place] if pair and pair.body == entry else math.nan
                made = f"{made_mm:.1f}" if math.isfinite(made_mm) else "-"
                yield f"fits {girth} {mm:.1f} {made} {source.facts.pattern.sizes[place]}"


def size_of_marks(marks: Iterable[str], body: AskedBody) -> str:
    """The size for a body in a few words, of the marks of one pattern for its girth; empty without one."""
    read = (mark.split(" ", 4)[2:] for mark in marks)
    known = [(abs(float(mm) - body.length_mm), float(mm), made, size) for mm, made, size in read]
    if not known:
        return ""
    _, _, made, size = min(known)
    if made == "-":
        return f"Size {size} is nearest to your measurement"
    made_mm = float(made)
    words = (
        f"{print_inches(made_mm)} in" if body.units == "in" else f"{half_up(made_mm / MM_PER_CM, 0.5):g} cm"
    )
    return f"Size {size}: {words} finished"


def _measured(source: Source, pair: SizePair | None, girth: str) -> BodyEntry | None:
    """The body measurement of a pattern around a girth: the one that its size is chosen by, if any."""
    entries = [*([pair.body] if pair else []), *source.facts.pattern.body]
    return next((one for one in entries if _girth(one) == girth), None)


def _girth(entry: BodyEntry) -> str:
    """Which girth a body measurement is."""
    return girth_named(entry.name) or girth_named(entry.label.casefold().replace(" ", "_"))
