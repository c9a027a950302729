"""Which size to choose: the body measurement and the finished one that go together, and the ease between."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite, nan
from typing import Literal

from grading.core.instructions.facts import Facts
from grading.core.pattern.girths import GIRTHS, girth_pair, names_girth
from grading.core.pattern.pattern import BodyEntry, ValueEntry
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import length_range
from grading.core.printing.numbers import MM_PER_CM, MM_PER_INCH, half_up

# A garment this much smaller than the body, in mm, is worn stretched.
SAME_MM = 1.0


@dataclass(frozen=True)
class SizePair:
    """A body measurement and the finished measurement that is worn over it."""

    body: BodyEntry
    finished: ValueEntry
    body_mm: tuple[float, ...]
    finished_mm: tuple[float, ...]
    unit: str = ""

    @property
    def ease_mm(self) -> tuple[float, ...]:
        """Finished minus body, one a size, NaN where one of them is unknown.

        It is the difference of the two as they are printed in `unit`; up to the second wording, of the exact.
        """
        return self.ease_in(self.unit)

    def ease_in(self, unit: str) -> tuple[float, ...]:
        """The ease as it follows from what is printed in a unit; the exact one without a unit."""
        body_mm, finished_mm = (
            [_as_printed(mm, unit) for mm in row] for row in (self.body_mm, self.finished_mm)
        )
        return tuple(finished - body for body, finished in zip(body_mm, finished_mm, strict=True))


def size_pair(facts: Facts, edition: PrintForm) -> SizePair | None:
    """What a size is chosen by: the pair that the pattern compares, else girths of the same name."""
    pattern = facts.pattern
    if (girths := girth_pair(pattern)) is None:
        return None
    body, value = girths
    finished = facts.row(value.name)
    return SizePair(
        body,
        value,
        tuple(nan if number is None else float(number) for number in body.entries),
        tuple(nan if number is None else float(number) for number in finished),
        _first_unit(edition) if pattern.wording > WIDE_WORDING else "",
    )


def choosing_words(pair: SizePair, facts: Facts, edition: PrintForm, kept: Sequence[int]) -> str:
    """How to choose a size by body and ease, in a few sentences; for one size, what it is made for."""
    body = facts.plain(pair.body.label, edition).lower()
    finished = facts.plain(pair.finished.label, edition).lower()
    ease = ease_range(pair, kept, edition, facts.pattern.wording)
    if facts.pattern.wording > WIDE_WORDING and min(_known(pair, kept), default=0.0) < -SAME_MM:
        return _closer_words(pair, (body, finished), (facts, edition, kept))
    if _is_of_one(facts, edition, kept):
        around = length_range([pair.body_mm[place] for place in kept], edition, facts.pattern.wording)
        if facts.pattern.wording > WIDE_WORDING:
            return f"This size fits a {body} of {around}, with {ease} of ease."
        return f"This size is made for: {body} {around}. Its ease there is {ease}."
    is_old = facts.pattern.wording <= WIDE_WORDING
    told = f", {ease} in this garment" if is_old else f" of this garment, {ease}"
    return (
        f"Take your own measurement ({body}) and add the ease{told}. Choose the size whose "
        f"finished measurement ({finished}) is nearest to the sum. Between two sizes, the smaller one fits "
        "closer and the larger one looser."
    )


def _is_of_one(facts: Facts, edition: PrintForm, kept: Sequence[int]) -> bool:
    """Whether there is one size, which nobody chooses; up to the second wording one that somebody chose."""
    return edition.sizes is not None or (facts.pattern.wording > WIDE_WORDING and len(kept) == 1)


def _closer_words(pair: SizePair, labels: tuple[str, str], of: tuple[Facts, PrintForm, Sequence[int]]) -> str:
    """How to choose where a size is smaller than the body: how much less it is, without a sign."""
    (body, finished), (facts, edition, kept) = labels, of
    wording, eases = facts.pattern.wording, _known(pair, kept)
    if _is_of_one(facts, edition, kept):
        around = length_range([pair.body_mm[place] for place in kept], edition, wording)
        less = ease_range(pair, kept, edition, wording, -1)
        return f"This size fits a {body} of {around}. It measures {less} less, and stretches to fit."
    if max(eases) < -SAME_MM:
        apart = f"{ease_range(pair, kept, edition, wording, -1)} less than"
    else:
        at = {pair.ease_mm[place]: place for place in kept}
        apart = f"up to {ease_range(pair, [at[min(eases)]], edition, wording, -1)} less"
        more = ease_range(pair, [at[max(eases)]], edition, wording)
        apart += f" or up to {more} more than" if max(eases) > SAME_MM else " than"
    return (
        f"Take your own measurement ({body}). Choose the size whose finished measurement ({finished}) is "
        f"{apart} yours. Between two sizes, the smaller one fits closer and the larger one looser."
    )


def _known(pair: SizePair, kept: Sequence[int]) -> list[float]:
    """The ease of each size kept, in mm, where it is known."""
    return [pair.ease_mm[place] for place in kept if isfinite(pair.ease_mm[place])]


def ease_words(pair: SizePair, edition: PrintForm, kept: Sequence[int], wording: int) -> str:
    """The ease of the sizes kept in a few words; where none is larger than the body, how much less it is.

    The body is called by the girth that is measured: a hat is smaller than the head.
    """
    known = _known(pair, kept)
    if wording > WIDE_WORDING and known and max(known) < -SAME_MM:
        girth = f"{pair.body.name} {pair.body.label}"
        called = next(
            (word for words, _ in GIRTHS[1:] for word in words if names_girth(girth, [word])), "body"
        )
        return f"{ease_range(pair, kept, edition, wording, -1)} less than the {called}"
    return ease_range(pair, kept, edition, wording)


def ease_range(
    pair: SizePair, kept: Sequence[int], edition: PrintForm, wording: int, turned: Literal[1, -1] = 1
) -> str:
    """The ease (-1: how much smaller) of the sizes kept, in each unit as it follows from what is printed."""
    if not pair.unit or edition.units != "both":
        return length_range([turned * pair.ease_mm[place] for place in kept], edition, wording)
    told = [
        length_range([turned * pair.ease_in(unit)[place] for place in kept], one, wording)
        for unit, one in edition.in_order([(unit, replace(edition, units=unit)) for unit in ("cm", "in")])
    ]
    return f"{told[0]} ({told[1]})" if len({"–", *told}) > 1 else told[0]


def _as_printed(length_mm: float, unit: str) -> float:
    """A length in mm as printed: centimetres to the half, inches to the quarter; exact without a unit."""
    if not unit or not isfinite(length_mm):
        return length_mm
    return half_up(length_mm, MM_PER_INCH / 4 if unit == "in" else MM_PER_CM / 2)


def _first_unit(edition: PrintForm) -> str:
    """The unit that stands first in an edition."""
    return "in" if edition.inches_first else "cm"
