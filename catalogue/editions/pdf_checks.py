"""Checks of a PDF: what an edition must have before its file is kept."""

import re
from collections.abc import Iterator, Sequence
from html import unescape
from typing import Any

from django.utils.html import strip_tags

from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.pdf_writing import WrittenPdf
from catalogue.instructions.instructions import PrintedSection
from grading.core.printing.size_rows import PageTable

_BLOCK_END = re.compile(r"<br>|</(?:p|li|tr|td|th|pre|div|span|blockquote)>")
_HELP_MARK = re.compile(r'<a class="help-mark"[^>]*>[^<]*</a>')  # printed in the margin
_GAPS = re.compile(r"[\s\u00ad\u200b]+")
FEWEST_BYTES = 4_000


def check_pdf(written: WrittenPdf, context: dict[str, Any]) -> None:
    """Refuse a PDF that is cut short, or that lost a heading, a step, or a number of any size on the way.

    Raises:
        EditionFailed: Something that was to be printed is not on the pages.
    """
    content = written.content
    if not content.startswith(b"%PDF-") or not content.rstrip().endswith(b"%%EOF"):
        raise EditionFailed("The PDF could not be made: it is cut short.")
    if len(content) < FEWEST_BYTES or written.pages < 1:
        raise EditionFailed("The PDF could not be made: it has no pages.")
    missing = next(_missing(written, context), None)
    if missing:
        raise EditionFailed(f"The PDF could not be made: “{missing[:80]}” is not on its pages.")


def squeezed(text: str) -> str:
    """A text without the gaps that a line break may put anywhere."""
    return _GAPS.sub("", text)


def _missing(written: WrittenPdf, context: dict[str, Any]) -> Iterator[str]:
    """What was to be printed and is not there."""
    words = squeezed(written.words)
    outline = {squeezed(title) for title in written.outline}
    practice = context["practice"]
    sections: Sequence[PrintedSection] = [*context["instructions"], *(practice.sections if practice else ())]

    def as_set(text: str) -> str:
        return squeezed(written.setting.typed(text))

    titles = [
        *(one.title for one in sections),
        *(f"{one.number}. {one.title}" for one, _ in context["helps"]),
        *(f"{one.label} ({one.short})" for one in context["special_stitches"]),
    ]
    yield from (title for title in titles if as_set(title) not in outline)
    told = [row for part in context["told_of_one"] for row in part["rows"]]
    yield from (row["text"] for row in told if as_set(f"{row['label']} {row['text']}") not in words)
    tables: list[PageTable] = [*([] if told else context["measurement_tables"]), *context["yarn_tables"]]
    yield from (line for line in _table_lines(tables) if as_set(line) not in words)
    steps = (step for section in sections for step in section.steps)
    # The number of a help in the margin is no part of its line; in large print it is.
    lines = (pair for step in steps for pair in _step_lines(step))
    yield from (bare for bare, whole in lines if as_set(bare) not in words and as_set(whole) not in words)


def _table_lines(tables: Sequence[PageTable]) -> Iterator[str]:
    """Every row of the tables over sizes: its label and a number for each size."""
    for table in tables:
        for row in table.rows:
            yield " ".join((row.label, *row.texts))


def _step_lines(step: str) -> Iterator[tuple[str, str]]:
    """The lines of a step as plain words, without and with the marks of helps."""
    for part in _BLOCK_END.split(step):
        bare, whole = (unescape(strip_tags(one)).strip() for one in (_HELP_MARK.sub(" ", part), part))
        if bare:
            yield bare, whole
