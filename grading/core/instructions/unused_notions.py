"""Notions that are sewn on or drawn in, and that no step uses."""

import re
from collections.abc import Iterator

from grading.core.instructions.references import parse_references, words_only
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

# What has its place on the piece; markers, holders, needles and thread are tools. Source: common practice.
_SEWN_ON = re.compile(
    r"\b(button|toggle|zip|snap|popper|press stud|hook[- ]and[- ]eye|ribbon|elastic|bead|buckle"
    r"|safety eye)\w*",
    re.IGNORECASE,
)
_CHOICE = re.compile(r"^:::.*$", re.MULTILINE)


def unused_notions(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of notions that have their place on the piece and that no step names.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at `notions`.

    Source: common practice of technical editing: what a maker buys, a step uses.
    """
    steps = (words_only(step, parse_references(step)) for one in pattern.sections for step in one.steps)
    told = _CHOICE.sub("", "\n".join((*(one.title for one in pattern.sections), *steps)))
    for notion in pattern.notions:
        found = _SEWN_ON.search(notion.label)
        if found and not re.search(rf"\b{found.group(1)}(?!holes?\b|ed\b)", told, re.IGNORECASE):
            says = (
                f"The maker needs “{notion.label}”, and no step says where it goes: tell it, or take it out."
            )
            yield warn("notions", says)
