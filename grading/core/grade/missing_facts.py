"""What a maker buys by: the size of each hook or needle, and which yarn, by its name and its length."""

import re
from collections.abc import Iterator

from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

# As a beginning calls a yarn that nobody has chosen yet.
_NO_NAME = re.compile(r"\s*(?:yarn\s*)?[A-Z]{0,2}\s*", re.IGNORECASE)


def missing_facts(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of fabrics without a hook or needle size, and of yarns without a name or a length.

    Args:
        pattern: The pattern.

    Returns:
        Findings at `fabrics.NAME` and `yarns.COLOUR`; none for a pattern that has no steps yet.

    Source: common practice: a maker buys yarn and tools by what the pattern says before the first row.
    """
    if not any(section.steps for section in pattern.sections):
        return
    tool = "needle" if pattern.craft == "knitting" else "hook"
    for fabric in pattern.fabrics:
        if fabric.tool_mm is None:
            yield warn(f"fabrics.{fabric.name}", f"“{fabric.label}” has no {tool} size: enter it in mm.")
    for yarn in pattern.yarns:
        if _NO_NAME.fullmatch(yarn.label):
            says = f"Yarn {yarn.colour} has no name: enter what it is called, and of which fibre it is."
            yield warn(f"yarns.{yarn.colour}", says)
        if yarn.length_per_100g_m is None:
            says = f"Yarn {yarn.colour} has no length: enter the metres or yards of a ball."
            yield warn(f"yarns.{yarn.colour}", says)
