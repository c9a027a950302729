"""Numbers that a size lacks where something is printed for it: a body measurement or an entry of a list."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from grading.core.instructions.blocks import sizes_kept
from grading.core.instructions.facts import kinds_of
from grading.core.instructions.references import Reference, parse_references
from grading.core.instructions.steps import passages_of
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.calculation import Calculation
from grading.core.sheet.findings import Finding, stop

# What steps print: where it stands in words, the names that its numbers hang on, and for which sizes.
PrintedNames = list[tuple[str, tuple[str, ...], tuple[int, ...]]]


@dataclass(frozen=True, slots=True)
class _Use:
    """Where a number is needed, in words: a step, or else a finished measurement."""

    words: str
    is_step: bool


def printed_names(pattern: PatternFile) -> PrintedNames:
    """Return which names the steps print numbers of.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Returns:
        By passage of a step: “Back, step 2”, the names of values, body measurements and pick-ups, and the
        sizes (from 0) that the passage is printed for.
    """
    kinds, behind = kinds_of(pattern), _behind(pattern)
    found: PrintedNames = []
    for section in pattern.sections:
        for j, step in enumerate(section.steps):
            for passage in passages_of(step, pattern).passages:
                pieces = parse_references(passage.text).pieces
                named = [one for one in pieces if isinstance(one, Reference) and one.name in kinds]
                used = [name for one in named for name in (one.name, *_second(one))]
                names = tuple(dict.fromkeys(each for name in used for each in behind.get(name, (name,))))
                places = sizes_kept(passage.conditions, len(pattern.sizes))
                found += [(f"{section.title}, step {j + 1}", names, places)] if names else []
    return found


def _second(reference: Reference) -> tuple[str, ...]:
    """Return the other shaping of two that run at once."""
    return reference.extra if reference.form == "with" else ()


def _behind(pattern: PatternFile) -> dict[str, tuple[str, ...]]:
    """Return the names that the numbers of shapings, spreads, curves and stripes hang on."""
    entries = {
        **{one.name: (one.start, one.end, one.over, one.each, one.first, one.plain_end)
           for one in pattern.shapings},
        **{one.name: (one.change, one.within) for one in pattern.spreads},
        **{one.name: (one.width, one.depth) for one in pattern.curves},
        **{one.name: (one.start,) for one in pattern.stripes},
    }  # fmt: skip
    return {name: tuple(one for one in of if isinstance(one, str)) for name, of in entries.items()}


def missing_number_findings(
    pattern: PatternFile, made: Calculation, printed: PrintedNames
) -> Iterator[Finding]:
    """Find numbers that are missing in a size where something printed needs them.

    Args:
        pattern: The pattern.
        made: Its sheet worked out.
        printed: What its steps print, as `printed_names` returns it.

    Yields:
        A finding (stop) at the body measurement, or at the value whose list has no entry, for each size. What
        is printed for other sizes only needs none; that a list has none for a size may be said to be right.

    Source: common practice: a dash in a list means that a size has nothing to do there.
    """
    if not _has_gaps(pattern):
        return
    body = {one.name for one in pattern.body}
    by_root: dict[str, dict[int, dict[_Use, None]]] = {}
    for use, root, size in _lacking(pattern, made, printed):
        # A table of finished measurements may have a dash of its own; one for want of a body is a gap.
        if root in body or use.is_step:
            by_root.setdefault(root, {}).setdefault(size, {})[use] = None
    for root, uses in by_root.items():
        part, ends = (
            ("body", "enter it.") if root in body else ("values", "enter it, or say why there is none.")
        )
        for size in sorted(uses):
            says = f"There is no number, and {_listed(list(uses[size]))}: {ends}"
            yield stop(f"{part}.{root}", says, pattern.sizes[size])


def _lacking(
    pattern: PatternFile, made: Calculation, printed: PrintedNames
) -> Iterator[tuple[_Use, str, int]]:
    """Return where something printed has no number, what is missing under it, and the size."""
    symbols, gaps = made.program.names.symbols, _Gaps(pattern, made)
    everywhere = tuple(range(len(pattern.sizes)))
    needed = [(_Use(place, is_step=True), names, places) for place, names, places in printed]
    measured = (one for one in pattern.values if one.measured)
    needed += [(_Use(one.label, is_step=False), (one.name,), everywhere) for one in measured]
    for use, names, places in needed:
        cells = [symbols[name].cell for name in names if name in symbols]
        for size in places:
            for root in dict.fromkeys(root for cell in cells for root in gaps.under(cell, size)):
                yield use, root, size


def _has_gaps(pattern: PatternFile) -> bool:
    """Whether any body measurement or list lacks a number."""
    lists = (value.entries for value in pattern.values if value.entries is not None)
    return any(None in entries for entries in (*(one.entries for one in pattern.body), *lists))


class _Gaps:
    """What is missing under each cell of a sheet, asked size by size."""

    def __init__(self, pattern: PatternFile, made: Calculation) -> None:
        self.pattern, self.made = pattern, made
        self._known: dict[tuple[int, int], tuple[str, ...]] = {}

    def under(self, cell: int, size: int) -> tuple[str, ...]:
        """Return the entries without a number in a size that leave a cell without one."""
        if (cell, size) not in self._known:
            self._known[cell, size] = tuple(dict.fromkeys(self._found(cell, size)))
        return self._known[cell, size]

    def _found(self, cell: int, size: int) -> Iterator[str]:
        """Follow what has no number down to where none was typed."""
        offset, lines = self.made.program.names.constants, self.made.program.lines
        seen, waiting = set(), [cell]
        while waiting:
            now = waiting.pop()
            if now in seen or not np.isnan(self.made.worked(now)[size]):
                continue
            seen.add(now)
            if now < len(self.pattern.body):
                yield self.pattern.body[now].name
            elif now >= offset:
                line = lines[now - offset]
                waiting += line.needs
                if line.entries is not None and not self._is_right(now - offset, size):
                    yield line.name

    def _is_right(self, line: int, size: int) -> bool:
        """Whether somebody has said that a list has no number in a size."""
        return self.pattern.values[line].is_settled("missing", self.pattern.sizes[size])


def _listed(uses: list[_Use]) -> str:
    """Say what needs a number: how many steps, the first of them by its name, and how many measurements."""
    steps = [one.words for one in uses if one.is_step]
    measures = [one.words for one in uses if not one.is_step]
    said = []
    if steps:
        said.append(steps[0] if len(steps) == 1 else f"{len(steps)} steps (first {steps[0]})")
    if measures:
        said.append(f"“{measures[0]}”" if len(measures) == 1 else f"{len(measures)} finished measurements")
    return f"{' and '.join(said)} {'needs' if len(uses) == 1 else 'need'} it"
