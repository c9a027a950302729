"""Side words of work that is never turned, which a left-hand edition exchanges.

Marked words, `{side start}`, are exchanged; words that are not marked stay as they were typed, and
would then be wrong.
"""

import re

from grading.core.instructions.references import line_and_column, parse_references, words_only
from grading.core.instructions.terms import outside_backticks
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding

NEVER_TURNED = ("tunisian",)


OPPOSITE = {"start": "end", "end": "start", "left": "right", "right": "left"}

# "right side" alone is the face of the fabric, and "each end" is the same for both hands.
_UNMARKED = re.compile(
    r"(?<![A-Za-z])(?<!each )(?<!both )(?:"
    r"(start|beginning|end)(?= of (?:the |a |each |every |this |these |next |same )*rows?\b)"
    r"|(left|right)(?=[ -](?:hand |edge))|(left)(?= side))",
    re.IGNORECASE,
)


def unmarked_sides(pattern: PatternFile) -> list[Finding]:
    """Find side words that a left-hand edition can't exchange.

    Args:
        pattern: The pattern as read.

    Returns:
        Findings (warn) with section, step and place; none for work that is turned, where left-hand
        editions read the same.
    """
    if pattern.craft != "tunisian":
        return []
    return [
        finding
        for i, section in enumerate(pattern.sections)
        for j, step in enumerate(section.steps)
        for finding in _unmarked(f"sections[{i}].steps[{j}]", step)
    ]


def _unmarked(where: str, step: str) -> list[Finding]:
    """Find the unmarked side words of one step."""
    found = []
    words = words_only(step, parse_references(step))
    for stretch, start, quoted in outside_backticks(words):
        for match in () if quoted else _UNMARKED.finditer(stretch):
            side = (match.group(1) or match.group(2) or match.group(3)).lower().replace("beginning", "start")
            says = (
                f"“{match.group()}” is not exchanged in a left-hand edition: "
                f"write {{side {side}}} to mark it."
            )
            place = line_and_column(step, start + match.start())
            found.append(Finding(where, None, "warn", *place, says))
    return found
