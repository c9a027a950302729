"""What a maker buys by: the size of each hook or needle, and which yarn, by its name and its length."""

import re
from collections.abc import Iterator

from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

# As a beginning calls a yarn that nobody has chosen yet.
NO_NAME = re.compile(r"\s*(?:yarn\s*)?[A-Z]{0,2}\s*", re.IGNORECASE)


def missing_facts(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of fabrics without a hook or needle size, and of yarns without a name, a length or a part.

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
        if NO_NAME.fullmatch(yarn.label):
            says = f"Yarn {yarn.colour} has no name: enter what it is called, and of which fibre it is."
            yield warn(f"yarns.{yarn.colour}", says)
        if yarn.length_per_100g_m is None:
            says = f"Yarn {yarn.colour} has no length: enter the metres or yards of a ball."
            yield warn(f"yarns.{yarn.colour}", says)
    for colour in _colours_without_parts(pattern):
        says = f"No part uses yarn {colour}, so makers are not told how much to buy: add a part in it."
        yield warn(f"yarns.{colour}", says)


def _colours_without_parts(pattern: PatternFile) -> list[str]:
    """Colours that no part takes, in a pattern that has parts."""
    stripes = {one.name: [colour for colour, _ in one.sequence] for one in pattern.stripes}
    taken: set[str] = set()
    for part in pattern.yarn_sections:
        ways = [(part.colour, part.stripes), *((one.colour, one.stripes) for one in part.by_choice)]
        for colour, sequence in ways:
            taken |= {colour} if colour else set(stripes.get(sequence or "", ()))
    return [one.colour for one in pattern.yarns if pattern.yarn_sections and one.colour not in taken]
