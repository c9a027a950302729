"""The account row by row as a file: a line for each written row and for each row that is worked in it."""

from collections.abc import Iterator

from catalogue.drafts.patterns import graded
from catalogue.instructions.row_accounts import AccountRow, audit_lines, row_account
from catalogue.models import Pattern
from grading.tables.quoting import csv_text
from grading.workbooks.files import xlsx_file
from grading.workbooks.workbook import Page, Workbook

Cells = list[str | float | None]
HEAD = ("Section", "Step", "Row", "Options", "What is done", "Verdict", "Why")


def row_account_csv(pattern: Pattern) -> bytes:
    """The whole account as CSV."""
    return csv_text([_head(pattern), *_rows(pattern)]).encode()


def row_account_xlsx(pattern: Pattern) -> bytes:
    """The whole account as a workbook."""
    page = Page("Row by row", tuple(_head(pattern)))
    for cells in _rows(pattern):
        page.add([*cells])
    return xlsx_file(Workbook((page,)))


def _head(pattern: Pattern) -> list[str]:
    sizes = graded(pattern).sizes
    return [*HEAD, *sizes, "Colour", *(f"Rows so far, {size}" for size in sizes), "Length so far"]


def _rows(pattern: Pattern) -> Iterator[Cells]:
    for row, line in zip(row_account(pattern, {}).rows, audit_lines(pattern), strict=True):
        counts: Cells = [cell.count for cell in row.cells]
        rows: Cells = [None if one.audited is None else one.rows for one in line.sizes]
        words: Cells = [row.text, row.verdict, row.why]
        yield [*_place(row, row.label), *words, *counts, row.colour, *rows, row.length_so_far]
        for one in row.course:
            kind = "straight" if one.is_straight else "shaped"
            yield [*_place(row, one.label), kind, "", "", *one.counts, row.colour]


def _place(row: AccountRow, label: str) -> Cells:
    return [row.title, row.step, label, row.choices]
