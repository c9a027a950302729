"""What is wrong with the references of a text: names, kinds, sentences around them."""

import re
from collections.abc import Iterable
from difflib import get_close_matches

from grading.core.instructions.references import Form, Reference

NUMBERS = ("value", "body", "pick_up")
_FITTING: dict[Form, tuple[str, ...]] = {
    "plain": (*NUMBERS, "shaping", "spread", "stripes", "stitch_pattern"),
    "sum": ("value", "pick_up"),
    "both": ("value", "body"),
    "word": NUMBERS,
    "words": ("pick_up",),
    "with": ("shaping",),
    "start": ("curve",),
    "end": ("curve",),
    "ends": ("curve",),
    "reversed": ("curve", "shaping"),
}
_NOUNS = {
    "value": "a value",
    "body": "a body measurement",
    "pick_up": "a pick-up",
    "shaping": "a shaping",
    "spread": "a spread",
    "stripes": "a stripe sequence",
    "stitch_pattern": "a stitch pattern",
    "curve": "a curve",
    "fabric": "a fabric",
}


def name_problem(reference: Reference, kinds: dict[str, str]) -> str | None:
    """Say what is wrong with the names in a reference.

    Args:
        reference: A reference as read.
        kinds: For each name of the pattern what it names: value, body, pick_up, shaping, spread,
            stripes, stitch_pattern, curve or fabric.

    Returns:
        One sentence, with the nearest known name for an unknown one; None when all is well.

    >>> from grading.core.instructions.references import parse_references
    >>> name_problem(parse_references("{back_stiches}").pieces[0], {"back_stitches": "value"})
    'There is no back_stiches: did you mean back_stitches?'
    """
    names = [reference.name, *(reference.extra if reference.form == "with" else ())]
    for name in names:
        if name and name not in kinds:
            return _unknown(name, kinds)
        if name and kinds[name] not in _FITTING[reference.form]:
            return _misfit(reference, name, kinds[name])
    return None


def _unknown(name: str, known: Iterable[str]) -> str:
    """Say that a name is unknown, with the nearest one that is known."""
    nearest = nearest_name(name, known)
    return f"There is no {name}: " + (
        f"did you mean {nearest}?" if nearest else "check the name, or add it to the sheet."
    )


def nearest_name(name: str, known: Iterable[str]) -> str | None:
    """Return the known name that looks most like this one.

    Args:
        name: A name as typed.
        known: The names there are.

    Returns:
        The nearest, or None when nothing is near.

    >>> nearest_name("chst", ["chest", "neck"])
    'chest'
    """
    found = get_close_matches(name, list(known), n=1, cutoff=0.6)
    return found[0] if found else None


def _misfit(reference: Reference, name: str, kind: str) -> str:
    """Say that a name is of a kind that can't be printed this way."""
    if kind == "curve":
        return (
            f"{name} is a curve: write {{{name} at start}}, {{{name} at end}}, {{{name} at both ends}} "
            f"or {{{name} reversed}}."
        )
    fitting = " or ".join(_NOUNS[one] for one in _FITTING[reference.form])
    return f"{reference.source} needs {fitting}, but {name} is {_NOUNS[kind]}."


def expands(reference: Reference, kinds: dict[str, str]) -> bool:
    """Tell whether a reference prints whole sentences or lines rather than words in a sentence.

    Args:
        reference: A reference whose names are known.
        kinds: For each name of the pattern what it names.

    Returns:
        True for shapings, spreads, curves and the words of a pick-up.
    """
    if reference.form in ("words", "with", "start", "end", "ends", "reversed"):
        return True
    return reference.form == "plain" and kinds.get(reference.name) in ("shaping", "spread")


_ENDS_OF_SENTENCES = ".:;!?)—"
_SENTENCE_AFTER = re.compile(r"[.;]?\s*(?:$|[*_`]*[A-Z0-9({\[“\"])|[.;]?\s*\n")


def stands_alone(text: str, reference: Reference, offset: int = 0) -> bool:
    """Tell whether a reference stands alone in its sentence.

    Args:
        text: The whole text that the reference was read from.
        reference: The reference.
        offset: Where the text begins in the whole that places are counted in.

    Returns:
        True when a sentence, or a heading with a colon, ends before it and another begins after.

    >>> from grading.core.instructions.references import parse_references
    >>> text = "Neck: {front_neck at end} (12 sts)"
    >>> stands_alone(text, parse_references(text).pieces[1])
    True
    """
    start = reference.offset - offset
    before = text[:start].rstrip("*_ \t")
    after = text[start + len(reference.source) :]
    ended = not before or before[-1] in _ENDS_OF_SENTENCES or before[-1] == "\n"
    return ended and _SENTENCE_AFTER.match(after) is not None
