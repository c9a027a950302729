"""What makers would have to ask for, as it is told of a draft: by the commands, and beside its rows."""

from collections.abc import Iterable

from grading.core.instructions.missing_words import missing_words
from grading.core.instructions.sides import unmarked_sides
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding


def words_asked(pattern: PatternFile) -> tuple[Finding, ...]:
    """Return what is missing in the words of a pattern, and sides that a left-hand edition can't exchange.

    Args:
        pattern: The pattern as read.

    Returns:
        Findings; none for a pattern without steps.
    """
    return (*missing_words(pattern), *unmarked_sides(pattern))


def of_words(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings that stand at sections and steps.

    Args:
        findings: Findings of a pattern.

    Returns:
        Those of its words, in their order.
    """
    return [one for one in findings if one.where.startswith("sections")]
