"""What is made in a call, as people see it before they apply: the garment, and its finished sizes."""

from dataclasses import dataclass
from math import isfinite

from catalogue.drawings.faces import Face, face_of
from grading.core.pattern.pattern import ValueEntry
from testing.access.lengths import units_in_words
from testing.asked.bodies import body_number
from testing.asked.figures import Figures


@dataclass(frozen=True)
class Garment:
    """The garment of a call, for somebody who reads these units."""

    figures: Figures
    units: str

    @property
    def face(self) -> Face | None:
        """Its outlines in the middle size: the frame and the paths; None where nothing can be drawn."""
        return face_of(self.figures.graded)

    @property
    def units_in_words(self) -> str:
        """The units of the table."""
        return units_in_words(self.units)

    @property
    def labels(self) -> list[str]:
        """The finished measurements."""
        return [one.label for one in self._measured]

    @property
    def rows(self) -> list[tuple[str, list[str]]]:
        """Each size with its finished measurements, without their unit; empty where a size has none."""
        columns = [self.figures.graded.values[one.name].worked.tolist() for one in self._measured]
        return [
            (size, [body_number(mm, self.units) if isfinite(mm) else "" for mm in lengths])
            for size, *lengths in zip(self.figures.pattern.sizes, *columns, strict=True)
        ]

    @property
    def _measured(self) -> list[ValueEntry]:
        graded = self.figures.graded.values
        return [one for one in self.figures.measurements if graded[one.name].kind == "length"]
