"""Which fabric rows are worked in, as the sheet tells, and how long rows of several fabrics are."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from grading.core.formula.formula import parse_formula
from grading.core.formula.tree import Expression, Name, Operation
from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import CountOrName, PatternFile, ValueEntry

DEEPEST = 12  # a value hangs on a fabric by fewer values than this


@dataclass(frozen=True)
class Stretch:
    """Rows up to `end`, counted from the beginning of a piece, in one fabric; None where it is not told."""

    end: int
    fabric: str | None


class RowFabrics:
    """The fabric of each name of a pattern that stands for rows.

    A value of rows is of the fabric by whose `rows` it is multiplied, or of that of the values it is made
    of, or of the one whose `rows` a length divides it by; a shaping is of the fabric of its rows.
    """

    def __init__(self, pattern: PatternFile) -> None:
        self.pattern = pattern
        self.values = {one.name: one for one in pattern.values if one.kind == "rows"}
        self.labels = {
            one.name: re.compile(rf"(?<!the )\b{re.escape(one.label)}(?!\w)", re.IGNORECASE)
            for one in pattern.fabrics
        }
        self.measured = _measured_by(pattern)
        self.over: dict[str, CountOrName] = {one.name: one.over for one in pattern.shapings}
        self.curves = {one.name: one.fabric for one in pattern.curves}

    def of(self, name: CountOrName | None) -> str | None:
        """The fabric of a value, a shaping or a curve; None where the sheet does not tell."""
        if not isinstance(name, str):
            return None
        name = re.sub(r"(?:[+-]\d+|/2)$", "", name)
        if name in self.over:
            return self.of(self.over[name])
        found = {self.curves[name] or ""} - {""} if name in self.curves else self._of_value(name, DEEPEST)
        return next(iter(found)) if len(found) == 1 else None

    def in_words(self, text: str) -> str | None:
        """The one fabric of the rows that a sentence names, or that it calls by its label."""
        names = [piece.name for piece in parse_references(text).pieces if isinstance(piece, Reference)]
        found = {fabric for fabric in map(self.of, names) if fabric is not None}
        if not found:
            found = {name for name, label in self.labels.items() if label.search(text)}
        return found.pop() if len(found) == 1 else None

    def _of_value(self, name: str, deepest: int) -> set[str]:
        """The fabrics of a value: several where it is made of rows of each."""
        value = self.values.get(name)
        if value is None or not deepest:
            return set()
        named, others = _in_formula(value)
        made_of = {fabric for one in others if one != name for fabric in self._of_value(one, deepest - 1)}
        return named or made_of or self.measured.get(name, set())


def add_rows(stretches: tuple[Stretch, ...], rows: int | None, fabric: str | None) -> tuple[Stretch, ...]:
    """The rows of a piece when it has so many: more are of `fabric`, fewer are cut off; None forgets all.

    >>> add_rows((Stretch(9, "hem"),), 20, "main")
    (Stretch(end=9, fabric='hem'), Stretch(end=20, fabric='main'))
    """
    if rows is None:
        return ()
    kept = tuple(replace(one, end=min(one.end, rows)) for one, begun in _begun(stretches) if begun < rows)
    return kept if kept and kept[-1].end == rows else (*kept, Stretch(rows, fabric))


def all_in(stretches: tuple[Stretch, ...], fabric: str) -> tuple[Stretch, ...]:
    """The same rows where all of them are said to be of one fabric: those not told before are of it."""
    return tuple(replace(one, fabric=one.fabric or fabric) for one in stretches)


def length_of(stretches: tuple[Stretch, ...], pattern: PatternFile, apart: int = 0) -> float | None:
    """How long the rows are in mm, each at the gauge of its fabric, those not told at that of the first.

    `apart` rows more were worked before those that are counted, in the fabric of the first of these.
    """
    per_mm = {one.name: one.rows_per_mm for one in pattern.fabrics}
    if not per_mm:
        return None
    first = next(iter(per_mm.values()))
    before = first if not stretches or stretches[0].fabric is None else per_mm[stretches[0].fabric]
    return apart / before + sum(
        (one.end - begun) / (first if one.fabric is None else per_mm[one.fabric])
        for one, begun in _begun(stretches)
    )


def _begun(stretches: tuple[Stretch, ...]) -> Iterator[tuple[Stretch, int]]:
    """Each stretch with the rows before it."""
    return zip(stretches, (0, *(one.end for one in stretches)), strict=False)


def _in_formula(value: ValueEntry) -> tuple[set[str], set[str]]:
    """The fabrics whose rows a formula multiplies by, and the other names that no fabric divides."""
    if value.formula is None:
        return set(), set()
    found = [name for name, divides in _names(parse_formula(value.formula).tree) if not divides]
    fabrics = {name.removesuffix(".rows") for name in found if name.endswith(".rows")}
    return fabrics, {name for name in found if "." not in name}


def _names(part: Expression, *, divides: bool = False) -> Iterator[tuple[str, bool]]:
    """The names of a formula, each with whether it stands under a line or is measured by what does."""
    if isinstance(part, Name):
        yield part.name, divides
    elif isinstance(part, Operation) and part.sign == "/":
        over, under = part.arguments
        is_measured = any(name.endswith(".rows") for name, _ in _names(under))
        yield from _names(over, divides=divides or is_measured)
        yield from _names(under, divides=True)
    elif isinstance(part, Operation):
        for argument in part.arguments:
            yield from _names(argument, divides=divides)


def _measured_by(pattern: PatternFile) -> dict[str, set[str]]:
    """By value: the fabrics whose rows its rows are divided by, to be a length."""
    found: dict[str, set[str]] = {}
    for value in pattern.values:
        parts: list[Expression] = [] if value.formula is None else [parse_formula(value.formula).tree]
        while parts:
            part = parts.pop()
            if not isinstance(part, Operation):
                continue
            parts += part.arguments
            if part.sign == "/" and isinstance(part.arguments[1], Name):
                fabric, _, what = part.arguments[1].name.partition(".")
                for name, divides in _names(part.arguments[0]) if what == "rows" else ():
                    if not divides:
                        found.setdefault(name, set()).add(fabric)
    return found
