"""Rows whose sides are told by their numbers: in turned work odd rows show one side, even rows the other."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from grading.core.grade.named_sides import SIDE, is_right
from grading.core.instructions.references import Reference, line_and_column, parse_references, words_only
from grading.core.instructions.terms import cut_at_left_alone
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding

_LIST = r"\d+(?:(?:,? and |,? & |, ?)\d+)*"
_CLAIM = re.compile(
    rf"(?P<head>\brow (?P<a>\d+) \({SIDE}\)[^.:]*:)"
    rf"|\brows? (?P<b>{_LIST})(?: of (?:the )?\w+)?,? (?:\(|(?:(?:is|are) )?(?:always )?(?:an? |the )?){SIDE}"
    rf"|\b{SIDE} rows?,? \(?(?:is |are |as |rows? )*(?P<c>{_LIST})\b(?! (?:sts?|stitch|times|cm|more)\b)"
    rf"|\b(?P<d>odd|even)(?:[- ]numbered)? rows (?:are|show|face) (?:the |all )?{SIDE}"
    rf"|\b{SIDE} rows (?:are|have) (?:the |all )?(?P<e>odd|even)\b",
    re.IGNORECASE,
)
# Behind these words rows may be numbered from another side. Source: common practice.
_ANEW = re.compile(
    r"\b(?:re)?join|\bfasten off|\bbreak|\bcut\b|\bfacing|\bshort[- ]rows?|\bpick(?:ed|ing)? up|\bcast on"
    r"|\bturn the work|\bsecond (?:side|half|shoulder)|\brounds?\b|\bcount(?:ed|ing)? (?:again|from)",
    re.IGNORECASE,
)
_ALL = re.compile(r"\b(?:always|throughout|(?:every|each|all) (?:pieces?|parts?|sections?))\b", re.IGNORECASE)
_SENTENCE = re.compile(r"[^.!?\n]+[.!?\n]?")
# “Work {trellis} from row 1, a wrong-side row”: the side of a stitch pattern is on the sheet.
_FIRST = re.compile(
    rf"\b(?:row 1|first row)\b[^.;]{{0,24}}?\b{SIDE}\b|\b(?:begin|start)\w* (?:with|on) an? {SIDE} row",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class _Claim:
    """That row 1 shows the right side, as the words about a row with some number come to."""

    place: int
    words: str
    row: int
    first_is_right: bool
    is_head: bool
    is_rule: bool
    """Whether it is said of all odd or even rows."""
    is_of_all: bool


def told_side_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of rows that are told to show another side than rows told before them let them show.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at the step; none for work that is never turned.

    Source: derived: rows of turned work show their sides in turn.
    """
    if pattern.craft == "tunisian":
        return
    of_all: _Claim | None = None
    for i, section in enumerate(pattern.sections):
        known = of_all
        for j, step in enumerate(section.steps):
            where = f"sections[{i}].steps[{j}]"
            last = 0
            for claim in _claims(step):
                if _ANEW.search(step, last, claim.place):
                    known = of_all
                last = claim.place
                is_begun = claim.is_head and claim.row == 1 and not (known and known.is_rule)
                if known is not None and not is_begun and known.first_is_right != claim.first_is_right:
                    yield Finding(
                        where, None, "warn", *line_and_column(step, claim.place), _says(claim, known)
                    )
                    continue
                known = known if known and known.is_rule else claim
                of_all = claim if claim.is_of_all else of_all
            if _ANEW.search(step, last):
                known = of_all
            yield from _of_stitch_patterns(where, step, pattern)


def _says(claim: _Claim, known: _Claim) -> str:
    return (
        f"“{claim.words}” contradicts “{known.words}”: rows of turned work show their sides in turn. "
        "Change one of them."
    )


def _claims(step: str) -> Iterator[_Claim]:
    """What a step says of the sides of rows that have numbers."""
    for stretch, start, quoted in cut_at_left_alone(words_only(step, parse_references(step))):
        for sentence in () if quoted else _SENTENCE.finditer(stretch):
            for found in _CLAIM.finditer(stretch, sentence.start(), sentence.end()):
                is_of_all = _ALL.search(sentence.group()) is not None
                is_rule = is_of_all or bool(found["d"] or found["e"])
                words = found.group().rstrip(":").strip()
                words += ")" if words.count("(") > words.count(")") else ""
                for row in _rows(found):
                    first = (row % 2 == 1) == _is_right(found)
                    is_head = found["head"] is not None
                    yield _Claim(start + found.start(), words, row, first, is_head, is_rule, is_of_all)


def _rows(found: re.Match[str]) -> list[int]:
    """The numbers of the rows that are spoken of."""
    parity = found["d"] or found["e"]
    if parity:
        return [1 if parity.lower() == "odd" else 2]
    return [int(number) for number in re.findall(r"\d+", found["a"] or found["b"] or found["c"])]


def _is_right(found: re.Match[str]) -> bool:
    sides = [one for one in found.groups() if one and one.lower() in ("right", "wrong", "rs", "ws")]
    return sides[0].lower() in ("right", "rs")


def _of_stitch_patterns(where: str, step: str, pattern: PatternFile) -> Iterator[Finding]:
    """Rows 1 of stitch patterns that a sentence begins on another side than they have."""
    sides = {one.name: one for one in pattern.stitch_patterns}
    pieces = parse_references(step).pieces
    named = [
        (one.offset, sides[one.name]) for one in pieces if isinstance(one, Reference) and one.name in sides
    ]
    for sentence in _SENTENCE.finditer(step) if named else ():
        found = _FIRST.search(step, sentence.start(), sentence.end())
        inside = [one for place, one in named if sentence.start() <= place < sentence.end()]
        if found is None or len(inside) != 1 or is_right(found) == (inside[0].first_side == "RS"):
            continue
        side = "right" if inside[0].first_side == "RS" else "wrong"
        says = (
            f"“{found.group()}” contradicts “{inside[0].label}”, whose row 1 is a {side}-side row: "
            "change one of them."
        )
        yield Finding(where, None, "warn", *line_and_column(step, found.start()), says)
