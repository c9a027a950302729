"""Children's clothing and small or long parts: is it said who wears the garment and what is dangerous?"""

import re
from collections.abc import Iterator

from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

_CHILD_SIZE = re.compile(
    r"\d\s*[½¼¾]?\s*(?:y|yrs?|years?|m|mos?|mths?|months?|t)\b|\b(?:newborn|premature|baby|toddler|child|kid)",
    re.IGNORECASE,
)
_DANGER = re.compile(r"\b(?:button|tie|cord|pom-?pom)s?\b", re.IGNORECASE)


def caution_findings(pattern: PatternFile) -> list[Finding]:
    """Warn where sizes or words call for a wearer and hazards that are not given.

    Args:
        pattern: The pattern.

    Returns:
        At most one finding. Nothing is said for a garment that is stated to be for adults.

    Source: common practice (cords can strangle, small parts can choke).
    """
    if pattern.wearer == "adult" or (pattern.wearer and pattern.hazards):
        return []
    sizes = [size for size in pattern.sizes if _CHILD_SIZE.search(size)] if pattern.wearer is None else []
    words = (
        []
        if pattern.hazards
        else sorted({part.lower() for text in _texts(pattern) for part in _DANGER.findall(text)})
    )
    if not sizes and not words:
        return []
    seen = [f"the size “{sizes[0]}”"] if sizes else []
    seen += [f"the word “{words[0]}”"] if words else []
    wanted = "“wearer” and “hazards” who wears it and" if pattern.wearer is None else "“hazards”"
    says = f"This has {' and '.join(seen)}: say under {wanted} what could harm a child."
    return [warn("wearer" if pattern.wearer is None else "hazards", says)]


def _texts(pattern: PatternFile) -> Iterator[str]:
    """Return the texts in which a dangerous part would be named."""
    yield from (pattern.title, pattern.summary or "")
    yield from (notion.label for notion in pattern.notions)
    yield from (value.label for value in pattern.values)
    for section in pattern.sections:
        yield section.title
        yield from section.steps
