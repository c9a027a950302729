"""Workbooks as XLSX and ODS files, and the numbers of a sheet as CSV."""

import io
import math

from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook as ExcelWorkbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.cell.cell import Cell as ExcelCell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from grading.core.formula.dimensions import COUNT_KINDS
from grading.core.grade.grade import Graded
from grading.tables.quoting import csv_text
from grading.workbooks.live_formulas import as_excel, as_open_formula
from grading.workbooks.workbook import UNITS, Cell, Live, Page, Workbook


def xlsx_file(workbook: Workbook) -> bytes:
    """Return a workbook as XLSX; its formulas are worked out by the program that opens it."""
    book = ExcelWorkbook()
    book.remove(book.worksheets[0])
    for page in workbook.pages:
        _fill_excel_sheet(book.create_sheet(page.name), page)
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()


def _fill_excel_sheet(sheet: Worksheet, page: Page) -> None:
    """Write a page; head and names stay in sight."""
    for row, cells in enumerate([list[Cell](page.head), *page.rows], start=1):
        for column, content in enumerate(cells, start=1):
            cell = sheet.cell(row, column)
            if isinstance(cell, ExcelCell):
                _fill_excel_cell(cell, content)
                cell.font = Font(bold=row == 1)
    if page.name != "About":
        sheet.freeze_panes = "C2"
    for letter, width in (("A", 24), ("B", 36), ("F", 30)):
        sheet.column_dimensions[letter].width = width


def _fill_excel_cell(cell: ExcelCell, content: Cell) -> None:
    """Write a cell; text stays text whatever it begins with."""
    if isinstance(content, Live):
        cell.value = as_excel(content.text, cell.column_letter)
    elif isinstance(content, str):
        cell.value = ILLEGAL_CHARACTERS_RE.sub("\N{REPLACEMENT CHARACTER}", content)
        cell.data_type = "s"
        cell.quotePrefix = True
    elif content is not None:
        cell.value = content


def ods_file(workbook: Workbook) -> bytes:
    """Return a workbook as ODS; its formulas are worked out by the program that opens it."""
    book = OpenDocumentSpreadsheet()
    for page in workbook.pages:
        table = Table(name=page.name)
        for cells in [list[Cell](page.head), *page.rows]:
            row = TableRow()
            for column, content in enumerate(cells, start=1):
                row.addElement(_ods_cell(content, get_column_letter(column)))
            table.addElement(row)
        book.spreadsheet.addElement(table)
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()


def _ods_cell(content: Cell, column: str) -> TableCell:
    """Return a cell; text stays text whatever it begins with."""
    if isinstance(content, Live):
        return TableCell(formula=as_open_formula(content.text, column))
    if isinstance(content, str):
        cell = TableCell(valuetype="string")
        cell.addElement(P(text=ILLEGAL_CHARACTERS_RE.sub("\N{REPLACEMENT CHARACTER}", content)))
        return cell
    return TableCell() if content is None else TableCell(valuetype="float", value=repr(float(content)))


def csv_file(graded: Graded) -> bytes:
    """Return the worked numbers of all values as CSV: mm, g, m and counts, empty where unknown."""
    rows: list[list[str | float | None]] = [["name", "label", "kind", "unit", *graded.sizes]]
    labels = {value.name: value.label for value in graded.pattern.values}
    for name, value in graded.values.items():
        numbers = [None if math.isnan(number) else number for number in value.worked.tolist()]
        if value.kind in COUNT_KINDS:
            numbers = [None if number is None else round(number, 6) for number in numbers]
        rows.append([name, labels[name], value.kind, UNITS[value.kind], *numbers])
    return csv_text(rows).encode()
