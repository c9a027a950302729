"""Why a pattern file does not fit, told by the labels of its lines: nobody has to count its entries."""

import json
import re
from collections.abc import Sequence
from typing import Any

from grading.core.formula.errors import PatternFileError

_STEP = re.compile(r"\.([^.\[\]]+)|\[(\d+)\]")
_PATH = re.compile(r"\$(?:\.\w+|\[\d+\])+")
PER_SIZE = frozenset({"list", "values"})
KINDS = {
    "body": "body measurement",
    "fabrics": "fabric",
    "values": "value",
    "checks": "check",
    "shapings": "shaping",
    "spreads": "even increase or decrease",
    "curves": "curve",
    "pick_ups": "pick-up",
    "stripes": "stripe sequence",
    "options": "option",
    "yarns": "yarn",
    "yarn_sections": "yarn part",
    "pieces": "piece",
    "joins": "join",
    "stitch_patterns": "stitch pattern",
    "special_stitches": "special stitch",
    "sections": "section",
    "notions": "notion",
}


def refusal_in_words(error: PatternFileError, document: Any) -> str:
    """Say what does not fit and where: the line by its label, the size by its own."""
    place, reason = spot_in_words(error.path, document), reason_in_words(error, document)
    return f"{place}: {reason}" if place else reason


def reason_in_words(error: PatternFileError, document: Any) -> str:
    """Say what does not fit, with places by their labels."""
    return _PATH.sub(lambda found: spot_in_words(found[0], document), error.reason)


def spot_in_words(path: str, document: Any) -> str:
    """A place of a pattern file in words, empty for the whole of it; the file need not fit."""
    steps = [int(found[2]) if found[2] else found[1] for found in _STEP.finditer(path)]
    if not steps:
        return ""
    part, *rest = steps
    kind = KINDS.get(str(part), "")
    if not kind or not rest:
        return _said(part)
    document = _read(document)
    entry = _inner(_inner(document, part), rest[0])
    words = [_entry_words(kind, entry, rest[0])]
    if len(rest) > 2 and rest[1] in PER_SIZE and isinstance(rest[2], int):
        size = _inner(_inner(document, "sizes"), rest[2])
        words.append(f"size {size if isinstance(size, str) else rest[2] + 1}")
    elif len(rest) > 1:
        words += [f"{_said(one)}" if isinstance(one, str) else f"{one + 1}." for one in rest[1:]]
    return ", ".join(words)


def _read(document: Any) -> Any:
    """A document that may still be text."""
    if not isinstance(document, str | bytes):
        return document
    try:
        return json.loads(document)
    except (ValueError, RecursionError):
        return None


def _inner(content: Any, step: str | int) -> Any:
    """What stands at a step of a path, None where nothing does."""
    if isinstance(content, dict):
        return content.get(str(step))
    is_there = isinstance(content, Sequence) and isinstance(step, int) and step < len(content)
    return content[step] if is_there else None


def _entry_words(kind: str, entry: Any, at: str | int) -> str:
    """An entry by what people call it; one that nobody named by its number."""
    known = entry if isinstance(entry, dict) else {}
    called = next(
        (known[key] for key in ("label", "title", "name", "colour") if isinstance(known.get(key), str)), ""
    )
    if not called and isinstance(at, str):
        called = at.replace("_", " ")
    return f"{kind.capitalize()} “{called}”" if called else f"{kind.capitalize()} {int(at) + 1}"


def _said(step: str | int) -> str:
    """A key as words."""
    return str(step).replace("_", " ")
