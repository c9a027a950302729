"""A statement of the sheet in words: lines by their labels, comparisons as one says them."""

import re

from grading.grid.formula_words import line_words
from grading.sheets.documents import Document

_PART = re.compile(r"[A-Za-z_][A-Za-z0-9_.]*|<=|>=|<>|[<>=*/-]|[^A-Za-z_<>=*/-]+")
_SAID = {
    "<=": "at most",
    ">=": "at least",
    "<>": "other than",
    "<": "less than",
    ">": "more than",
    "=": "equal to",
    "*": "×",
    "/": "÷",
    "-": "−",
    "max": "the largest of",
    "min": "the smallest of",
}


def statement_words(document: Document, statement: str) -> str:
    """A statement as one reads it aloud; a name that the sheet does not have stays as it was typed.

    >>> document = {"values": [{"name": "edge", "label": "Edge, rows", "kind": "rows", "list": [4]}]}
    >>> statement_words(document, "edge<=6 rows and edge > 2 rows")
    '“Edge, rows” at most 6 rows and “Edge, rows” more than 2 rows'
    >>> statement_words(document, "max(edge, 4 rows) = 6 rows")
    'the largest of (“Edge, rows”, 4 rows) equal to 6 rows'
    """
    labels = {name: label for name, label, _ in line_words(document)}
    parts = (_said(part, labels) for part in _PART.findall(statement))
    return " ".join(" ".join(parts).split()).replace("( ", "(").replace(" )", ")").replace(" ,", ",")


def _said(part: str, labels: dict[str, str]) -> str:
    """One word or sign of a statement."""
    return f"“{labels[part]}”" if part in labels else _SAID.get(part, part.strip())
