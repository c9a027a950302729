"""Pieces and sides that come in twos: is the second one told, and does it mirror the first?"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from grading.core.instructions.references import Reference, parse_references, words_only
from grading.core.pattern.pattern import PatternFile, SectionEntry
from grading.core.sheet.findings import Finding, warn

_NOUNS = r"(?:front|shoulder|sleeve|half|side|strap|sock|mitten|slipper|bootie|glove)"
_FIRSTS = {"left": ("right",), "right": ("left",), "first": ("second", "other")}
# “Right side” is the face of the fabric.
_PIECE = re.compile(
    rf"\s*(?:the )?(?P<which>left|right|first) (?P<noun>(?!side\b(?! of| panel)){_NOUNS})\b", re.IGNORECASE
)
_FOR_BOTH = re.compile(
    r"\b(?:make (?:2|two|both)|both|two|twice|each|left and right|right and left)\b", re.IGNORECASE
)
# "First side of the neck: …" at the beginning of what is worked there.
_FIRST_SIDE = re.compile(rf"(?:^|[.;:)]\s+)first (?P<noun>{_NOUNS})\b(?! and )[^.:;]*:", re.IGNORECASE)
_REVERSED = re.compile(
    r"\b(?:revers(?:e|es|ing|ed)|mirror(?:ing)?)\s+(?:all |any )?(?:of )?(?:the |its )?"
    r"(?:neck |armhole |shoulder )?shapings?\b|\b(?:with )?(?:all )?shapings? (?:is |are )?reversed\b"
    r"|\bas (?:on|for|the|a)\b[^.;:{]*\b(?:revers(?:ed|ing)(?=\s*(?:[.;,]|$))|mirror image\b)",
    re.IGNORECASE,
)
_ALIKE = re.compile(
    r"\brepeat (?:this )?(?:for|on)|\bin the same way\b|\balike\b|\bto match\b", re.IGNORECASE
)
_END_WORDS = re.compile(
    r"\b(?:start|beginning|end|neck edge|armhole edge|front edge|side edge)\b", re.IGNORECASE
)
# Rows that begin at the other edge than right-side rows do.
_OTHER_FACE = re.compile(
    r"\b(?:wrong[- ]side|WS) (?:rows?|facing)\b|\(WS\)"
    r"|\bjoin\b[^.;]*\bat the (?:armhole|side|outer|shoulder)(?: edge)?\b",
    re.IGNORECASE,
)
_SENTENCE = re.compile(r"[^.;\n]+")
_FIRST_STEP = re.compile(rf"\s*(?:first|left) {_NOUNS}\b", re.IGNORECASE)
_SECOND_STEP = re.compile(rf"\s*(?:second|other|right) {_NOUNS}\b", re.IGNORECASE)
_ONE_OF_TWO = re.compile(rf"\s*(?P<which>left|right|first|second) (?P<noun>{_NOUNS})\b", re.IGNORECASE)


@dataclass(frozen=True)
class _Shaped:
    """A curve that a step works at one end of its rows."""

    where: str
    name: str
    end: str


def second_side_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of a second front, sleeve or side that is missing, or shaped at the edge of the first.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at `sections[i]` or `sections[i].steps[j]`.

    Source: common practice of technical editing; that mirrored pieces are shaped at opposite ends of their
    rows is derived.
    """
    yield from _missing_pieces(pattern)
    for i, section in enumerate(pattern.sections):
        yield from _missing_sides(i, section, pattern)
        yield from _without_edge(i, section)
        yield from _same_end_in_section(i, section)
    yield from _same_end_in_pieces(pattern)


def _missing_pieces(pattern: PatternFile) -> Iterator[Finding]:
    """Pieces that are the first of two, without the second."""
    titles = [section.title for section in pattern.sections]
    words = "\n".join(_words(step) for section in pattern.sections for step in section.steps)
    for i, title in enumerate(titles):
        found = _PIECE.match(title)
        if found is None or _FOR_BOTH.search(title):
            continue
        which, noun = found["which"].lower(), found["noun"].lower()
        others = rf"(?:{'|'.join(_FIRSTS[which])})"
        in_title = re.compile(rf"\b{others}\b.*\b{noun}s?\b", re.IGNORECASE)
        in_step = re.compile(
            rf"\b(?:work|make|knit|crochet|complete|begin) (?:the |a )?{_other(which)} {noun}s?\b"
            rf"|\b{_other(which)} {noun} (?:is|alike|as|in the same|to match|like)\b"
            rf"|\b(?:work|make|knit|crochet) (?:both|two|2|another) {noun}s?\b"
            rf"|\brepeat\b[^.;]*\b(?:for|on) (?:the )?{_other(which)} {noun}\b"
            rf"|(?:^|[.;:)]\s+){_other(which)} {noun}\b[^.;]*:",
            re.IGNORECASE | re.MULTILINE,
        )
        if not any(in_title.search(one) for one in titles) and not in_step.search(words):
            second = _FIRSTS[which][0]
            says = (
                f"“{title}” has no {second} {noun} beside it: write how the {second} one is worked, "
                "or “make 2” in its title."
            )
            yield warn(f"sections[{i}]", says)


