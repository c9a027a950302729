"""The sizes of a call with the bodies that they are made for, as a table; the one that fits is marked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from testing.access.lengths import length_in, units_in_words
from testing.asked.bodies import MM_PER_CM, BodyRow, SizeBodies, body_rows
from testing.asked.distances import FARTHEST_CM
from testing.models import TestCall


@dataclass(frozen=True)
class SizeTable:
    """What the table says in some units, for a body as far as it is known."""

    call: TestCall
    bodies: SizeBodies
    units: str
    body_mm: Mapping[str, float] = field(default_factory=dict)

    @property
    def labels(self) -> Sequence[str]:
        """What the columns are called."""
        return list(self.bodies.labels.values())

    @property
    def finished_label(self) -> str:
        """What of the garment is told beside the body; empty where nothing is."""
        return self.bodies.finished_label

    @property
    def units_in_words(self) -> str:
        """The units of the table."""
        return units_in_words(self.units)

    @property
    def rows(self) -> list[BodyRow]:
        """One row per size, the one that fits marked, or the two that the body lies between."""
        away = self._away_cm
        marks = {}
        if away is not None and away <= FARTHEST_CM:
            pair = self.bodies.between(self.body_mm)
            marks = (
                dict.fromkeys(pair, "near you") if pair else {self.bodies.nearest(self.body_mm): "fits you"}
            )
        return body_rows(self.call, self.bodies, units=self.units, marks=marks)

    @property
    def says(self) -> str:
        """Which size fits, in one sentence; empty where nothing was typed yet."""
        away, size = self._away_cm, self.bodies.nearest(self.body_mm)
        if away is None:
            return ""
        apart = self._told_apart(size)
        average = " on average" if len(self.body_mm) > 1 else ""
        if away > FARTHEST_CM:
            return f"No size is near your measurements: the nearest, {size}, is {apart} away{average}."
        if pair := self.bodies.between(self.body_mm):
            far = self._told_apart(pair[1])
            return f"You lie between {size} and {pair[1]}: {size} is {apart} away, {pair[1]} {far}{average}."
        return f"Size {size} is nearest to your measurements: {apart} away{average}."

    def _told_apart(self, size: str) -> str:
        """How far a size is from the body, as whoever subtracts the numbers of the table finds it."""
        return length_in(self.bodies.told_apart_cm(size, self.body_mm, self.units) * MM_PER_CM, self.units)

    @property
    def _away_cm(self) -> float | None:
        """How far the nearest size is from the body; None where nothing can be compared."""
        size = self.bodies.nearest(self.body_mm)
        return self.bodies.distance_cm(size, self.body_mm) if size else None
