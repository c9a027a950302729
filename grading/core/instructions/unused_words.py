"""Abbreviations and special stitches that a pattern explains and nothing in it uses."""

import re
from collections.abc import Iterator

from grading.core.instructions.abbreviations import uses_own
from grading.core.instructions.references import parse_references, words_only
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

_PLURAL = re.compile(r"(?:es|s)$")


def unused_words(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of what is explained for nothing: it was forgotten in the steps, or left over.

    Args:
        pattern: The pattern as read.

    Yields:
        Findings (warn) at `abbreviations` and `special_stitches.NAME`.

    Source: common practice of technical editing.
    """
    told = "\n".join(_told(pattern))
    methods = [one.method for one in pattern.special_stitches]
    for short, meaning in pattern.abbreviations:
        others = [*methods, *(of for one, of in pattern.abbreviations if one != short)]
        if not any(uses_own(short, text) for text in (told, *others)) and not _names(meaning, told):
            says = f"The abbreviation “{short}” is explained, and nothing uses it: use it, or take it out."
            yield warn("abbreviations", says)
    for one in pattern.special_stitches:
        others = [of.method for of in pattern.special_stitches if of is not one]
        others += [meaning for _, meaning in pattern.abbreviations]
        used = any(uses_own(one.short, text) or _names(one.label, text) for text in (told, *others))
        if not used and f"{{{one.name}" not in "".join(_steps(pattern)):
            says = (
                f"The special stitch “{one.label}” is explained, and nothing uses it: use it, or take it out."
            )
            yield warn(f"special_stitches.{one.name}", says)


def _steps(pattern: PatternFile) -> Iterator[str]:
    return (step for section in pattern.sections for step in section.steps)


def _told(pattern: PatternFile) -> Iterator[str]:
    """All words of a pattern in which stitches are worked."""
    for section in pattern.sections:
        yield section.title
        yield from (words_only(step, parse_references(step)) for step in section.steps)
    for of in pattern.stitch_patterns:
        yield from (of.label, of.introduction or "", *of.rows)
    for fabric in pattern.fabrics:
        yield fabric.label
    for shaping in pattern.shapings:
        yield shaping.words or ""


def _names(label: str, text: str) -> bool:
    """Whether a text has a name written out, one or several."""
    stem = re.escape(_PLURAL.sub("", label.strip()))
    return re.search(rf"(?<![A-Za-z]){stem}", text, re.IGNORECASE) is not None
