"""Stitches that are told by their parts: do the parts make the whole?"""

import math
import re
from collections.abc import Callable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from grading.core.instructions.references import Reference, Written, parse_references
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

CountOf = Callable[[str], NDArray[np.float64] | None]

# “{all} sts: {back} for the back and for the front, {sleeve} for each sleeve.”
_DIVIDED = re.compile(
    r"#(?P<whole>\d+)# (?:sts|stitches)(?: in all)?: "
    r"(?P<parts>(?:#\d+# (?:sts |stitches )?(?:for|on|at) [^#.;]*){2,})[.;)]",
    re.IGNORECASE,
)
_PART = re.compile(r"#(\d+)# (?:sts |stitches )?(?:for|on|at) ([^#.;]*)")
# What a step must have to be looked at in every size.
_MAY_DIVIDE = re.compile(r"(?:sts|stitches)(?: in all)?: .*\b(?:for|on|at) ", re.IGNORECASE | re.DOTALL)
# “for the back and for the front”, “for each sleeve”: twice as many. Source: common practice.
_TWICE = re.compile(
    r"^(?:each|both|either|every)\b"
    r"|\b(?:back|front|half|side) and (?:for |on |at )?(?:the )?(?:back|front|other)\b",
    re.IGNORECASE,
)


def divided_count_findings(pattern: PatternFile, count_of: CountOf) -> Iterator[Finding]:
    """Warn of stitches that are told by their parts, where these don't make the whole.

    Args:
        pattern: The pattern.
        count_of: Gives the worked stitches of a name, one per size, NaN for none; None for no stitches.

    Yields:
        Findings (warn) at the step, for the first size in which they don't.

    Source: derived.
    """
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            pieces = parse_references(step).pieces if _MAY_DIVIDE.search(step) else ()
            for place, label in enumerate(pattern.sizes if pieces else ()):
                says = next(_wrong(_with_numbers(pieces, place, count_of)), "")
                if says:
                    yield warn(f"sections[{i}].steps[{j}]", says, label)
                    break


def _wrong(words: str) -> Iterator[str]:
    """What the parts make where it is not the whole; the last of all is empty."""
    for found in _DIVIDED.finditer(words):
        parts = [(int(number), 2 if _TWICE.search(of) else 1) for number, of in _PART.findall(found["parts"])]
        total, whole = sum(number * times for number, times in parts), int(found["whole"])
        if total != whole:
            worked = " + ".join(
                f"{times} × {number}" if times > 1 else str(number) for number, times in parts
            )
            yield f"The parts make {worked} = {total} sts, and {whole} are told: change one of the numbers."
    yield ""


def _with_numbers(pieces: Sequence[Written | Reference], place: int, count_of: CountOf) -> str:
    """The words of a step in one size, each number of stitches as #7#, what is no such number as #?#."""
    said = ""
    for piece in pieces:
        if not isinstance(piece, Reference):
            said += re.sub(r"(?<![\w.,])(\d+)(?= (?:sts|stitches|for)\b)", r"#\1#", piece.text)
            continue
        number = _number(piece, place, count_of)
        said += "#?#" if number is None else f"#{number:.0f}#"
    return said


def _number(piece: Reference, place: int, count_of: CountOf) -> float | None:
    """The number that a reference, or a sum of one, prints in one size."""
    known = count_of(piece.name) if piece.form in ("plain", "sum") else None
    if known is None or not math.isfinite(known[place]):
        return None
    sign, more = piece.extra or ("+", "0")
    number = float(known[place])
    if sign == "/":
        return number / float(more) if float(more) else None
    return number + float(more) * (1 if sign == "+" else -1)
