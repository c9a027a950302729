"""Which body measurement and which finished one go together: what a size is chosen by."""

import re
from collections.abc import Sequence

from grading.core.pattern.pattern import BodyEntry, PatternFile, ValueEntry

# Words that name the same girth in a body measurement and in a finished one; the first pair counts.
GIRTHS = (
    (("bust", "chest"), ("bust", "chest")),
    (("head",), ("hat", "head", "brim", "crown")),
    (("hand", "palm"), ("hand", "palm", "mitten")),
    (("foot",), ("foot", "sock")),
    (("hip",), ("hip",)),
    (("waist",), ("waist",)),
)


def girth_pair(pattern: PatternFile) -> tuple[BodyEntry, ValueEntry] | None:
    """The girths that the pattern compares, else those of the same name; None where there are none."""
    measured = [value for value in pattern.values if value.measured and value.kind == "length"]
    compared = (
        (body, value)
        for value in measured
        for body in pattern.body
        if value.measured and value.measured.around and value.measured.compares_to == body.name
    )
    named_alike = (
        (body, value)
        for worn, made in GIRTHS
        for body in pattern.body
        if names_girth(f"{body.name} {body.label}", worn)
        for value in measured
        if value.measured and value.measured.around and names_girth(f"{value.name} {value.label}", made)
    )
    return next(compared, None) or next(named_alike, None)


def names_girth(text: str, words: Sequence[str]) -> bool:
    """Whether a name or label has one of the words whole, and not as what lies under it: “under bust”."""
    plain = text.replace("_", " ").casefold()
    return re.search(rf"(?<!under )\b(?:{'|'.join(words)})s?\b", plain) is not None
