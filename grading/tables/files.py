"""Tables that people bring, from CSV, XLSX and ODS files or pasted, as rows of text."""

import codecs
import csv
import datetime as dt
import io
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import PurePath

from python_calamine import CalamineWorkbook

from grading.core.formula.literals import MOST_DECIMALS
from grading.tables.archives import Formulas, check_workbook
from grading.tables.limits import LONGEST_CELL, MOST_BYTES, MOST_COLUMNS, MOST_ROWS, TableRefused
from grading.tables.quoting import unquoted

OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
WITH_MACROS = {".xlsm", ".xltm", ".xlam", ".xlsb"}
OTHERS = {".xls", ".xlt", ".doc", ".docx", ".pdf", ".numbers", ".zip"}
WORKBOOKS = {".xlsx", ".ods"}
DAMAGED = "The workbook cannot be read: save it again, or save the sheet as CSV."
ENCODING = (
    "The file is not in the encoding UTF-8 (byte {at}): save it as “CSV UTF-8”, "
    "so that letters such as é come out right."
)


@dataclass(frozen=True)
class BroughtRow:
    """One row: the line it stands on, from 1, and its cells as text."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class RawTable:
    """A head and rows of equal length. `problems` names cells that hold no text or number.

    `comma` says that a comma may be a decimal point: only where cells are parted by semicolons.
    """

    head: BroughtRow
    rows: tuple[BroughtRow, ...]
    comma: bool = False
    problems: tuple[str, ...] = field(default=())


def read_table(name: str, data: bytes) -> RawTable:
    """Read an uploaded file.

    Raises:
        TableRefused: One sentence says why it is not read.
    """
    suffix = PurePath(name).suffix.lower()
    if len(data) > MOST_BYTES:
        raise TableRefused(
            f"The file is larger than {MOST_BYTES // 1024 // 1024} MB, the largest that can be read."
        )
    if not data:
        raise TableRefused("The file is empty.")
    if suffix in WITH_MACROS:
        raise TableRefused(f"Workbooks with macros ({suffix}) are not read: save it as .xlsx, .ods or CSV.")
    if suffix in OTHERS or data.startswith(OLD_WORKBOOK):
        raise TableRefused(
            "This kind of file is not read: save it as .xlsx, .ods or CSV, without a password."
        )
    if data.startswith(b"PK"):
        return _read_workbook(data)
    if suffix in WORKBOOKS:
        raise TableRefused(f"The file is called {suffix} but is not a workbook: save it again, or as CSV.")
    return read_text(_decoded(data))


def _decoded(data: bytes) -> str:
    """The text of a CSV file: UTF-8, or UTF-16 that says so."""
    try:
        if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return data.decode("utf-16")
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise TableRefused(ENCODING.format(at=error.start + 1)) from error


def read_text(text: str) -> RawTable:
    """Read what was pasted, or the text of a CSV file.

    Cells are parted by tabs, else semicolons, else commas, whichever the first line has.

    Raises:
        TableRefused: One sentence says why it is not read.
    """
    text = text.removeprefix("\ufeff")
    if "\x00" in text:
        raise TableRefused("The text has a zero byte, so it is not a CSV file: save it as “CSV UTF-8”.")
    if text.count("\n") > MOST_ROWS or text.count("\r") > MOST_ROWS:
        raise TableRefused(f"The table has more than {MOST_ROWS:,} rows; take out what is not needed.")
    first = text.lstrip("\r\n").splitlines()[0] if text.strip() else ""
    separator = next((one for one in "\t;," if one in first), ",")
    return _table(_csv_rows(text, separator), comma=separator == ";")


def _csv_rows(text: str, separator: str) -> list[BroughtRow]:
    """The rows of a text that are not empty, with the line on which each ends."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[BroughtRow] = []
    try:
        rows.extend(
            BroughtRow(reader.line_num, tuple(unquoted(cell).strip() for cell in cells))
            for cells in reader
            if any(cell.strip() for cell in cells)
        )
    except csv.Error as error:
        where = f"Line {reader.line_num}"
        if "limit" in str(error):
            raise TableRefused(f"{where} has a cell longer than {LONGEST_CELL:,} characters.") from error
        says = (
            "quotation marks that are never closed"
            if "unexpected end" in str(error)
            else "stray quotation marks"
        )
        raise TableRefused(f"{where} has {says}: take them out.") from error
    return rows


