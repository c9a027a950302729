"""Turning chains: one length for one stitch."""

import re
from collections import Counter
from collections.abc import Iterator

from grading.core.instructions.references import line_and_column, parse_references, words_only
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding

# “Row 2: ch 1 (does not count), 1 hdc in each st”: the chain that a row begins with and its first stitch; not
# one that counts as a stitch and a space, “ch 4 (counts as 1 dc and ch 1)”.
_BEGINS = re.compile(
    r"(?:^|[.:)] |, )ch (?P<n>\d+) \((?P<counts>does not count|counts)(?![^)]*\bch\b)[^)]*\),? "
    r"(?:\d+ |work )?(?:(?:sk|skip|miss) [^,]*, )?(?:[\d\ue000]+ )?"
    r"(?P<stitch>sc|hdc|dc|htr|tr|dtr)(?:\d?tog)?\b",
    re.IGNORECASE,
)


def turning_chain_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of a row that begins with another chain than the other rows of its stitch.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at the step whose chain is the rarer one; none where two are as common.

    Source: common practice: the chain is as high as the stitch that follows it.
    """
    found = [
        (i, j, step, one)
        for i, section in enumerate(pattern.sections)
        for j, step in enumerate(section.steps)
        for one in _BEGINS.finditer(words_only(step, parse_references(step)))
    ]
    often: dict[tuple[str, str], Counter[str]] = {}
    for *_, one in found:
        often.setdefault(_kind(one), Counter())[one["n"]] += 1
    for i, j, step, one in found:
        chains = often[_kind(one)]
        usual, times = chains.most_common(1)[0]
        if one["n"] != usual and times >= 2 * chains[one["n"]]:
            says = (
                f"This row of {one['stitch']} begins with ch {one['n']} ({one['counts']} …), the others with "
                f"ch {usual}: make them alike, or say why this one differs."
            )
            at = line_and_column(step, one.start("n"))
            yield Finding(f"sections[{i}].steps[{j}]", None, "warn", *at, says)


def _kind(one: re.Match[str]) -> tuple[str, str]:
    """The stitch that follows, and whether the chain counts."""
    return one["stitch"].lower(), one["counts"].lower()
