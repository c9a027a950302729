"""Left and right of work that is turned: as worn, or as the maker sees it?"""

import re
from collections.abc import Iterator

from grading.core.instructions.references import line_and_column, parse_references, words_only
from grading.core.instructions.sides import NEVER_TURNED
from grading.core.instructions.terms import cut_at_left_alone
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding

# “Right side” alone is the face of the fabric; a left or right front, shoulder or sleeve is one as worn.
# Source: common practice.
_SEEN = re.compile(
    r"\b(?:left|right)(?:[- ]hand)? (?:edge|end(?! (?:with|on|after|here))|corner|selvedge|selvage|half|"
    r"(?:\d+ )?(?:sts|stitches))\b"
    r"|\b(?:left|right)[- ]hand side\b"
    r"|\bleft side\b(?! seam)|\bright side of the (?:neck|body|front|back|opening|garment|"
    r"heel|foot|toe|sleeve|hand|thumb|head|hood)\b"
    r"|\b(?:on|at|to|from) (?:the|its|your) (?:left|right)(?![- ]?(?:(?!of\b)\w+[- ])*(?:front|back|sleeve|"
    r"shoulder|armhole|underarm|side|sides|edge|end|corner|hand|needle|band|cuff|pocket|seam|raglan|neck|half|"
    r"leg|arm|foot|tip|sts|stitches|selvedge|selvage)s?\b)",
    re.IGNORECASE,
)
_TOLD = re.compile(
    r"\bas (?:worn|seen|you (?:look|see|wear)|it is worn|viewed)\b|\bfacing\b|\bwearer\b"
    r"|\bof the (?:chart|drawing|schematic|diagram|picture|photo)\b|\bneedles?\b",
    re.IGNORECASE,
)
_SENTENCE = re.compile(r"[^.;\n]+")


def seen_side_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of a left or right edge that may be meant as worn or as seen.

    Args:
        pattern: The pattern as read.

    Yields:
        Findings (warn) at the step, at most one for a sentence; none for work that is never turned, whose
        words `unmarked_sides` looks at.

    Source: common practice of technical editing.
    """
    if pattern.craft in NEVER_TURNED:
        return
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            for place, words in _bare(step):
                at = line_and_column(step, place)
                says = (
                    f"“{words}” can be read as worn or as seen, and turned work shows both sides. Write "
                    "“(as worn)” behind it, or name the edge, such as “the armhole edge” or “the start of "
                    "right-side rows”."
                )
                yield Finding(f"sections[{i}].steps[{j}]", None, "warn", *at, says)


def _bare(step: str) -> Iterator[tuple[int, str]]:
    """Where a sentence names a left or right edge, and does not say how that is meant."""
    for stretch, start, quoted in cut_at_left_alone(words_only(step, parse_references(step))):
        for sentence in () if quoted else _SENTENCE.finditer(stretch):
            found = _SEEN.search(sentence.group())
            if found and not _TOLD.search(sentence.group()):
                yield start + sentence.start() + found.start(), found.group()
