"""What a maker is told of reading the steps: only of what stands in them."""

import re
from collections.abc import Sequence
from typing import Any

from catalogue.instructions.instructions import PrintedSection
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.wording import ordinal

# An example with more rows than one between is clearer.
_CLEAR = 3
# Of a pick-up that leaves row ends out, nothing is changed: “skip every 4th row” says all.
_EVERY = re.compile(r"(?<!skip\s)(?<!miss\s)\bevery\s(\d+)(?:st|nd|rd|th)\s(row|round)\b")
_FOR_SIZES = re.compile(r"\bSizes? [^<>.:]{1,400} only\b")


def reading_notes(sections: Sequence[PrintedSection], wording: int, *, has_one_size: bool) -> dict[str, Any]:
    """What “every 4th row” means, and dashes in a part for some sizes; none before the third wording.

    Args:
        sections: The instructions as printed.
        wording: The wording of the pattern.
        has_one_size: Whether the edition has one size, so that no list is printed.
    """
    if wording <= WIDE_WORDING:
        return {"every_words": "", "has_parts_for_sizes": False}
    steps = " ".join(step for section in sections for step in section.steps)
    has_parts = not has_one_size and _FOR_SIZES.search(steps) is not None
    return {"every_words": _every_words(steps), "has_parts_for_sizes": has_parts}


def _every_words(steps: str) -> str:
    """What the first such row of the steps means, rather one of three rows or more."""
    found = [(int(one[1]), one[2]) for one in _EVERY.finditer(steps) if int(one[1]) > 1]
    if not found:
        return ""
    nth, noun = next((one for one in found if one[0] >= _CLEAR), found[0])
    before = f"{nth - 1} {noun}{'s' if nth >= _CLEAR else ''}"
    return (
        f"“Every {ordinal(nth)} {noun}” means {before} without the change, then 1 {noun} with it. Count from "
        f"the start of the step, then again after each {noun} with the change."
    )
