"""Shapings, curves and picked-up edges that no step tells, and told rows that nothing reckons with."""

import re
from collections.abc import Iterator

from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

_NAME = re.compile(r"[a-z][a-z0-9_]*")
_ANY = re.compile("")
# Words of a step that works along an edge. Source: common practice.
_ALONG = re.compile(r"\b(?:pick\w*|along|around|in each|edges?|up the|down the)\b", re.IGNORECASE)


def unworked_plans(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of plans that no step prints, nor any number that is worked out of them.

    Args:
        pattern: The pattern as read, with its formulas.

    Yields:
        Findings (warn) at `shapings.NAME`, `spreads.NAME`, `curves.NAME` and `pick_ups.NAME`.

    Source: common practice of technical editing: what is planned and not written was forgotten.
    """
    printed = _printed(pattern)
    # One for each stitch is told by the number of the stitches.
    worked_along = _printed(pattern, _ALONG)
    told = {one.name for one in pattern.pick_ups if one.along == "stitches" and one.count in worked_along}
    for part, what, entries in (
        ("shapings", "shaping", pattern.shapings),
        ("spreads", "even change", pattern.spreads),
        ("curves", "curve", pattern.curves),
        ("pick_ups", "picked-up edge", pattern.pick_ups),
    ):
        for name in [one.name for one in entries if one.name not in told]:
            if printed.isdisjoint(_hanging_on(name, pattern)):
                says = (
                    f"The {what} “{name.replace('_', ' ')}” is worked out and no step tells it: write "
                    f"{{{name}}} where it is worked, or delete it."
                )
                yield warn(f"{part}.{name}", says)


def _printed(pattern: PatternFile, saying: re.Pattern[str] = _ANY) -> set[str]:
    """The names that steps print which say so."""
    pieces = (
        piece
        for section in pattern.sections
        for step in section.steps
        if saying.search(step)
        for piece in parse_references(step).pieces
        if isinstance(piece, Reference)
    )
    return {name for piece in pieces for name in (piece.name, *piece.extra)}


def _hanging_on(name: str, pattern: PatternFile) -> set[str]:
    """A name, and the values that are worked out of it."""
    found, size = {name}, 0
    while size < len(found):
        size = len(found)
        found |= {
            one.name
            for one in pattern.values
            if one.formula and not found.isdisjoint(_NAME.findall(one.formula))
        }
    return found


def uncounted_rows(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of rows that a step tells and that no length and no yarn of the pattern hangs on.

    Args:
        pattern: The pattern as read, with its formulas.

    Yields:
        Findings (warn) at `values.NAME`; none for a pattern without parts of yarn.

    Source: derived: each row that is worked takes yarn and adds to a length.
    """
    if not pattern.yarn_sections:
        return
    built_of = {one.name: set(_NAME.findall(one.formula or "")) for one in pattern.values}
    works = {one.name for one in pattern.values if one.kind in ("rows", "length")}
    counted = _counted(pattern)
    for name in list(counted):
        counted |= _all_of(name, built_of)
    # A part of rows that are counted, and what is taken off them.
    for name in list(built_of):
        parts = _all_of(name, built_of)
        if name in works and parts & works & counted:
            counted |= {name, *parts}
    printed = _printed(pattern)
    for one in pattern.values:
        if one.kind == "rows" and one.name in printed and one.name not in counted:
            says = (
                f"Steps tell “{one.label}”, and no length and no yarn reckons with these rows. "
                f"Add {one.name} to the rows of its part."
            )
            yield warn(f"values.{one.name}", says)


def _counted(pattern: PatternFile) -> set[str]:
    """The names that lengths, pieces and yarn are worked out of, or that are planned over."""
    formulas: list[object] = [one.formula for one in pattern.values if one.measured]
    for part in pattern.yarn_sections:
        formulas += [part.worked, part.rows, part.extra]
    for piece in pattern.pieces:
        formulas += [place for point in piece.outline for place in point]
        formulas += [one.value for one in piece.dimensions]
    for shaping in pattern.shapings:
        formulas += [shaping.over, shaping.first, shaping.plain_end]
    formulas += [one.depth for one in pattern.curves]
    formulas += [one.count for one in pattern.pick_ups]
    measured = {one.name for one in pattern.values if one.measured}
    return measured | {name for formula in formulas for name in _NAME.findall(str(formula or ""))}


def _all_of(name: str, built_of: dict[str, set[str]]) -> set[str]:
    """All that a value is worked out of, directly or not."""
    found, waiting = set[str](), [name]
    while waiting:
        for other in built_of.get(waiting.pop(), set()) - found:
            found.add(other)
            waiting.append(other)
    return found
