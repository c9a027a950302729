"""What the count audit has noticed: counts that do not come out, and how many rows could be checked."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from grading.core.audit.patterns import Choices, Line
from grading.core.instructions.references import line_and_column
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, Weight

LONGEST_WORDS = 60


@dataclass(frozen=True)
class CountFault:
    """A count that does not come out, in which sizes; lines, sections and steps count from 0."""

    line: int
    section: int
    step: int
    start: int
    words: str
    options: Choices
    sizes: tuple[str, ...]
    says: str

    @property
    def where(self) -> str:
        """Its place as findings name it."""
        return f"sections[{self.section}].steps[{self.step}]"

    @property
    def key(self) -> str:
        """The same for as long as the words, the sizes and the counts stay the same."""
        choices = [f"{name}: {choice}" for name, choice in self.options]
        parts = (self.words, *choices, *self.sizes, self.says)
        return hashlib.sha256("\n".join(parts).encode()).hexdigest()

    @property
    def sentence(self) -> str:
        """What is wrong, and in which row."""
        words = " ".join(self.words.split())
        words = words if len(words) <= LONGEST_WORDS else f"{words[:LONGEST_WORDS].rstrip()} …"
        chosen = "".join(f", {choice}" for _, choice in self.options)
        return f"The count does not come out{chosen}: {self.says}, at “{words}”"


@dataclass(frozen=True)
class UnreadRow:
    """A row that can't be read, and why."""

    section: int
    step: int
    start: int
    words: str
    says: str

    @property
    def sentence(self) -> str:
        """That it can't be read, and which words."""
        return f"This row can’t be read, so its count is not checked: {self.says}"


@dataclass(frozen=True)
class CountFindings:
    """What the audit of a pattern found: faults, unread rows, and how many were checked of how many."""

    faults: tuple[CountFault, ...]
    unread: tuple[UnreadRow, ...]
    checked: int
    total: int

    @property
    def sentence(self) -> str:
        """How many rows were checked."""
        return f"{self.checked} of {self.total} rows checked"


def count_findings(lines: Sequence[Line], sizes: Sequence[str]) -> CountFindings:
    """Gather what the lines of an audit say.

    Args:
        lines: The lines of the audit.
        sizes: The sizes of the pattern.

    Returns:
        One fault for each line and what is wrong with it; what can't be read is counted, never a fault.

    Source: derived.
    """
    faults = tuple(fault for index, line in enumerate(lines) for fault in _faults(index, line, sizes))
    unread = tuple(_unread(line) for line in lines if line.verdict == "unreadable")
    return CountFindings(faults, unread, len(lines) - len(unread), len(lines))


def _unread(line: Line) -> UnreadRow:
    worst = next(one.audited for one in line.sizes if one.audited and one.verdict == "unreadable")
    place = line.start + worst.start
    return UnreadRow(line.section, line.step, place, line.text.strip(), worst.says)


def _faults(index: int, line: Line, sizes: Sequence[str]) -> list[CountFault]:
    found: dict[str, list[str]] = {}
    for size, counted in zip(sizes, line.sizes, strict=True):
        if counted.audited is not None and counted.verdict == "disagrees":
            found.setdefault(counted.audited.says, []).append(size)
    words = line.text.strip()
    return [
        CountFault(index, line.section, line.step, line.start, words, line.options, tuple(of), says)
        for says, of in found.items()
    ]


def as_findings(found: CountFindings, pattern: PatternFile) -> list[Finding]:
    """Faults as findings that stop a release, one for each size; unread rows to be thought about."""
    stops = [
        _finding(pattern, fault.section, fault.step, fault.start, fault.sentence, size)
        for fault in found.faults
        for size in fault.sizes
    ]
    return [
        *stops,
        *(_finding(pattern, one.section, one.step, one.start, one.sentence) for one in found.unread),
    ]


def _finding(
    pattern: PatternFile, section: int, step: int, start: int, says: str, size: str | None = None
) -> Finding:
    weight: Weight = "warn" if size is None else "stop"
    line, column = line_and_column(pattern.sections[section].steps[step], start)
    return Finding(f"sections[{section}].steps[{step}]", size, weight, line, column, says)