def _table(rows: Sequence[BroughtRow], *, comma: bool = False, problems: Sequence[str] = ()) -> RawTable:
    """Rows as a table, if they are one."""
    if not rows:
        raise TableRefused("The table is empty: its first line names the columns.")
    head, *others = rows
    _require_extent(rows)
    ragged = [row for row in others if len(row.cells) != len(head.cells)]
    if ragged:
        named = ", ".join(f"line {row.line} has {_cells(len(row.cells))}" for row in ragged[:5])
        more = f" and {len(ragged) - 5} more lines do not fit" if len(ragged) > 5 else ""
        raise TableRefused(
            f"Every line needs {_cells(len(head.cells))}, as the first has, but {named}{more}."
        )
    named_twice = _twice(head.cells)
    if named_twice:
        raise TableRefused(f"Two columns are called “{named_twice}”: give each a name of its own.")
    return RawTable(head, tuple(others), comma, tuple(problems))


def _cells(number: int) -> str:
    """A number of cells in words."""
    return "1 cell" if number == 1 else f"{number} cells"


def _require_extent(rows: Sequence[BroughtRow]) -> None:
    """Refuse tables and cells beyond the limits."""
    if len(rows) > MOST_ROWS:
        raise TableRefused(f"The table has more than {MOST_ROWS:,} rows; take out what is not needed.")
    if max(len(row.cells) for row in rows) > MOST_COLUMNS:
        raise TableRefused(f"The table has more than {MOST_COLUMNS} columns; take out what is not needed.")
    for row in rows:
        if any(len(cell) > LONGEST_CELL for cell in row.cells):
            raise TableRefused(f"Line {row.line} has a cell longer than {LONGEST_CELL:,} characters.")


def _twice(names: Sequence[str]) -> str | None:
    """A name that stands twice, however it is written."""
    seen: set[str] = set()
    for name in names:
        if name.casefold() in seen:
            return name
        seen.add(name.casefold())
    return None


def _read_workbook(data: bytes) -> RawTable:
    """The first sheet of a workbook."""
    checked = check_workbook(data)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(checked.data))
        content = book.get_sheet_by_index(0).to_python(skip_empty_area=False)
    except KeyboardInterrupt:
        raise
    except BaseException as error:  # the reader can panic, which is no Exception
        raise TableRefused(DAMAGED) from error
    problems: list[str] = []
    rows = [
        BroughtRow(
            at + 1,
            tuple(
                _cell_text(cell, at, column, checked.formulas, problems) for column, cell in enumerate(cells)
            ),
        )
        for at, cells in enumerate(content)
    ]
    width = max((at + 1 for row in rows for at, cell in enumerate(row.cells) if cell), default=0)
    filled = [BroughtRow(row.line, row.cells[:width]) for row in rows if any(row.cells)]
    return _table(filled, problems=problems)


def _cell_text(cell: object, row: int, column: int, formulas: Formulas, problems: list[str]) -> str:
    """A cell of a workbook as text: a formula as it stands, never its result; dates are named as problems."""
    if (row, column) in formulas:
        return formulas[row, column]
    if isinstance(cell, float):
        return number_text(cell)
    if isinstance(cell, (dt.date, dt.time, dt.timedelta, bool)):
        kind = "true or false" if isinstance(cell, bool) else "a date or time"
        problems.append(
            f"Cell {cell_name(row, column)} is {kind} ({cell}): format it as text and type it again."
        )
    return str(cell).strip()


def number_text(number: float) -> str:
    """A number as people type it, to 6 decimals: 92.5, not 92.50000000000001."""
    text = f"{round(number, MOST_DECIMALS) + 0.0:.{MOST_DECIMALS}f}"
    return text.rstrip("0").rstrip(".")


def cell_name(row: int, column: int) -> str:
    """The name of a cell as spreadsheets have it: B3 for row 2, column 1, both from 0."""
    letters = ""
    while column >= 0:
        letters = chr(ord("A") + column % 26) + letters
        column = column // 26 - 1
    return f"{letters}{row + 1}"


def table_text(table: RawTable) -> str:
    """A table as text that can be shown, changed and read again: parted by tabs, or semicolons as before."""
    written = io.StringIO()
    writer = csv.writer(written, delimiter=";" if table.comma else "\t", lineterminator="\n")
    for row in (table.head, *table.rows):
        writer.writerow([" ".join(cell.split()) for cell in row.cells])
    return written.getvalue()
