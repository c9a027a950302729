"""Two pieces that mirror one another: what one of them prints and the other forgets."""

import re
from collections.abc import Iterator

from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import PatternFile, SectionEntry
from grading.core.sheet.findings import Finding, warn

_OTHER = {"left": "right", "right": "left"}
# A piece that is worked as the other one need not say all again.
_AS_OTHER = r"\b(?:as|like) (?:on |for |in |at )?(?:the )?{side}\b|\brevers(?:e|ing)\b|\bmirror"


def left_and_right_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of a shaping, an even change or a curve that only one of two mirrored pieces prints.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at `sections[i]`; none for a piece that is worked as another one.

    Source: common practice of technical editing.
    """
    plans = {one.name for of in (pattern.shapings, pattern.spreads, pattern.curves) for one in of}
    by_title = {_title(one): (i, one) for i, one in enumerate(pattern.sections)}
    for title, (i, section) in by_title.items():
        side, _, rest = title.partition(" ")
        other = by_title.get(f"{_OTHER.get(side, '')} {rest}")
        if side not in _OTHER or other is None:
            continue
        missing = (_printed(other[1]) - _printed(section)) & plans
        as_other = re.compile(_AS_OTHER.format(side=_OTHER[side]), re.IGNORECASE)
        if missing and not any(as_other.search(step) for step in section.steps):
            name = min(missing)
            says = (
                f"“{other[1].title}” prints {{{name}}}, and “{section.title}” doesn’t: write it here too, or "
                "say how this piece is worked instead."
            )
            yield warn(f"sections[{i}]", says)


def _title(section: SectionEntry) -> str:
    """A title in small letters, without what stands in brackets."""
    return re.sub(r"\(.*?\)", "", section.title).strip().lower()


def _printed(section: SectionEntry) -> set[str]:
    """The names that the steps of a section print."""
    return {
        piece.name
        for step in section.steps
        for piece in parse_references(step).pieces
        if isinstance(piece, Reference)
    }
