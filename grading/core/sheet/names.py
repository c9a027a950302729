"""The names of a sheet: what each stands for, its dimension, and where its numbers are kept."""

from collections.abc import Iterable
from difflib import get_close_matches
from typing import NamedTuple

from grading.core.formula.dimensions import (
    KINDS,
    LENGTH,
    PLAIN,
    ROWS_PER_LENGTH,
    STITCH,
    STITCHES_PER_LENGTH,
    Dimension,
)
from grading.core.pattern.pattern import PatternFile

# Looking for the nearest of many names takes time; a file with more unknown ones is wrong throughout.
MOST_SUGGESTIONS = 50
FABRIC_DIMENSIONS = {
    "stitches": STITCHES_PER_LENGTH,
    "rows": ROWS_PER_LENGTH,
    "multiple": STITCH,
    "plus": STITCH,
}


class Symbol(NamedTuple):
    """A name usable in formulas: which cell holds its numbers, and its dimension."""

    cell: int
    dimension: Dimension


class Names:
    """All names of a pattern. Cells are numbered: constants first, then one for each line of the sheet."""

    def __init__(self, pattern: PatternFile) -> None:
        self.symbols: dict[str, Symbol] = {}
        self.hints = _hints(pattern)
        self.suggestions = 0
        self.sizes = pattern.sizes
        for measurement in pattern.body:
            self._add(measurement.name, LENGTH)
        for fabric in pattern.fabrics:
            for part, dimension in FABRIC_DIMENSIONS.items():
                self._add(f"{fabric.name}.{part}", dimension)
        self._add("size_number", PLAIN)
        self.constants = len(self.symbols)
        for value in pattern.values:
            self._add(value.name, KINDS[value.kind])
        for pick_up in pattern.pick_ups:
            self._add(pick_up.name, STITCH)
        for curve in pattern.curves:
            if curve.fabric is not None:
                self._add(f"{curve.name}.length", LENGTH)

    def same_as(self, other: "Names") -> bool:
        """Return whether every name stands for the same, and no other name is known."""
        return (self.symbols, self.hints) == (other.symbols, other.hints)

    def _add(self, name: str, dimension: Dimension) -> None:
        """Give a name the next cell."""
        self.symbols[name] = Symbol(len(self.symbols), dimension)

    def problem(self, name: str, own: str = "") -> str | None:
        """Say why a name cannot be used as a number, or None where it can.

        Args:
            name: As written in a formula or entry, such as "bust" or "main.stitches".
            own: The line that it is written in, which can't be meant.

        Returns:
            One sentence, with the nearest known name for an unknown one.

        Source: derived.
        """
        if name in self.symbols:
            return None
        owner, _, part = name.partition(".")
        if part == "length" and self.hints.get(owner, ("", ""))[0] == "a curve":
            return f"The curve “{owner}” names no fabric, so it has no length."
        if not part and owner in self.hints:
            what, hint = self.hints[owner]
            return f"“{owner}” is {what}, not a number{hint}."
        if at := self._size_meant(name):
            first, here = self.sizes[0], self.sizes[at - 1]
            return (
                f"“{name}” can’t be asked in a formula. Write size_number: it is 1 in {first} and {at} in "
                f"{here}, so “if size_number >= {at}” means from {here} up."
            )
        nearest = self.nearest(name, (one for one in self.symbols if one != own))
        return f"There is no line called “{name[:80]}”.{nearest}"

    def _size_meant(self, name: str) -> int:
        """Return the number of the size that a name is, of the last for “size” itself; 0 for any other."""
        labels = [size.casefold() for size in self.sizes]
        plain = name.casefold()
        if plain in ("size", "sizes"):
            return len(labels)
        return labels.index(plain) + 1 if plain in labels else 0

    def nearest(self, name: str, known: Iterable[str]) -> str:
        """Return the nearest known name as the end of a sentence, "" where none is near."""
        self.suggestions += 1
        if self.suggestions > MOST_SUGGESTIONS:
            return ""
        found = get_close_matches(name.lower()[:80], list(known), n=1, cutoff=0.5)
        return f" Did you mean “{found[0]}”?" if found else ""


def _hints(pattern: PatternFile) -> dict[str, tuple[str, str]]:
    """Return, for names that stand for no number, what they stand for and what to write."""
    hints = {
        fabric.name: ("a fabric", f"; write {fabric.name}.stitches or {fabric.name}.rows")
        for fabric in pattern.fabrics
    }
    hints |= {
        curve.name: ("a curve", f"; write {curve.name}.length" if curve.fabric else "")
        for curve in pattern.curves
    }
    hints |= {shaping.name: ("a shaping", "") for shaping in pattern.shapings}
    hints |= {spread.name: ("a spread", "") for spread in pattern.spreads}
    return hints | {stripes.name: ("a stripe sequence", "") for stripes in pattern.stripes}
