"""Side words of work that is never turned, which a left-hand edition exchanges.

Marked words, `{side start}`, are exchanged; words that are not marked stay as they were typed, and
would then be wrong.
"""

import re

from grading.core.instructions.references import Reference, line_and_column, parse_references, words_only
from grading.core.instructions.terms import cut_at_left_alone
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.sheet.findings import Finding

NEVER_TURNED = ("tunisian",)


OPPOSITE = {
    "start": "end", "end": "start", "left": "right", "right": "left", "first": "last", "last": "first",
}  # fmt: skip

# "right side" alone is the face of the fabric, and "each end" is the same for both hands.
_UNMARKED = re.compile(
    r"(?<![A-Za-z])(?<!each )(?<!both )(?:"
    r"(start|beginning|end)(?= of (?:the |a |each |every |this |these |next |same )*rows?\b)"
    r"|(left|right)(?=[ -](?:hand |edge))|(left)(?= side))",
    re.IGNORECASE,
)

# Beside a marked word, whatever names a side has to be marked as well: half an exchange is a mistake.
_BESIDE = re.compile(
    r"(?<![A-Za-z])(?:(first|last)(?= (?:(?:[0-9]+|[a-z]+|\ue000+) )?(?:sts?|stitch(?:es)?|loops?)\b)"
    r"|(start|beginning|end)(?= of\b)"
    # "Work as the left front" names another section.
    r"|(?<!as the )(?<!as for the )(?<!as on the )(?<!like the )"
    r"(left|right)(?! side facing| sides? of the (?:work|fabric)|[- ]side rows?\b))(?![A-Za-z])",
    re.IGNORECASE,
)
# In a step with a curve at one end of the rows, which is exchanged: stitches counted from an end of them.
_FROM_AN_END = re.compile(
    r"(?<![A-Za-z])(?<!first and )(first|last)(?= \ue000+ (?:sts|stitches|loops)\b)", re.IGNORECASE
)
# An edge that is worked along from front to front is begun at the other one by the other hand.
_BEGUN_AT = re.compile(
    r"\b(?:begin|start)\w*\b[^,.;]*\b(?:left|right) front\b[^.;]*\b(?:up|along|down)\b", re.IGNORECASE
)
_FRONT = re.compile(r"(?<![A-Za-z])(left|right)(?= front\b(?! \(as worn\)))", re.IGNORECASE)
_AT_ONE_END = ("start", "end")
# A garment is worn with its buttons on the same side, whichever hand made it.
_BUTTONHOLE = re.compile(r"\bbuttonholes?\b", re.IGNORECASE)
_SENTENCE = re.compile(r"[^.!?\n]+[.!?\n]?")
_ADVICE = re.compile(
    r"(?:(?<=[.!?\n])|^)[ \t]*[^.!?\n]*\bleft[- ]hand(?:ed|ers?)?\b[^.!?\n]*[.!?]",
    re.IGNORECASE | re.MULTILINE,
)
_EXCHANGES = re.compile(
    r"\b(?:exchang|swap|revers|mirror|opposite|instead of|read (?:left|right|start|end)|other way round)",
    re.IGNORECASE,
)


def without_advice(text: str) -> str:
    """Leave out sentences that tell left-handers to exchange sides: their edition has done it.

    Args:
        text: A step as the author wrote it.

    Returns:
        The text without those sentences.

    Source: derived.

    >>> without_advice("Left-handers: read left for right. Work the band.")
    'Work the band.'
    """
    left = _ADVICE.sub(lambda found: "" if _EXCHANGES.search(found.group()) else found.group(), text)
    return left if left == text else left.strip()


def unmarked_sides(pattern: PatternFile) -> list[Finding]:
    """Find side words that a left-hand edition can't exchange.

    Args:
        pattern: The pattern as read.

    Returns:
        Findings (warn) with section, step and place; none for work that is turned, where left-hand
        editions read the same.
    """
    if pattern.craft != "tunisian":
        return []
    return [
        finding
        for i, section in enumerate(pattern.sections)
        for j, step in enumerate(section.steps)
        for finding in (
            *_unmarked(f"sections[{i}].steps[{j}]", step, pattern.wording),
            *_moved_buttonholes(f"sections[{i}].steps[{j}]", step, pattern.wording),
        )
    ]


def _unmarked(where: str, step: str, wording: int) -> list[Finding]:
    """Find the unmarked side words of one step; beside a curve none up to the second wording."""
    found = []
    parsed = parse_references(step)
    words = words_only(step, parsed)
    marked = [
        piece.offset for piece in parsed.pieces if isinstance(piece, Reference) and piece.form == "side"
    ]
    forms = {piece.form for piece in parsed.pieces if isinstance(piece, Reference)}
    curved = wording > WIDE_WORDING and not forms.isdisjoint(_AT_ONE_END)
    for stretch, start, quoted in cut_at_left_alone(words):
        places = {} if quoted else {one.start(): one for one in _UNMARKED.finditer(stretch)}
        for sentence in () if quoted else _SENTENCE.finditer(stretch):
            if any(sentence.start() <= at - start < sentence.end() for at in marked):
                beside = _BESIDE.finditer(stretch, sentence.start(), sentence.end())
                places = {**{one.start(): one for one in beside}, **places}
            elif wording > WIDE_WORDING and _BEGUN_AT.search(sentence.group()):
                fronts = _FRONT.finditer(stretch, sentence.start(), sentence.end())
                places = {**{one.start(): one for one in fronts}, **places}
        if curved and not quoted:
            places = {**{one.start(): one for one in _FROM_AN_END.finditer(stretch)}, **places}
        for match in (places[at] for at in sorted(places)):
            side = next(one for one in match.groups() if one).lower().replace("beginning", "start")
            says = (
                f"“{match.group()}” is not exchanged in a left-hand edition: "
                f"write {{side {side}}} to mark it."
            )
            place = line_and_column(step, start + match.start())
            found.append(Finding(where, None, "warn", *place, says))
    return found


def _moved_buttonholes(where: str, step: str, wording: int) -> list[Finding]:
    """Find marked sides that would move buttonholes to the other front; none up to the second wording."""
    if wording <= WIDE_WORDING:
        return []
    parsed = parse_references(step)
    told = [
        one.span() for one in _SENTENCE.finditer(words_only(step, parsed)) if _BUTTONHOLE.search(one.group())
    ]
    return [
        Finding(
            where,
            None,
            "warn",
            *line_and_column(step, piece.offset),
            f"A left-hand edition would put the buttonholes on the other side: write {piece.extra[0]} "
            f"instead of {{side {piece.extra[0]}}}, and count their places from the hem.",
        )
        for piece in parsed.pieces
        if isinstance(piece, Reference) and piece.form == "side" and piece.extra[0] in ("left", "right")
        if any(start <= piece.offset < end for start, end in told)
    ]
