"""Stitches kept back before a marker or the end of a row: are as many worked there as were kept?"""

import re
from collections.abc import Iterator

from grading.core.instructions.references import line_and_column, parse_references, words_only
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding

# “k to 3 sts before the next marker, k2tog, k1, slip the marker”, “work to the last 2 sts, m1r, k2.”
_KEPT = re.compile(
    r"\bto (?:the )?(?:last )?(?P<kept>\d+) (?:sts?|stitch(?:es)?)"
    r"(?P<marker> (?:before|from) (?:the |each |next )*(?:next )?(?:markers?|m|pm)\b|(?= ?,))"
    r" ?, (?P<rest>[^.;()\[\]*]*)(?P<after>[.;]|\((?=[\d\ue000]+ (?:sts?|stitch)|$)|$)"
)
# Where a stretch ends: at the marker, with the row, or where it begins again.
_END = re.compile(r"^(?:and )?(?:slip (?:the )?(?:marker|m)\b|sm\b|slm\b|join\b|return\b|repeat\b|$)")
# A knitter turns in mid-row, for short rows and heels: what is kept waits. A crocheter turns at the end.
_TURN = re.compile(r"^(?:and )?turn\b")
_EACH = re.compile(r"^(?P<stitch>k|p|sl|slip) ?(?P<n>\d+)(?: sts?)?$", re.IGNORECASE)
_PLAIN = re.compile(
    r"^(?P<n>\d+) [a-z]+ in (?:each of )?the (?:next|last)(?: (?P<over>\d+))? (?:sts?|stitch(?:es)?)$",
    re.IGNORECASE,
)
_TOGETHER = re.compile(r"^[a-z]+(?P<n>[2-5])tog(?:tbl)?$", re.IGNORECASE)
# Stitches of the row before that one takes. Source: the yarn council's abbreviations.
_TAKES = {
    "ssk": 2, "ssp": 2, "skp": 2, "skpo": 2, "sssk": 3, "sk2p": 3, "s2kp": 3, "cdd": 3, "kfb": 1, "pfb": 1,
    "m1": 0, "m1l": 0, "m1r": 0, "m1p": 0, "yo": 0, "yfwd": 0, "k": 1, "p": 1,
}  # fmt: skip


def stretch_end_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn where fewer stitches are worked before a marker or the end of a row than were kept for it.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at the step. Words that are not known here leave a stretch alone; so do one that is
        worked on beyond its marker, and one in which the work is turned with stitches left.

    Source: derived.
    """
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            words = words_only(step, parse_references(step))
            for found in _KEPT.finditer(words):
                kept, worked = int(found["kept"]), _worked(found["rest"], pattern.craft)
                if worked is not None and (worked < kept or (worked > kept and not found["marker"])):
                    where = "the marker" if found["marker"] else "the end"
                    words_kept = found.group().rstrip(" .;(")
                    says = (
                        f"“{words_kept}” keeps {kept} sts before {where} and works {worked} of them: change "
                        "one of the two."
                    )
                    at = line_and_column(step, found.start())
                    yield Finding(f"sections[{i}].steps[{j}]", None, "warn", *at, says)


def _worked(rest: str, craft: str) -> int | None:
    """How many stitches a list takes up to where it ends; None where it is not known."""
    total = 0
    for part in rest.split(","):
        one = part.strip()
        if _TURN.match(one):
            return total if total and craft != "knitting" else None
        if _END.match(one):
            return total
        takes = _takes(one.removeprefix("and "))
        if takes is None:
            return None
        total += takes
    return total


def _takes(one: str) -> int | None:
    """How many stitches one instruction takes."""
    if found := _EACH.match(one):
        return int(found["n"])
    if found := _TOGETHER.match(one):
        return int(found["n"])
    if found := _PLAIN.match(one):
        return int(found["over"] or 1)
    return _TAKES.get(one.lower())
