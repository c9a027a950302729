"""What is one line: names, titles and labels, which stand in headings, lists and subjects of e-mails."""

import re
from collections.abc import Iterator
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from grading.core.formula.errors import PatternFileError

# What ends a line anywhere (Unicode Standard Annex 14: BK, CR, LF, NL) and every other control character.
_BREAKS = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
TOO_LONG = "Please shorten this: at most %(limit_value)d characters fit, and it has %(show_value)d."
_SAYS = "Please write this in one line, without line breaks or control characters."
# What is one line in a pattern file, whatever part it stands in.
_KEYS = frozenset({"title", "construction", "label", "shade", "size", "sizes", "choices", "abbreviations"})


def in_one_line(text: str) -> str:
    """The text with a space for every break, for what is to be one line and may come from anywhere."""
    return _BREAKS.sub(" ", text).strip()


def require_one_line(text: str) -> None:
    """Refuse line breaks and other control characters, which have no place in a name."""
    if _BREAKS.search(text):
        raise ValidationError(_SAYS)


class LineField(forms.CharField):
    """A field for one line; every field of the program that is one uses it."""

    default_validators = [require_one_line]
    default_error_messages = {"max_length": TOO_LONG}


def require_single_lines(document: Any) -> None:
    """Refuse a pattern file in which something that is one line has a break.

    Raises:
        PatternFileError: It has one; carries the JSON path and the reason.
    """
    for path, text in _lines_of(document, "$", is_line=False):
        if _BREAKS.search(text):
            raise PatternFileError(path, "This is one line: take line breaks and control characters out.")


def _lines_of(part: Any, path: str, *, is_line: bool) -> Iterator[tuple[str, str]]:
    """The texts of a pattern file that are one line, each with its JSON path."""
    if isinstance(part, dict):
        for key, inner in part.items():
            yield from _lines_of(inner, f"{path}.{key}", is_line=is_line or key in _KEYS)
    elif isinstance(part, list):
        for place, inner in enumerate(part):
            yield from _lines_of(inner, f"{path}[{place}]", is_line=is_line)
    elif isinstance(part, str) and is_line:
        yield path, part
