"""Which form of a pattern is printed: units, terms, sizes and hand."""

from dataclasses import dataclass
from typing import Literal

Units = Literal["cm", "in", "both"]
Terms = Literal["US", "UK"]
Hand = Literal["right", "left"]


@dataclass(frozen=True)
class PrintForm:
    """One form of a pattern; `sizes` is None for all sizes or the label of one.

    `chosen` are options with the one choice that is printed; of the others all choices are.
    `helps` tells whether the marks of helps are printed.
    """

    units: Units = "cm"
    terms: Terms = "US"
    sizes: str | None = None
    hand: Hand = "right"
    chosen: tuple[tuple[str, str], ...] = ()
    helps: bool = False

    @property
    def inches_first(self) -> bool:
        """Whether inches stand before centimetres where both are printed."""
        return self.units == "in" or (self.units == "both" and self.terms == "US")
