"""Stars from which nothing is repeated, and repeats from a star that stands nowhere."""

import re
from collections.abc import Iterator

from grading.core.instructions.references import parse_references, words_only
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

_FROM_STAR = re.compile(r"\b(?:rep|repeat\w*)\s+from\s+(?:the\s+)?\*", re.IGNORECASE)
_REPEAT = re.compile(r"\b(?:rep|repeat\w*)\b", re.IGNORECASE)
# A star that begins a stretch: neither a sign of arithmetic nor the second star of bold words.
_STAR = re.compile(r"(?<![\w*])\*(?=[\w(\[])(?!(?:Note|See|If|For|The|These|This|Where|In)\b)")


def lone_stars(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of a star that no words repeat, and of words that repeat from a star where none stands.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at the step.

    Source: common practice of technical editing.
    """
    for i, section in enumerate(pattern.sections):
        before = ""
        for j, step in enumerate(section.steps):
            words = words_only(step, parse_references(step))
            says = lone_star(before, words, "".join(section.steps[j + 1 : j + 2]))
            if says:
                yield warn(f"sections[{i}].steps[{j}]", says)
            before += _FROM_STAR.sub("", words)


def lone_star(before: str, words: str, after: str = "") -> str:
    """Say what a star or a repeat of a step lacks; nothing where both are there.

    Args:
        before: The steps before it in its section, without their repeats.
        words: The step.
        after: The step after it.

    Returns:
        A sentence, or "".

    >>> lone_star("", "*K2, p2; rep from * to end."), lone_star("", "*K2, p2, to the last 2 sts, p2.")[:18]
    ('', 'A star begins a re')
    """
    others = _FROM_STAR.sub("", words)
    if _FROM_STAR.search(words) and "*" not in others and "*" not in before:
        return "“From *” is said, and no star shows where the repeat begins: set one."
    found = _STAR.search(others)
    is_alone = found is not None and "*" not in others[found.end() :]
    if (
        found
        and is_alone
        and not _REPEAT.search(words, found.end())
        and not _REPEAT.search(after.partition("*")[0])
    ):
        return "A star begins a repeat, and no words say how often: add such as “repeat from * to the end”."
    return ""
