"""Which form of a pattern is printed: units, terms, sizes and hand."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

Units = Literal["cm", "in", "both"]
Terms = Literal["US", "UK"]
Hand = Literal["right", "left"]
Measure = TypeVar("Measure")


@dataclass(frozen=True)
class PrintForm:
    """One form of a pattern; `sizes` is None for all sizes or the label of one.

    `group` are the sizes of the group that alone is printed, in size order; none for no group.
    `chosen` are options with the one choice that is printed; of the others all choices are.
    `helps` tells whether the marks of helps are printed.
    """

    units: Units = "cm"
    terms: Terms = "US"
    sizes: str | None = None
    hand: Hand = "right"
    chosen: tuple[tuple[str, str], ...] = ()
    helps: bool = False
    group: tuple[str, ...] = ()

    @property
    def only(self) -> tuple[str, ...] | None:
        """The sizes that are printed, in size order; None for all of them."""
        return self.group or None if self.sizes is None else (self.sizes,)

    @property
    def inches_first(self) -> bool:
        """Whether inches stand before centimetres where both are printed."""
        return self.units == "in" or (self.units == "both" and self.terms == "US")

    def in_order(self, metric_first: Sequence[Measure]) -> Sequence[Measure]:
        """Put measures in both systems of units in the order of this form.

        Args:
            metric_first: One measure, or the metric and the imperial one.

        Returns:
            The same; the imperial one first where inches stand first.
        """
        return metric_first[::-1] if self.inches_first else metric_first
