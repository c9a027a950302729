"""The fabric of the edge along which stitches are picked up, as the formula of its count tells."""

from collections.abc import Mapping

from grading.core.formula.errors import FormulaError
from grading.core.formula.formula import parse_formula
from grading.core.formula.tree import Expression, Name, Operation
from grading.core.pattern.pattern import FabricEntry, PatternFile, PickUpEntry, ValueEntry


def fabric_along(
    pattern: PatternFile, pick_up: PickUpEntry, fabrics: Mapping[str, FabricEntry]
) -> FabricEntry | None:
    """Return the fabric whose rows or stitches a pick-up is counted in.

    Args:
        pattern: The pattern.
        pick_up: One of its pick-ups.
        fabrics: Its fabrics by name.

    Returns:
        The fabric; None where there are several, or where rows are typed of which nobody says what they are.
        Lines that only make up a length tell nothing of it.

    Source: derived.
    """
    kind = "rows" if pick_up.along == "row ends" else "stitches"
    found = _Edge(kind, {one.name: one for one in pattern.values}).of_name(str(pick_up.count), ())
    return fabrics.get(next(iter(found)) or "") if len(found) == 1 else None


class _Edge:
    """What rows or stitches are of; None among them where that is not said."""

    def __init__(self, kind: str, values: Mapping[str, ValueEntry]) -> None:
        self.kind, self.values = kind, values

    def of_name(self, name: str, above: tuple[str, ...]) -> set[str | None]:
        """The fabrics of a value, or of the gauge of a fabric."""
        fabric, _, part = name.partition(".")
        if part:
            return {fabric} if part == self.kind else set()
        value = self.values.get(name)
        if value is None or value.kind != self.kind or name in above:
            return set()
        if value.formula is None:
            return {value.rounding.fabric if value.rounding else None}
        try:
            return self._of(parse_formula(value.formula).tree, (*above, name))
        except FormulaError:
            return {None}

    def _of(self, part: Expression, above: tuple[str, ...]) -> set[str | None]:
        """The fabrics of a part of a formula; what is divided by a gauge is a length, and of none."""
        if isinstance(part, Name):
            return self.of_name(part.name, above)
        if not isinstance(part, Operation):
            return set()
        if part.sign == "/" and self._has_gauge(part.arguments[1]):
            return set()
        if part.sign == "-":
            whole, less = (self._of(one, above) for one in part.arguments)
            return whole if None in whole else (whole - less or whole)
        return {fabric for one in part.arguments for fabric in self._of(one, above)}

    def _has_gauge(self, part: Expression) -> bool:
        if isinstance(part, Name):
            return "." in part.name
        return isinstance(part, Operation) and any(map(self._has_gauge, part.arguments))
