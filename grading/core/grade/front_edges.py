"""Left and right fronts: is the neck shaped at the edge in the middle, and the armhole at the other one?"""

import re
from collections.abc import Iterator

from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import PatternFile, SectionEntry
from grading.core.sheet.findings import Finding, warn

_FRONT = re.compile(r"\s*(?:the )?(?P<side>left|right) front\b", re.IGNORECASE)
# A title that says how the side is meant, or work that runs another way than from the hem up.
_AS_SEEN = re.compile(r"\b(?:as seen|as you look|facing you|seen from)\b", re.IGNORECASE)
_OTHER_WAY = re.compile(
    r"\b(?:top[- ]down|from the top|downwards?|neck down|sideways|side to side|cuff to cuff)\b"
    r"|\balong the (?:\w+ )?shoulder\b|\bfrom the shoulders? down\b",
    re.IGNORECASE,
)
_RIGHT = re.compile(r"\bright[- ]side row|\bRS\b|\bright side facing\b|\bis the right side\b")
_WRONG = re.compile(r"\b(?:wrong[- ]side|WS)\b")
# In the middle of the garment, and at its side.
_MIDDLE = re.compile(
    r"\b(?:[Nn]eck(?:line)?|V(?![- ]st)|[Ff]ront edge|[Bb]utton(?:hole)? edge|[Cc]ent(?:er|re) front)\b"
)
_SIDE = re.compile(r"\b(?:armholes?|underarms?|side (?:edge|seam))\b", re.IGNORECASE)
_AT = re.compile(
    r"\x00(?P<marked>start|end)\x00"
    r"|\bat the (?P<typed>start|beginning|end) of (?:the |each |every |all |next )*"
    r"(?:right[- ]side |RS )?rows?\b",
    re.IGNORECASE,
)
_CLAUSES = re.compile(r"[.;\n]")


def front_edge_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of a left or right front whose neck or armhole is told for the other edge.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at `sections[i].steps[j]`; none where a front is worked from the top or sideways, or
        where nothing says which side of the work faces the maker.

    Source: derived: with the right side facing, the left front as worn has its side edge where rows begin,
    as rows are worked from right to left, and its neck where they end; the right front the other way round.
    """
    general = " ".join((pattern.construction or "", pattern.summary or ""))
    if _OTHER_WAY.search(general):
        return
    for i, section in enumerate(pattern.sections):
        front = _FRONT.match(section.title)
        if front and not _AS_SEEN.search(section.title) and _shows_right_side(section, pattern.craft):
            yield from _of_front(i, section, front["side"].lower())


def _shows_right_side(section: SectionEntry, craft: str) -> bool:
    """Whether a front is worked from the hem up, in rows that are told with the right side facing."""
    told = "\n".join(section.steps)
    if _OTHER_WAY.search(told) or _WRONG.search(told):
        return False
    return craft == "tunisian" or _RIGHT.search(told) is not None


def _of_front(i: int, section: SectionEntry, side: str) -> Iterator[Finding]:
    middle, outer = ("end", "start") if side == "left" else ("start", "end")
    for j, step in enumerate(section.steps):
        for clause in _CLAUSES.split(_with_ends(step)):
            ends = {_end(found) for found in _AT.finditer(clause)}
            named = (
                ("neck or front edge", middle, _MIDDLE.search(clause)),
                ("armhole or side edge", outer, _SIDE.search(clause)),
            )
            told = [(edge, end) for edge, end, found in named if found]
            if len(ends) != 1 or len(told) != 1:
                continue
            edge, wanted = told[0]
            end = ends.pop()
            if end != wanted:
                says = (
                    f"With the right side facing, the {side} front as worn has its {edge} at the {wanted} of "
                    f"the rows. This step says the {end}: was the other front meant?"
                )
                yield warn(f"sections[{i}].steps[{j}]", says)
                break


def _end(found: re.Match[str]) -> str:
    return (found["marked"] or found["typed"]).lower().replace("beginning", "start")


def _with_ends(step: str) -> str:
    """A step with each named end of the rows as a mark of its own, and other references left out."""
    pieces = []
    for piece in parse_references(step).pieces:
        if not isinstance(piece, Reference):
            pieces.append(piece.text)
        elif piece.form in ("start", "end"):
            pieces.append(f"\x00{piece.form}\x00")
        elif piece.form == "side" and piece.extra[0] in ("start", "end"):
            pieces.append(f"\x00{piece.extra[0]}\x00")
        else:
            pieces.append("#")
    return "".join(pieces)
