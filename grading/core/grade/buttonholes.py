"""Buttonholes against the buttons that go through them."""

import re
from collections.abc import Iterator

from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

# A hole is a little smaller than its button, for it stretches; a smaller one than this share tears at it.
# Source: common practice.
LEAST_SHARE = 0.8
_BUTTONS = re.compile(r"\bbuttons?\b", re.IGNORECASE)
# What is said of a buttonhole: the rest of its sentence, and one that goes on with "For each".
_SAID = re.compile(
    r"\bbuttonholes?\b((?:(?![.!?](?:\s|$)).)*(?:[.!?]\s+for each\b(?:(?![.!?](?:\s|$)).)*)?)", re.IGNORECASE
)
# Stitches that are left out: "ch 2, skip 2 sts", "ch 3, miss the next 3 dc", "bind off 3 sts".
_LEFT_OUT = r"(?:the )?(?:next )?(\d+) [a-z]"
_HOLE = re.compile(
    rf"\bch \d+(?:,| and) (?:skip|miss|sk) {_LEFT_OUT}|\b(?:bind|cast) off {_LEFT_OUT}", re.IGNORECASE
)
_MM = re.compile(r"(\d+(?:\.\d+)?) ?mm\b")


def buttonhole_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Find buttonholes that are too narrow for the buttons, at the gauge of the loosest fabric.

    Args:
        pattern: The pattern.

    Yields:
        A finding (warn) at each step that makes such a hole.

    Source: derived; the share is common practice.
    """
    sizes = [_MM.search(one.size or "") for one in pattern.notions if _BUTTONS.search(one.label)]
    buttons_mm = [float(one.group(1)) for one in sizes if one]
    gauges = [one.stitches_per_mm for one in pattern.fabrics if one.stitches > 0]
    if not buttons_mm or not gauges:
        return
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            hole = next((hole for said in _SAID.findall(step) if (hole := _HOLE.search(said))), None)
            stitches = int(hole.group(1) or hole.group(2)) if hole else 0
            widest_mm = stitches / min(gauges)
            if hole and widest_mm < LEAST_SHARE * min(buttons_mm):
                hole_words = f"{stitches} {'st' if stitches == 1 else 'sts'}"
                says = (
                    f"A buttonhole of {hole_words} is {widest_mm:.1f} mm wide, the "
                    f"button {min(buttons_mm):g} mm: leave out more stitches, or choose a smaller button."
                )
                yield warn(f"sections[{i}].steps[{j}]", says)
