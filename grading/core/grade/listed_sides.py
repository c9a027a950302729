"""Parts that come in twos and are named in one row, edges that a band goes up and down, sides of rounds."""

import re
from collections.abc import Iterator

from grading.core.grade.named_sides import SIDE
from grading.core.instructions.references import line_and_column, parse_references, words_only
from grading.core.instructions.terms import cut_at_left_alone
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding

_PAIR = r"(?:front|sleeve|shoulder|mitten|sock|strap|side seam|armhole)"
# “k20 (left sleeve), place marker, …, k20 (right sleeve)”
_LISTED = re.compile(rf"\((?P<side>left|right) (?P<noun>{_PAIR})(?: as worn)?\)", re.IGNORECASE)
_UP_AND_DOWN = re.compile(
    rf"\bup the (?P<side>left|right) (?P<noun>{_PAIR})\b.*\bdown the (?P=side) (?P=noun)\b"
    rf"|\bdown the (?P<other>left|right) (?P<of>{_PAIR})\b.*\bup the (?P=other) (?P=of)\b",
    re.IGNORECASE,
)
_SIDED_ROUND = re.compile(rf"\b{SIDE} (?:rounds?|rnds?)\b", re.IGNORECASE)
_TURNED = re.compile(r"\bturn(?:ed|ing)?\b", re.IGNORECASE)
_SENTENCE = re.compile(r"[^.\n]+")
# “… there are {rows} rows. The side that faces you in the next row is the right side.”
_AFTER_ROWS = re.compile(
    rf"\{{(?P<rows>[a-z][a-z0-9_]*)\}} rows\b[^.{{]*\.\s+"
    rf"(?:the side that faces you in the next row is the (right|wrong) side"
    rf"|the next row is an? {SIDE} row)\b",
    re.IGNORECASE,
)
_AS_THE = re.compile(
    r"\bwork (?:exactly )?as (?:for )?the (?P<title>[a-z ]+?) (?:for|until)\b", re.IGNORECASE
)


def listed_side_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of a left or right part named twice in place of the other, and of sides that can't be.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at the step.

    Source: derived.
    """
    faced: dict[tuple[str, str], tuple[str, bool]] = {}
    for i, section in enumerate(pattern.sections):
        title = section.title.split("(")[0].strip().lower()
        is_turned = any(_TURNED.search(step) for step in section.steps)
        for j, step in enumerate(section.steps):
            where = f"sections[{i}].steps[{j}]"
            words = words_only(step, parse_references(step))
            found = [*_named_twice(words)]
            if pattern.craft == "knitting" and not is_turned:
                found += _sided_rounds(words)
            for place, says in found:
                yield Finding(where, None, "warn", *line_and_column(step, place), says)
            yield from _faced(where, step, title, faced)


def _named_twice(words: str) -> Iterator[tuple[int, str]]:
    """Sentences that name one side twice and the other never."""
    for stretch, start, quoted in cut_at_left_alone(words):
        for sentence in () if quoted else _SENTENCE.finditer(stretch):
            at = start + sentence.start()
            listed = [
                (one["side"].lower(), one["noun"].lower(), one.start())
                for one in _LISTED.finditer(sentence.group())
            ]
            for number, (side, noun, place) in enumerate(listed):
                others = {one for one, of, _ in listed if of == noun}
                if len(others) == 1 and any(of == noun for _, of, _ in listed[:number]):
                    yield at + place, _says(side, noun, "is named twice in this row")
            if went := _UP_AND_DOWN.search(sentence.group()):
                side, noun = (went["side"] or went["other"]).lower(), (went["noun"] or went["of"]).lower()
                yield at + went.start(), _says(side, noun, "is worked along twice")


def _says(side: str, noun: str, what: str) -> str:
    other = {"left": "right", "right": "left"}[side]
    return f"The {side} {noun} {what}, and the {other} one never: change one of them."


def _sided_rounds(words: str) -> Iterator[tuple[int, str]]:
    for stretch, start, quoted in cut_at_left_alone(words):
        for found in () if quoted else _SIDED_ROUND.finditer(stretch):
            says = f"“{found.group()}”: rounds that are not turned show one side alone. Leave the side out."
            yield start + found.start(), says


def _faced(
    where: str, step: str, title: str, faced: dict[tuple[str, str], tuple[str, bool]]
) -> Iterator[Finding]:
    """The side that a piece shows after as many rows as another that it is worked as."""
    found = _AFTER_ROWS.search(step)
    if found is None:
        return
    shows_right = _shows_right(found)
    as_the = _AS_THE.search(step)
    before = faced.get((as_the["title"].strip().lower(), found["rows"])) if as_the else None
    if before is not None and before[1] != shows_right:
        side = "right" if before[1] else "wrong"
        says = (
            f"After as many rows the {before[0]} shows the {side} side in the next row, and here the words "
            "say the other: change one of them."
        )
        yield Finding(where, None, "warn", *line_and_column(step, found.start()), says)
    faced[title, found["rows"]] = title, shows_right


def _shows_right(found: re.Match[str]) -> bool:
    return next(one for one in found.groups()[1:] if one).lower() in ("right", "rs")
