"""Cells of the grid: thousands of them stand on one page, so they are written at once."""

from collections.abc import Iterable
from html import escape

from django import template
from django.utils.safestring import SafeString, mark_safe

from grading.entries.marked_formulas import marked
from grading.grid.grid import FAILS, GridRow

register = template.Library()
_BETWEEN = "\x1f"


@register.filter
def number_cells(figures: Iterable[str]) -> SafeString:
    """One cell for each figure of a row."""
    written = escape(_BETWEEN.join(figures)).replace(_BETWEEN, '</td><td class="number">')
    written = written.replace(f'<td class="number">{FAILS}', f'<td class="number fails">{FAILS}')
    first = "number fails" if written.startswith(FAILS) else "number"
    return mark_safe(f'<td class="{first}">{written}</td>')  # noqa: S308  escaped above


@register.filter
def marked_source(row: GridRow) -> str:
    """The formula of a line, with the place marked that a finding at it is about."""
    column = next((one["column"] for one in row.findings if one.get("line") == 1), None)
    if column is None or not row.source[column - 1 : column].strip():
        return row.source
    return marked(row.source, column - 1)
