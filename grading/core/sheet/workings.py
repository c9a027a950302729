"""What builds on the sheet's numbers, part by part: results, findings, and the cells that each part used."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimension_checks import require_dimension
from grading.core.formula.dimensions import Dimension
from grading.core.formula.errors import FormulaError
from grading.core.formula.evaluation import Trouble
from grading.core.formula.tree import Formula
from grading.core.pattern.pattern import CountOrName, PatternFile, When, differ
from grading.core.pattern.watched_pattern import differing_parts, watched
from grading.core.sheet.calculation import Calculation, evaluate
from grading.core.sheet.findings import Finding, stop
from grading.core.sheet.names import MOST_SUGGESTIONS
from grading.core.sheet.sheet import cell_of, placed, read_formula

Numbers = NDArray[np.float64]
Result = TypeVar("Result")
Wanted = Mapping[str, tuple[CountOrName | None, Sequence[Dimension]]]
Column = dict[str, float | None]


@dataclass(frozen=True)
class Part:
    """The result of one part of a pattern, what it was made from, and what was noticed.

    `definition` is the entry that it was made from, `read` the parts of the pattern that were read beside it,
    `used` the cells of the sheet. `suggested` counts suggested names before it was made and after.
    """

    definition: object
    read: frozenset[str]
    used: frozenset[int]
    suggested: tuple[int, int]
    result: Any
    findings: tuple[Finding, ...]


class Earlier(Protocol):
    """An earlier state: its pattern and what was built on it."""

    @property
    def pattern(self) -> PatternFile:
        """The pattern."""

    @property
    def parts(self) -> Mapping[str, Part]:
        """Its parts, by their keys."""


class Workings:
    """A sheet worked out, and the parts that are built on it.

    Parts of an earlier state are taken over where nothing that they were made from changed: `pattern` and the
    sheet remember what is read of them, so that this is known of every part without being listed anywhere.
    """

    def __init__(self, pattern: PatternFile, made: Calculation, earlier: "Earlier | None" = None) -> None:
        self._findings: list[Finding] = []
        self._read: set[str] = set()
        self._used: set[int] = set()
        self._whole, self.pattern, self.made = pattern, watched(pattern, self._read), made
        self.names = copy(made.program.names)
        self.parts: dict[str, Part] = {}
        self._earlier = earlier.parts if earlier else {}
        self._differing = differing_parts(earlier.pattern, pattern) if earlier else frozenset()

    @property
    def findings(self) -> list[Finding]:
        """All findings of the parts, in the order in which these were made."""
        return [finding for part in self.parts.values() for finding in part.findings]

    def part(self, key: str, definition: object, make: Callable[[], Result]) -> Result:
        """Return the result of a part, made now or taken over."""
        earlier = self._earlier.get(key)
        if earlier and self._holds(earlier, definition):
            self.names.suggestions += earlier.suggested[1] - earlier.suggested[0]
            self.parts[key] = earlier
        else:
            self.parts[key] = self._make(definition, make)
        made: Result = self.parts[key].result
        return made

    def _make(self, definition: object, make: Callable[[], object]) -> Part:
        """Make a part, watching what it is made from."""
        self._findings = []
        self._read.clear()
        self._used.clear()
        suggested = self.names.suggestions
        result = make()
        read, used = frozenset(self._read), frozenset(self._used)
        return Part(
            definition, read, used, (suggested, self.names.suggestions), result, tuple(self._findings)
        )

    def _holds(self, part: Part, definition: object) -> bool:
        """Return whether a part would be made again just as it was."""
        if differ(part.definition, definition):
            return False
        if part.read & self._differing or part.used & self.made.changed:
            return False
        before, after = part.suggested
        most = max(before, self.names.suggestions) + after - before
        return before in (after, self.names.suggestions) or most <= MOST_SUGGESTIONS

    def pattern_with(self, **instead: object) -> PatternFile:
        """Return the pattern with other parts in place of some; what is read of the others is remembered."""
        return watched(self._whole, self._read, instead)

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


def when_problem(when: When, pattern: PatternFile) -> str | None:
    """Say which option or choice of a `when` does not exist, None where all do."""
    choices = pattern.option_choices()
    for option, wanted in when:
        if option not in choices:
            return f"“when” names “{option[:80]}”, which is no option."
        for choice in wanted:
            if choice not in choices[option]:
                return f"“when” names “{choice[:80]}”, which is no choice of the option “{option}”."
    return None
