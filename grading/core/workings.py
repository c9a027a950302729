"""What builds on the sheet's numbers, part by part: results, findings, and the cells that each part used."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from grading.core.calculation import Calculation, evaluate
from grading.core.dimensions import Dimension
from grading.core.errors import FormulaError
from grading.core.evaluation import Trouble
from grading.core.findings import Finding, stop
from grading.core.formula_dimensions import require_dimension
from grading.core.formula_tree import Formula
from grading.core.pattern import CountOrName, Pattern, When, differ
from grading.core.sheet import cell_of, placed, read_formula

Numbers = NDArray[np.float64]
Result = TypeVar("Result")
Wanted = Mapping[str, tuple[CountOrName | None, Sequence[Dimension]]]
Column = dict[str, float | None]


@dataclass(frozen=True)
class Part:
    """The result of one part of a pattern, what it was made from, and what was noticed."""

    definition: object
    used: frozenset[int]
    result: Any
    findings: tuple[Finding, ...]


class Workings:
    """A sheet worked out, and the parts that are built on it.

    Parts of an earlier state are taken over where neither their definition nor a number they used changed.
    """

    def __init__(
        self, pattern: Pattern, made: Calculation, earlier: Mapping[str, Part] | None = None
    ) -> None:
        self.pattern, self.made = pattern, made
        self.names = made.program.names
        self.parts: dict[str, Part] = {}
        self._earlier = earlier or {}
        self._findings: list[Finding] = []
        self._used: set[int] = set()

    @property
    def findings(self) -> list[Finding]:
        """All findings of the parts, in the order in which these were made."""
        return [finding for part in self.parts.values() for finding in part.findings]

    def part(self, key: str, definition: object, make: Callable[[], Result]) -> Result:
        """Return the result of a part, made now or taken over."""
        earlier = self._earlier.get(key)
        if earlier and not differ(earlier.definition, definition) and not earlier.used & self.made.changed:
            self.parts[key] = earlier
        else:
            self._findings, self._used = [], set()
            result = make()
            self.parts[key] = Part(definition, frozenset(self._used), result, tuple(self._findings))
        made: Result = self.parts[key].result
        return made

    def add(self, *findings: Finding) -> None:
        """Keep findings of the part that is being made."""
        self._findings.extend(findings)

    def use(self, cells: Iterable[int]) -> None:
        """Remember cells that the part being made hangs on."""
        self._used.update(cells)

    def formula(self, text: str) -> tuple[Formula, tuple[int, ...], tuple[Dimension, ...]]:
        """Return a formula with the cells and the dimensions of its names."""
        formula, needs = read_formula(text, self.names)
        self.use(needs)
        return formula, needs, tuple(self.names.symbols[name].dimension for name in formula.names)

    def number(self, text: str, dimension: Dimension, noun: str, where: str) -> Numbers:
        """Return what a formula gives for each size, NaN with findings where it cannot be worked out."""
        try:
            formula, needs, dimensions = self.formula(text)
            require_dimension(formula, dimensions, dimension, noun)
        except FormulaError as error:
            self.add(placed(where, error))
            return np.full(self.made.program.sizes, np.nan)
        numbers, troubles = evaluate(self.made, formula, needs)
        self.report(where, troubles)
        return numbers

    def report(self, where: str, troubles: Sequence[Trouble]) -> None:
        """Turn troubles into findings, size by size."""
        for trouble in troubles:
            for size in np.flatnonzero(trouble.sizes).tolist():
                label = self.pattern.sizes[size]
                self.add(Finding(where, label, "stop", trouble.line, trouble.column, trouble.says))

    def counts(self, entry: CountOrName, allowed: Sequence[Dimension], what: str) -> Numbers:
        """Return the worked numbers of an entry that is a number or a name.

        Raises:
            FormulaError: The name is unknown or has another dimension.
        """
        cell = cell_of(entry, self.names, allowed, what)
        if isinstance(cell, int):
            self.use((cell,))
        return self.made.worked(cell)

    def columns(self, where: str, wanted: Wanted) -> list[Column] | None:
        """Return for each size the numbers of several entries; None, with a finding, where one is wrong."""
        found: dict[str, Numbers] = {}
        for key, (entry, allowed) in wanted.items():
            if entry is None:
                continue
            try:
                found[key] = self.counts(entry, allowed, key)
            except FormulaError as error:
                self.add(stop(where, error.says))
                return None
        sizes = range(self.made.program.sizes)
        return [{key: known(numbers[size]) for key, numbers in found.items()} for size in sizes]

    def when_is_known(self, when: When, where: str) -> bool:
        """Report an option or choice that does not exist; return whether all do."""
        problem = when_problem(when, self.pattern)
        if problem:
            self.add(stop(where, problem))
        return problem is None


def known(number: float) -> float | None:
    """Return a number, None for null."""
    return None if np.isnan(number) else float(number)


def when_problem(when: When, pattern: Pattern) -> str | None:
    """Say which option or choice of a `when` does not exist, None where all do."""
    choices = pattern.option_choices()
    for option, wanted in when:
        if option not in choices:
            return f"“when” names “{option[:80]}”, which is no option."
        for choice in wanted:
            if choice not in choices[option]:
                return f"“when” names “{choice[:80]}”, which is no choice of the option “{option}”."
    return None
