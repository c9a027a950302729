"""Children's clothing and small or long parts: is it said who wears the garment and what is dangerous?"""

import math
import re
from collections.abc import Iterator, Sequence

from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.calculation import Calculation
from grading.core.sheet.findings import Finding, warn

_CHILD_SIZE = re.compile(
    r"\d\s*[½¼¾]?\s*(?:y|yrs?|years?|m|mos?|mths?|months?|t)\b|\b(?:newborn|premature|baby|toddler|child|kid)",
    re.IGNORECASE,
)
_DANGER = re.compile(r"\b(?:button|tie|cord|pom-?pom)s?\b", re.IGNORECASE)
# What is sewn on or hangs down, and the hazards of which one must then be named. Source: common practice.
_PARTS = (
    (re.compile(r"\b(?:buttons?|toggles?)\b", re.IGNORECASE), ("buttons", "small parts")),
    (
        re.compile(r"\b(?:snaps?|snap fasteners?|beads?|bells?|sequins?|pom-?poms?)\b", re.IGNORECASE),
        ("small parts",),
    ),
    (re.compile(r"\b(?:ties|cords?|drawstrings?)\b", re.IGNORECASE), ("ties", "cords")),
)
# What a step is of that says “ties” or “cord” and means none that hangs from the garment.
_NO_PART = re.compile(
    r"\b(?:hooks?|needles?|cables?|knots?|weave|yarn ends?|tails?|without)\b", re.IGNORECASE
)
_SENTENCE = re.compile(r"(?<=[.;])\s|\n")
# Small parts are for nobody under 3 years. Source: 16 CFR 1501.
YOUNGEST_MONTHS = 36
_AGE = re.compile(
    r"(\d+)[½¼¾]?(?:\s*(?:[-–]|to)\s*\d+[½¼¾]?)?\s*"
    r"(m|mos?|mths?|months?|y|yrs?|years?|t)\b",
    re.IGNORECASE,
)
_YOUNG = re.compile(r"newborn|premature|baby|infant|toddler", re.IGNORECASE)


def caution_findings(pattern: PatternFile) -> list[Finding]:
    """Warn where sizes or words call for a wearer and hazards that are not given.

    Args:
        pattern: The pattern.

    Returns:
        At most one finding where wearer or hazards are missing; else one for each kind of part that no hazard
        names. Nothing is said for a garment that is stated to be for adults.

    Source: common practice (cords can strangle, small parts can choke).
    """
    if pattern.wearer == "adult":
        return []
    if pattern.wearer and pattern.hazards:
        return [*_unnamed_hazards(pattern)]
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


def is_under_three(size: str) -> bool:
    """Whether the label of a size speaks of a child under 3 years.

    >>> is_under_three("18 months"), is_under_three("4y")
    (True, False)
    """
    found = _AGE.search(size)
    if found is None:
        return bool(_YOUNG.search(size))
    in_months = found[2].lower().startswith("m")
    return int(found[1]) * (1 if in_months else 12) < YOUNGEST_MONTHS


def _unnamed_hazards(pattern: PatternFile) -> Iterator[Finding]:
    """Parts that are needed, made or told of in a step, and whose hazard is not among those named."""
    made = [notion.label for notion in pattern.notions] + [part.name for part in pattern.yarn_sections]
    named = " ".join([*made, *(section.title for section in pattern.sections)])
    told = [one for section in pattern.sections for step in section.steps for one in _SENTENCE.split(step)]
    steps = " ".join(sentence for sentence in told if not _NO_PART.search(sentence))
    for finder, hazards in _PARTS:
        found = finder.search(named) or finder.search(steps)
        if found and not set(hazards).intersection(pattern.hazards):
            named_so = next((one for one in hazards if one[:3] == found.group()[:3].lower()), hazards[0])
            says = f"This has “{found.group()}”, and no hazard names it: add “{named_so}” under “hazards”."
            yield warn("hazards", says)


def small_part_findings(pattern: PatternFile, made: Calculation) -> Iterator[Finding]:
    """Find small parts that are counted in a size for a child under 3 years.

    Args:
        pattern: The pattern.
        made: Its sheet worked out.

    Returns:
        A warning for each notion and size; none for a garment that no child is stated to wear.

    Source: 16 CFR 1501 (small parts).
    """
    if pattern.wearer in (None, "adult") or not pattern.hazards:
        return
    small = [finder for finder, hazards in _PARTS if "small parts" in hazards]
    for i, notion in enumerate(pattern.notions):
        itself = notion.label.split(" for ")[0]  # thread for buttons is no button
        if not any(finder.search(itself) for finder in small):
            continue
        for size, count in zip(pattern.sizes, _counts(notion.count, pattern, made), strict=True):
            if count > 0 and is_under_three(size):
                says = (
                    f"“{notion.label}” are small parts, and this size is for a child under 3 years: "
                    "count none for it, and close it in another way."
                )
                yield warn(f"notions[{i}]", says, size)


def _counts(count: float | str, pattern: PatternFile, made: Calculation) -> Sequence[float]:
    """How many of a notion each size has: typed, or as its line says; NaN where that is not known."""
    if not isinstance(count, str):
        return [count] * len(pattern.sizes)
    if count not in made.program.names.symbols or count not in {value.name for value in pattern.values}:
        return [math.nan] * len(pattern.sizes)
    numbers: Sequence[float] = made.both[made.program.line_of(count), 0].tolist()
    return numbers


def _texts(pattern: PatternFile) -> Iterator[str]:
    """Return the texts in which a dangerous part would be named."""
    yield from (pattern.title, pattern.summary or "")
    yield from (notion.label for notion in pattern.notions)
    yield from (value.label for value in pattern.values)
    for section in pattern.sections:
        yield section.title
        yield from section.steps
