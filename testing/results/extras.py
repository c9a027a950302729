"""What a tester can tell beyond what the call asks for: offered, never counted as missing."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite

from django.urls import reverse

from testing.asked.figures import Figures
from testing.models import Placement
from testing.results.progress import Progress, Thing, entries_sent


@dataclass(frozen=True)
class CountAsked:
    """A count of the pattern: its name, its label and what the tester's size works."""

    name: str
    label: str
    asks: int


def extras_of(placement: Placement, figures: Figures) -> Progress:
    """The questions about the finished garment, in the order in which they are asked."""
    sent = {(entry.part, entry.name) for entry in entries_sent(placement)}
    parts = {part for part, _ in sent}

    def url(name: str, *more: str) -> str:
        return reverse(name, args=[placement.pk, *more])

    things = [
        Thing(
            f"{figures.gauge_word.capitalize()} in the garment: {fabric.label}",
            url("making_garment_gauge", fabric.name),
            ("garment_gauge", fabric.name) in sent,
        )
        for fabric in figures.fabrics
    ]
    return Progress(things + _pages(figures, parts, url))


def _pages(figures: Figures, parts: set[str], url: Callable[[str], str]) -> list[Thing]:
    """The questions that have one page for all."""
    asked = [
        ("Counts you changed", "making_worked", "worked", True),
        ("Measurements that you altered", "making_altered", "altered", bool(figures.measurements)),
        ("Options that you chose", "making_options", "option", bool(figures.pattern.options)),
        ("Your own yarn", "making_metres", "metres", bool(figures.yarns)),
        ("How it fits", "making_fit", "fit", True),
        ("Hook or needle", "making_tool", "tool", True),
        ("What we may use your photos for", "making_photo_uses", "photo_use", True),
    ]
    return [Thing(label, url(name), part in parts) for label, name, part, applies in asked if applies]


def counts_asked(figures: Figures, size: str) -> Sequence[CountAsked]:
    """The counts that a size works, by their labels, in the order of the pattern."""
    labels = {value.name: value.label for value in figures.pattern.values}
    place = figures.size_place(size)
    counts = {name: float(numbers[place]) for name, numbers in figures.ground().counts.items()}
    return [
        CountAsked(name, labels.get(name) or f"Picked up: {name.replace('_', ' ')}", round(number))
        for name, number in counts.items()
        if isfinite(number)
    ]
