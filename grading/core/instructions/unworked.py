"""Shapings, curves and picked-up edges that are worked out, and that no step tells."""

import re
from collections.abc import Iterator

from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

_NAME = re.compile(r"[a-z][a-z0-9_]*")


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
    told = {one.name for one in pattern.pick_ups if one.along == "stitches" and one.count in printed}
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


def _printed(pattern: PatternFile) -> set[str]:
    """The names that steps print."""
    pieces = (
        piece
        for section in pattern.sections
        for step in section.steps
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
