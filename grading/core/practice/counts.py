"""Which numbers of stitches and rows a smaller piece may have: what holds in every size is kept."""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from grading.core.grade.grade import Graded
from grading.core.pattern.pattern import CountOrName, FabricEntry, PatternFile, PickUpEntry, ValueEntry

Numbers = Sequence[float | None]

_FABRIC_OF = re.compile(r"\b([a-z][a-z0-9_]*)\.(?:stitches|rows|multiple|plus)\b")
_NAME = re.compile(r"[a-z][a-z0-9_]*")
DEEPEST = 12  # a line hangs on a fabric by fewer lines than this


@dataclass(frozen=True, order=True)
class CountRule:
    """A count is so many times `multiple` and `plus` more."""

    multiple: int
    plus: int

    def holds(self, count: int) -> bool:
        """Return whether a count keeps it."""
        return count >= self.plus and (count - self.plus) % self.multiple == 0

    @property
    def words(self) -> str:
        """The rule as people say it."""
        if self.multiple == 2:
            return "an odd number" if self.plus % 2 else "an even number"
        return f"a multiple of {self.multiple}" + (f" plus {self.plus}" if self.plus else "")


Rules = tuple[CountRule, ...]


def all_hold(rules: Iterable[CountRule], count: int) -> bool:
    """Return whether a count keeps all rules."""
    return all(rule.holds(count) for rule in rules)


@dataclass(frozen=True)
class Counts:
    """The counts of a graded pattern, and the rules that each keeps."""

    pattern: PatternFile
    graded: Graded

    def numbers(self, count: CountOrName | None) -> tuple[int | None, ...]:
        """Return one whole number per size, None where a size has none.

        Args:
            count: A number for all sizes, or the name of a line, a body measurement or a pick-up.
        """
        if count is None or isinstance(count, int):
            return (count,) * len(self.pattern.sizes)
        found = self.graded.values.get(count)
        row = self.graded.pick_ups.get(count) if found is None else found.worked
        if row is None:
            return (None,) * len(self.pattern.sizes)
        return tuple(round(n) if math.isfinite(n) else None for n in row.tolist())

    def rules(self, count: CountOrName | None) -> Rules:
        """Return what a count keeps: its rounding, its fabric's multiple, and whether it is even or odd."""
        named = () if count is None or isinstance(count, int) else self._rounding(count)
        return _tidy([*named, *parity(self.numbers(count))])

    def rules_of_row(self, row: Numbers) -> Rules:
        """Return what stitches keep that are known by their numbers alone: those of the lines they equal."""
        whole = tuple(None if n is None else round(n) for n in row)
        if all(n is None for n in whole):
            return ()
        same = [one.name for one in self.pattern.values if one.kind == "stitches"]
        named = [rule for name in same if self.numbers(name) == whole for rule in self._rounding(name)]
        return _tidy([*named, *parity(whole)])

    def fabric(self, count: CountOrName | None) -> FabricEntry | None:
        """Return the fabric that a line is counted in: the first that its formulas name."""
        return None if count is None or isinstance(count, int) else self._fabric(count, DEEPEST)

    def _fabric(self, name: str, deepest: int) -> FabricEntry | None:
        formula = next((one.formula for one in self.pattern.values if one.name == name), None)
        if formula is None or not deepest:
            return next((one for one in self.pattern.fabrics if self._is_worked_in(name, one.name)), None)
        fabrics = {one.name: one for one in self.pattern.fabrics}
        named = next((one for one in _FABRIC_OF.findall(formula) if one in fabrics), None)
        if named is not None:
            return fabrics[named]
        lines = {one.name for one in self.pattern.values}
        others = (one for one in _NAME.findall(formula) if one in lines and one != name)
        found = (self._fabric(one, deepest - 1) for one in others)
        return next((one for one in found if one is not None), None)

    def _is_worked_in(self, name: str, fabric: str) -> bool:
        """Return whether a part that is worked in a fabric names a line."""
        parts = self.pattern.yarn_sections
        return any(one.fabric == fabric and name in _NAME.findall(one.worked) for one in parts)

    def _rounding(self, name: str) -> list[CountRule]:
        """Return the multiples that a line is rounded to, those of its fabric and of its stitch patterns."""
        found: list[CountRule] = []
        entries: list[ValueEntry | PickUpEntry] = [*self.pattern.values, *self.pattern.pick_ups]
        rounding = next((one.rounding for one in entries if one.name == name), None)
        fabrics = {one.name: one for one in self.pattern.fabrics}
        if rounding is not None and rounding.fabric in fabrics:
            fabric = fabrics[rounding.fabric]
            found.append(CountRule(fabric.multiple, fabric.plus))
        elif rounding is not None and float(rounding.multiple).is_integer():
            found.append(CountRule(int(rounding.multiple), int(rounding.plus)))
        row = [n for n in self.numbers(name) if n is not None]
        of = self.fabric(name)
        is_stitches = any(one.name == name and one.kind == "stitches" for one in self.pattern.values)
        wider = [CountRule(of.multiple, of.plus)] if of is not None and is_stitches else []
        wider += [
            CountRule(one.multiple, one.plus) for one in self.pattern.stitch_patterns if name in one.over
        ]
        return [*found, *(rule for rule in wider if row and all(rule.holds(n) for n in row))]


def parity(row: Numbers) -> Rules:
    """Return whether counts are even or odd, where they are the same in every size.

    >>> parity([4, 6, None]), parity([4, 5])
    ((CountRule(multiple=2, plus=0),), ())
    """
    found = {round(n) % 2 for n in row if n is not None}
    return (CountRule(2, found.pop()),) if len(found) == 1 else ()


def _tidy(rules: Iterable[CountRule]) -> Rules:
    """Return rules once each, without those that every count keeps or that follow from another."""
    kept = sorted({rule for rule in rules if rule.multiple > 1})
    return tuple(
        rule
        for rule in kept
        if not any(
            other != rule
            and other.multiple % rule.multiple == 0
            and (other.plus - rule.plus) % rule.multiple == 0
            and other.plus >= rule.plus
            for other in kept
        )
    )
