"""Shaping that is said to be worked on right-side or wrong-side rows: does it fall on such rows?"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from grading.core.grade.named_sides import SIDE, is_right
from grading.core.instructions.references import Reference, parse_references, words_only
from grading.core.pattern.pattern import PatternFile
from grading.core.shaping.curves import CurvePlan
from grading.core.shaping.shaping import ShapingPlan
from grading.core.sheet.findings import Finding, warn

_SIDED = re.compile(rf"\b{SIDE} rows\b", re.IGNORECASE)
# Which side row 1, or a row with another number, shows: "a wrong-side row, row 1", "Row 1 (RS)".
_NUMBERED = re.compile(
    rf"\b(?:{SIDE} row,? (?:is |as )?row (\d+)|rows? (\d+) (?:\(|is an? ){SIDE})",
    re.IGNORECASE,
)
_FIRST = re.compile(
    r"\bfrom (?:the|this) (?:first|next) row\b|\bbeginning with (?:the first row|row 1)\b", re.IGNORECASE
)
# The row before a step: "ending with a WS row." at the end of the one before it.
_ENDED = re.compile(rf"\bend(?:ing)? (?:with|on|after) an? {SIDE} row[\s.]*$", re.IGNORECASE)
# The last sentence before a step is one row: "Row 4 (WS): purl."
_ROW_BEFORE = re.compile(
    rf"(?:^|(?<=[.)\n])\s*)(?:row \d+|next row) \({SIDE}\):(?![^.\n]*\b(?:rows|repeat|times)\b)[^.\n]*\.?\s*"
    rf"(?:\([^()]*\))?\s*$",
    re.IGNORECASE,
)
# "The next row is a right-side row": row 1 of what is told then.
_NEXT = re.compile(rf"\b(?:the )?next row is an? {SIDE} row\b(?!,? row)", re.IGNORECASE)
_NEXT_BEFORE = re.compile(rf"\b(?:the )?next row is an? {SIDE} row[\s.]*$", re.IGNORECASE)
_OTHER_END = re.compile(r" (?:at end|at both ends|reversed)\b")
_TYPED = re.compile(r"\bevery (\d*[13579])(?:st|nd|rd|th) row\b", re.IGNORECASE)


@dataclass(frozen=True)
class RowPlans:
    """The rows on which each shaping and curve changes something, by name: one tuple per size."""

    rows: Mapping[str, Sequence[tuple[int, ...]]]


def row_plans(
    pattern: PatternFile,
    shapings: Mapping[str, Sequence[ShapingPlan]],
    curves: Mapping[str, Sequence[CurvePlan]],
) -> RowPlans:
    """Return the rows on which shapings worked in rows and curves change something.

    Args:
        pattern: The pattern.
        shapings: One plan per size, by name.
        curves: One plan per size, by name.

    Returns:
        Rows counted from 1; none for shapings worked in rounds, which show one side alone.

    Source: derived.
    """
    rows = {
        one.name: [tuple(plan.event_rows) for plan in shapings[one.name]]
        for one in pattern.shapings
        if not one.rounds
    }
    rows |= {
        one.name: [
            tuple(step * one.every + 1 for step, drop in enumerate(plan.drops or ()) if drop)
            for plan in curves[one.name]
        ]
        for one in pattern.curves
    }
    return RowPlans(rows)


def row_side_findings(pattern: PatternFile, plans: RowPlans) -> list[Finding]:
    """Find shaping that is told for rows of one side and falls on rows of the other.

    Args:
        pattern: The pattern.
        plans: The rows of its shapings and curves.

    Returns:
        Findings (warn) at the step, size by size; none for work that is never turned.

    Source: derived: rows of turned work show their sides in turn.
    """
    if pattern.craft == "tunisian":
        return []
    found = []
    for i, section in enumerate(pattern.sections):
        for j, (before, step) in enumerate(zip(["", *section.steps], section.steps, strict=False)):
            if _SIDED.search(step):
                found += list(_of_step(f"sections[{i}].steps[{j}]", (before, step), pattern, plans))
    return found


def _of_step(where: str, steps: tuple[str, str], pattern: PatternFile, plans: RowPlans) -> Iterator[Finding]:
    """Look at each line of a step, given after the one before it, that speaks of the rows of one side."""
    before, step = steps
    for line in step.split("\n"):
        parsed = parse_references(line)
        words = words_only(line, parsed)
        sides = {is_right(one) for one in _SIDED.finditer(words)}
        if len(sides) != 1:
            continue
        side = "right-side" if sides == {True} else "wrong-side"
        for typed in _TYPED.finditer(words):
            if typed.group(1) != "1":
                says = (
                    f"“{typed.group()}” falls on both sides in turn, but this step names {side} rows: "
                    "count by an even number."
                )
                yield warn(where, says)
        parity = _parity_of(words, on_right=sides == {True})
        if parity is None and not _OTHER_END.search(line):
            parity = _parity_after(before, on_right=sides == {True})
        before = ""
        rounds = {one.name for one in pattern.shapings if one.rounds}
        for name in dict.fromkeys(_named(parsed.pieces)):
            if name in rounds:
                shaping = name.replace("_", " ")
                says = f"“{shaping}” is worked in rounds, but this step names {side} rows: leave them out."
                yield warn(where, says)
            for label, rows in zip(pattern.sizes, plans.rows.get(name, ()), strict=False):
                if problem := _problem(name, rows, side, parity):
                    yield warn(where, problem, label)


def _named(pieces: Sequence[object]) -> Iterator[str]:
    """The names that a line refers to."""
    for piece in pieces:
        if isinstance(piece, Reference) and piece.name:
            yield piece.name


def _parity_of(words: str, *, on_right: bool) -> int | None:
    """Whether the rows of the side that is told have odd (1) or even (0) numbers; None where nothing says."""
    if found := _NUMBERED.search(words):
        same = is_right(found) == on_right
        return (int(found.group(3) or found.group(4)) + (0 if same else 1)) % 2
    if following := _NEXT.search(words):
        return 1 if is_right(following) == on_right else 0
    return 1 if _FIRST.search(words) else None


def _parity_after(before: str, *, on_right: bool) -> int | None:
    """Whether rows of the side that is told are odd or even where the step before tells its last row."""
    if following := _NEXT_BEFORE.search(before):
        return 1 if is_right(following) == on_right else 0
    ended = _ENDED.search(before) or _ROW_BEFORE.search(before)
    if ended is None:
        return None
    return 1 if is_right(ended) != on_right else 0


def _problem(name: str, rows: Sequence[int], side: str, parity: int | None) -> str | None:
    """Say which row falls on the other side."""
    wanted = parity if parity is not None else (rows[0] % 2 if rows else None)
    wrong = next((row for row in rows if row % 2 != wanted), None)
    if wrong is None:
        return None
    return (
        f"“{name.replace('_', ' ')}” is given for {side} rows, and row {wrong} shows the other side. "
        "Let it begin on such a row and shape on every 2nd row."
    )
