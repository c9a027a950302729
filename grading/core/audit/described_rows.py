"""Rows that are described by a name and worked by the shaping after them: `Decrease row (RS): k2, ssk, …`."""

import re
from collections.abc import Iterable, Mapping

from grading.core.audit.sentences import Sentence

_CALLED = r"\s*(?:the |an? |each )?(?:\w+ )?(?P<change>inc|dec|shaping)(?:rease)? (?:row|round|rnd)\b"
_NAMED = re.compile(rf"{_CALLED}\s*(?:\((?:rs|ws|right side|wrong side)\))?\s*:", re.IGNORECASE)
_CALLS = re.compile(_CALLED, re.IGNORECASE)
_CHANGES = {"inc": "increase", "dec": "decrease"}
_HEAD = re.compile(r"[^:{}.]*:\s*$")


def is_named_change(text: str) -> bool:
    """Whether a sentence describes a row of increases or decreases that has a name and no number.

    >>> is_named_change("Hood increase row (RS): knit to the marker."), is_named_change("Row 3 (dec): k2tog.")
    (True, False)
    """
    return _NAMED.match(text) is not None


def named_change(text: str) -> str:
    """What a row that is described is called by: "increase", "decrease" or "".

    >>> named_change("The decrease row, worked only where the next step says so: k1, k2tog.")
    'decrease'
    """
    found = _CALLS.match(text)
    return _CHANGES.get(found["change"].lower(), "") if found else ""


def shaping_after(sentences: Iterable[Sentence], kinds: Mapping[str, str]) -> str | None:
    """The shaping that is printed next, with nothing but a head such as “Raglan:” before it.

    Args:
        sentences: What follows in the section, in order.
        kinds: The kind of what each reference names.

    Returns:
        The name of the shaping; None where other words come first.
    """
    for sentence in sentences:
        if sentence.expands is not None:
            is_plan = kinds.get(sentence.expands.name) == "shaping" and sentence.expands.form != "words"
            return sentence.expands.name if is_plan else None
        if not _HEAD.match(sentence.text):
            return None
    return None
