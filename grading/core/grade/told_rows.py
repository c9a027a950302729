"""Rows that are told by their numbers: are they as many as is said, and are those there to be repeated?"""

import re
from collections.abc import Iterator

from grading.core.instructions.references import line_and_column, parse_references, words_only
from grading.core.instructions.terms import cut_at_left_alone
from grading.core.pattern.pattern import PatternFile, SectionEntry
from grading.core.sheet.findings import Finding

_NUMBERS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "twelve": 12, "once": 1, "twice": 2,
}  # fmt: skip
_N = rf"(?:\d+|{'|'.join(_NUMBERS)})"
_RANGE = re.compile(
    r"\b(?P<noun>rows|rounds|rnds) (?P<first>\d+) ?(?:to|through|-|–) ?(?P<last>\d+)\b"
    r"(?P<rest>[^.;]*(?:[.;] (?:These|Those|That|This) [^.;]*|[.;] (?:Work|Knit) these [^.;]*)?)",
    re.IGNORECASE,
)
# What is said of so many rows as there are: “(4 rows)”, “, 4 rows.”, “these 4 rounds”, “4 rows in all”.
_SAID = re.compile(
    rf"\(=? ?(?P<a>{_N}) (?:rows|rounds|rnds)(?: in all)?\)"
    rf"|\b(?:these|those|all|are) (?P<c>{_N}) (?:rows|rounds|rnds)\b"
    rf"|\b(?P<d>{_N}) (?:rows|rounds|rnds) (?:in all|altogether)\b"
    rf"|(?:[,:=–—]|\bfor) ?(?P<e>{_N}) (?:rows|rounds|rnds)(?=\s*$)",
    re.IGNORECASE,
)
_TIMES = re.compile(
    rf"\b(?P<once>once|twice)\b|\b(?P<n>{_N})(?P<more> more)? times\b|\bonce (?P<again>more)\b",
    re.IGNORECASE,
)
_AGAIN = re.compile(
    r"\b(?:repeat|rep) (?P<rows>(?:rows?|rounds?|rnds?) (?P<first>\d+)"
    r"(?: ?(?:to|through|-|–|and|&) ?(?P<last>\d+))?)\b(?! of\b)",
    re.IGNORECASE,
)
_GIVEN = re.compile(
    r"(?P<again>\b(?:repeat|rep) )?\b(?:rows?|rounds?|rnds?) "
    r"(?P<numbers>\d+(?:(?:,? (?:and|to|through|&) |, ?| ?[-–] ?)\d+)*)",
    re.IGNORECASE,
)
# Rows that are told elsewhere, or many at once: “as on the back”, “row 2 and all even rows”.
_ELSEWHERE = re.compile(
    r"\bas (?:on|for|in|at)\b|\bcharts?\b|\bpattern\b"
    r"|\b(?:all|every|each|even|odd|alternate|other|alt)\b[^.:;]{0,20}\b(?:rows?|rounds?|rnds?)\b",
    re.IGNORECASE,
)
# A gauge, a length of yarn and a seam in half a stitch from the edge may be no whole number.
_PART_COUNT = re.compile(
    r"(?<![\w/.,])[1-9]\d*(?:[.,]\d+| ?[½¼¾]) (?:more )?(?:sts?|stitch(?:es)?|rows?|rounds?|rnds?|times)\b"
    r"(?! (?:to|per|in|over|=|x|×|by|and \d|as|the|its|longer|round|around|from|inside|wide)|[/=])",
    re.IGNORECASE,
)


def told_row_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of numbered rows that are not as many as is said, or are not given, and of parts of a stitch.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at the step.

    Source: derived.
    """
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            words = words_only(step, parse_references(step))
            for stretch, start, quoted in cut_at_left_alone(words):
                noticed = (
                    ()
                    if quoted
                    else (*_other_numbers(stretch), *_not_given(stretch, section), *_parts(stretch))
                )
                for place, says in noticed:
                    at = line_and_column(step, start + place)
                    yield Finding(f"sections[{i}].steps[{j}]", None, "warn", *at, says)


def _number(word: str) -> int:
    return int(word) if word.isdigit() else _NUMBERS[word.lower()]


def _other_numbers(words: str) -> Iterator[tuple[int, str]]:
    """Ranges of rows with another number of rows beside them."""
    for found in _RANGE.finditer(words):
        rows = int(found["last"]) - int(found["first"]) + 1
        said = _SAID.search(found["rest"])
        if said is None or rows < 1:
            continue
        told = _number(next(filter(None, said.groups())))
        often = _TIMES.search(found["rest"])
        fits = {rows} | (_worked(rows, often) if often else set())
        if told not in fits:
            noun = found["noun"].lower()
            says = (
                f"“{found['noun']} {found['first']} to {found['last']}” are {rows} {noun}, and {told} {noun} "
                "are told beside it: change one of them."
            )
            yield found.start(), says


def _worked(rows: int, often: re.Match[str]) -> set[int]:
    """How many rows are there where a range is worked so often; “repeat” leaves open whether once more."""
    times = _number(often["n"] or often["once"] or "once")
    return {rows * times, rows * (times + 1)}


def _not_given(words: str, section: SectionEntry) -> Iterator[tuple[int, str]]:
    """Rows to be worked again whose last one is told nowhere in a section that numbers its rows."""
    whole = "\n".join(section.steps)
    if _ELSEWHERE.search(whole):
        return
    for found in _AGAIN.finditer(words):
        given = [
            int(number)
            for one in _GIVEN.finditer(whole)
            if not one["again"]
            for number in re.findall(r"\d+", one["numbers"])
        ]
        numbers = sorted({int(found["first"]), int(found["last"] or found["first"])})
        missing = [number for number in numbers if number > max(given, default=number)]
        if missing:
            noun = re.split(r"s? \d", found["rows"].lower())[0]
            says = (
                f"“{found['rows']}” is to be worked again, and no {noun} {missing[0]} is told: write it, or "
                "change the number."
            )
            yield found.start(), says


def _parts(words: str) -> Iterator[tuple[int, str]]:
    """Stitches, rows or times that are typed with a part of one."""
    for found in _PART_COUNT.finditer(words):
        says = (
            f"“{found.group()}” can't be worked: there is no part of one. Round the number, and say where "
            "the rest goes."
        )
        yield found.start(), says
