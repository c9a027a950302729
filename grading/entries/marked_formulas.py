"""A sentence about a formula with the formula below it, marked where the sentence is about."""

import re

from django.utils.html import format_html
from django.utils.safestring import SafeString

_MARKED = re.compile(r"[0-9.]+\s*[a-z]*|[A-Za-z_][A-Za-z0-9_.]*|\S", re.ASCII)


def with_place(says: str, formula: str, line: int, column: int) -> str | SafeString:
    """A sentence with its formula, in which the word or sign at a line and column (from 1) is marked."""
    lines = formula.split("\n")
    if not 1 <= line <= len(lines):
        return says
    at = sum(len(one) + 1 for one in lines[: line - 1]) + column - 1
    return format_html('{} <code class="formula-place">{}</code>', says, marked(formula, at))


def marked(formula: str, at: int) -> SafeString:
    """A formula in which the word or sign at a place (from 0) is marked."""
    found = _MARKED.match(formula, at)
    end = found.end() if found else at
    return format_html("{}<mark>{}</mark>{}", formula[:at], formula[at:end] or "…", formula[end:])
