"""Rows that are labelled with a number: each once, in their order, from the first on."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from grading.core.instructions.references import line_and_column, parse_references, words_only
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding

# “Row 2: …”, “Front band, row 1 (RS): …”, “Rnds 3–6: …”, “Rows 3 and 4: …” where a sentence begins.
_LABEL = re.compile(
    r"(?:^|(?<=[.):;] )|(?<=\n))(?:[A-Z][a-z]+(?: [a-z]+){0,2}, )?"
    r"(?P<noun>row|round|rnd)s? (?P<first>\d+)(?: ?(?:[-–]|to|and|&) ?(?P<last>\d+))?(?: ?\([^)]*\))?:",
    re.IGNORECASE,
)
# What stands for rows without a label: “repeat rows 1 and 2”, “work 4 rows”, “all even rows”.
_OTHER_ROWS = re.compile(
    r"\b(?:repeat|rep|rows|rounds|rnds|continue|(?:every|even|odd|next|following) (?:row|round|rnd))\b",
    re.IGNORECASE,
)
# Rows that are told for many at once, wherever that stands: then the labels leave them out.
_FOR_MANY = re.compile(
    r"\b(?:all|every|each|even|odd|alternate)(?: (?:other|even|odd|rs|ws|right-side|wrong-side|following))*"
    r" (?:rows?|rounds?|rnds?)\b(?! ends?\b)|\bsizes?\b",
    re.IGNORECASE,
)
_ROW_BEFORE = re.compile(r"\b(?:rows?|rounds?|rnds?|counts as|as (?:on|for|in|at))\b", re.IGNORECASE)


@dataclass(frozen=True)
class _Label:
    """A label: its first and last row, where it begins and ends in the step."""

    noun: str
    first: int
    last: int
    start: int
    end: int


def row_label_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of labelled rows that are told twice, left out, or begin with the second.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at the step. A step with blocks for some sizes or choices is left alone.

    Source: derived: rows are numbered in the order in which they are worked.
    """
    for i, section in enumerate(pattern.sections):
        before = ""
        for j, step in enumerate(section.steps):
            words = words_only(step, parse_references(step))
            for place, says in () if ":::" in step else _out_of_order(words, before):
                yield Finding(f"sections[{i}].steps[{j}]", None, "warn", *line_and_column(step, place), says)
            before += f"{words}\n"


def _out_of_order(words: str, before: str) -> Iterator[tuple[int, str]]:
    """The labels of a step that don't follow the one before them."""
    labels = [
        _Label(
            one["noun"].lower().replace("rnd", "round"),
            int(one["first"]),
            int(one["last"] or one["first"]),
            one.start(),
            one.end(),
        )
        for one in _LABEL.finditer(words)
    ]
    if labels and labels[0].first == 2 and not _ROW_BEFORE.search(before + words[: labels[0].start]):
        noun = labels[0].noun
        yield (
            labels[0].start,
            f"{noun.title()} 2 is told, and no {noun} 1 before it: number it 1, or write it.",
        )
    if not _FOR_MANY.search(before + words):
        yield from _between(labels, words)


def _between(labels: Sequence[_Label], words: str) -> Iterator[tuple[int, str]]:
    """Labels that repeat a number, or leave one out."""
    for one, after in pairwise(labels):
        noun = after.noun
        if noun != one.noun or after.first == 1:
            continue
        if after.first <= one.last:
            yield (
                after.start,
                f"{noun.title()} {after.first} is told twice here: change the number of the later one.",
            )
        elif after.first > one.last + 1 and not _OTHER_ROWS.search(words, one.end, after.start):
            missing = one.last + 1
            says = (
                f"After {noun} {one.last} comes {noun} {after.first}: write {noun} {missing}, or change the "
                "number."
            )
            yield after.start, says