def _other(which: str) -> str:
    return rf"(?:{'|'.join((*_FIRSTS[which], 'second', 'other'))})"


def _missing_sides(i: int, section: SectionEntry, pattern: PatternFile) -> Iterator[Finding]:
    """Sides of one piece that are told to be the first, and nothing after them tells the second."""
    steps = [_words(step) for step in section.steps]
    titles = [more.title for more in pattern.sections[i + 1 :]]
    for j, step in enumerate(steps):
        for found in _FIRST_SIDE.finditer(step):
            noun = found["noun"].lower()
            rest = "\n".join((step[found.end() :], *steps[j + 1 :]))
            # “Right side facing” tells of the fabric.
            others = "second|other|remaining|both" + ("" if noun == "side" else "|left|right")
            second = re.compile(rf"\b(?:{others}) {noun}s?\b", re.IGNORECASE)
            if not any(second.search(one) for one in (rest, *titles)) and not _ALIKE.search(rest):
                says = (
                    f"The first {noun} is told and the second is not, so its stitches are never worked: "
                    f"add a step that begins with “Second {noun}”."
                )
                yield warn(f"sections[{i}].steps[{j}]", says)


def _without_edge(i: int, section: SectionEntry) -> Iterator[Finding]:
    """Steps that only say to reverse the shaping, and name no edge."""
    for j, step in enumerate(section.steps):
        if _ends_of(f"sections[{i}].steps[{j}]", step):
            continue
        for sentence in _SENTENCE.finditer(_words(step)):
            found = _REVERSED.search(sentence.group())
            if found and not _END_WORDS.search(sentence.group()):
                says = (
                    f"“{found.group()}” leaves it to the maker at which edge: name it, such as “neck at the "
                    "start of right-side rows”."
                )
                yield warn(f"sections[{i}].steps[{j}]", says)


def _same_end_in_section(i: int, section: SectionEntry) -> Iterator[Finding]:
    """A first and a second side of one piece that work a curve at the same end of their rows."""
    first: list[_Shaped] = []
    for j, step in enumerate(section.steps):
        ends = _ends_of(f"sections[{i}].steps[{j}]", step)
        if _FIRST_STEP.match(step):
            first = ends if not _OTHER_FACE.search(step) else []
        elif _SECOND_STEP.match(step) and not _OTHER_FACE.search(step):
            yield from _same(first, ends, "the first side")


def _same_end_in_pieces(pattern: PatternFile) -> Iterator[Finding]:
    """A left and a right piece, or a first and a second, that work a curve at the same end of their rows."""
    pieces = [
        (found["which"].lower(), found["noun"].lower(), section.title, _ends_in(i, section))
        for i, section in enumerate(pattern.sections)
        if (found := _ONE_OF_TWO.match(section.title))
        and not any(_OTHER_FACE.search(step) for step in section.steps)
    ]
    for one, other in combinations(pieces, 2):
        if one[1] == other[1] and {one[0], other[0]} in ({"left", "right"}, {"first", "second"}):
            yield from _same(one[3], other[3], f"“{one[2]}”")


def _same(first: list[_Shaped], second: list[_Shaped], of: str) -> Iterator[Finding]:
    """Curves that both of two pieces work at one end alone, and at the same."""
    for name in dict.fromkeys(one.name for one in second):
        ends = [{one.end for one in shaped if one.name == name} for shaped in (first, second)]
        if ends[0] == ends[1] and len(ends[0]) == 1:
            end = ends[0].pop()
            other = "start" if end == "end" else "end"
            says = (
                f"“{name.replace('_', ' ')}” is worked at the {end} of the rows here and in {of}: one of the "
                f"two is then shaped at the wrong edge. Write {{{name} at {other}}} in one of them."
            )
            yield warn(next(one.where for one in second if one.name == name), says)


def _ends_in(i: int, section: SectionEntry) -> list[_Shaped]:
    return [
        one for j, step in enumerate(section.steps) for one in _ends_of(f"sections[{i}].steps[{j}]", step)
    ]


def _ends_of(where: str, step: str) -> list[_Shaped]:
    """The curves that a step works at the start or at the end of its rows."""
    return [
        _Shaped(where, piece.name, piece.form)
        for piece in parse_references(step).pieces
        if isinstance(piece, Reference) and piece.form in ("start", "end")
    ]


def _words(text: str) -> str:
    return words_only(text, parse_references(text))
