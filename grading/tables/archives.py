"""XLSX and ODS files looked through before anything opens them: their directory, sizes, names and XML.

What has passed is packed anew, so that nothing is read later but what was looked at.
"""

import io
import re
import struct
import xml.etree.ElementTree as ET
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from grading.tables.limits import MOST_COLUMNS, MOST_ROWS, TableRefused

MOST_MEMBERS = 500
MOST_UNPACKED = 20_000_000
LARGEST_DIRECTORY = 200_000
END_OF_DIRECTORY = b"PK\x05\x06"
ARCHIVES = (".zip", ".xlsx", ".ods", ".jar", ".gz", ".7z", ".rar", ".tar")
ODS_TYPE = b"application/vnd.oasis.opendocument.spreadsheet"
_CELL = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")

Formulas = dict[tuple[int, int], str]


@dataclass(frozen=True)
class CheckedWorkbook:
    """A workbook packed anew, and the formulas of its first sheet by row and column, from 0."""

    data: bytes
    formulas: Formulas = field(default_factory=dict)


def check_workbook(data: bytes) -> CheckedWorkbook:
    """Look through a workbook without trusting anything that it says of itself.

    Raises:
        TableRefused: One sentence says why it is not opened.
    """
    _check_directory_size(data)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            _check_members(archive.infolist())
            members = {info.filename: _unpacked(archive, info) for info in archive.infolist()}
    except (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, OSError, EOFError) as error:
        raise TableRefused("The workbook is damaged: save it again from your spreadsheet program.") from error
    except (struct.error, ValueError, RuntimeError) as error:
        raise TableRefused("The workbook is damaged: save it again from your spreadsheet program.") from error
    for name, content in members.items():
        _check_content(name, content)
    formulas = _formulas(members)
    return CheckedWorkbook(_packed(members), formulas)


def _check_directory_size(data: bytes) -> None:
    """Read the end of the directory, which says how many members there are, before anything else."""
    at = data.rfind(END_OF_DIRECTORY, max(0, len(data) - 65_557))
    if at < 0 or at + 22 > len(data):
        raise TableRefused("The workbook is damaged: save it again from your spreadsheet program.")
    members, size = (
        struct.unpack("<H", data[at + 10 : at + 12])[0],
        struct.unpack("<I", data[at + 12 : at + 16])[0],
    )
    if members > MOST_MEMBERS or size > LARGEST_DIRECTORY:
        raise TableRefused(
            f"The workbook has more than {MOST_MEMBERS} parts inside: save one sheet by itself."
        )


def _check_members(members: list[zipfile.ZipInfo]) -> None:
    """Check names, kinds and the sizes that the directory gives."""
    if sum(one.file_size for one in members) > MOST_UNPACKED:
        raise TableRefused(
            f"Unpacked, the workbook is over {MOST_UNPACKED // 1_000_000} MB: save a small sheet by itself."
        )
    if len({one.filename for one in members}) != len(members):
        raise TableRefused("The workbook has two parts of the same name: save it again.")
    for one in members:
        path = PurePosixPath(one.filename)
        if path.is_absolute() or ".." in path.parts or "\\" in one.filename or ":" in one.filename:
            raise TableRefused("The workbook has a part whose name leads outside it: save it again.")
        if path.suffix.lower() in ARCHIVES:
            raise TableRefused("Another archive is inside the workbook: save one sheet by itself.")
        if path.name.lower().startswith("vba") or path.parts[0] in {"Basic", "Scripts"}:
            raise TableRefused("The workbook has macros: save it without them, as .xlsx or .ods.")
        if one.flag_bits & 1:
            raise TableRefused("The workbook is locked with a password: save it without one.")


def _unpacked(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> bytes:
    """Unpack a member, never more than the directory has said."""
    with archive.open(info) as stream:
        content = stream.read(info.file_size + 1)
    if len(content) != info.file_size:
        raise TableRefused("A part of the workbook is not as large as it says: save it again.")
    return content


def _check_content(name: str, content: bytes) -> None:
    """Refuse archives within, and XML that could grow or fetch something."""
    if content.startswith(b"PK\x03\x04"):
        raise TableRefused("Another archive is inside the workbook: save one sheet by itself.")
    if name.endswith((".xml", ".rels")):
        if b"\x00" in content or not content.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
            raise TableRefused("A part of the workbook is not readable: save it again.")
        if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
            raise TableRefused("The workbook has XML that is not allowed in one (a DOCTYPE): save it again.")
    if name == "[Content_Types].xml" and b"macroEnabled" in content:
        raise TableRefused("The workbook has macros: save it without them, as .xlsx or .ods.")


def _packed(members: dict[str, bytes]) -> bytes:
    """Pack members anew."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_STORED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return written.getvalue()


def _formulas(members: dict[str, bytes]) -> Formulas:
    """Check the extent of every sheet and return the formulas of the first."""
    try:
        if "content.xml" in members and members.get("mimetype", b"").strip() == ODS_TYPE:
            return _ods_formulas(members["content.xml"])
        if "xl/workbook.xml" in members:
            return _xlsx_formulas(members)
    except (ET.ParseError, ValueError, KeyError, RecursionError) as error:
        raise TableRefused("A part of the workbook is not readable: save it again.") from error
    raise TableRefused("This workbook can’t be read: save it as .xlsx or .ods, or as CSV.")


def _plain(tag: str) -> str:
    """A tag without its namespace."""
    return tag.rpartition("}")[2]


def _attribute(element: ET.Element, name: str) -> str | None:
    """An attribute without regard to its namespace."""
    return next((content for key, content in element.attrib.items() if _plain(key) == name), None)


def _elements(content: bytes) -> Iterator[ET.Element]:
    """The elements of a part, each as it ends; what was seen is let go."""
    for _, element in ET.iterparse(io.BytesIO(content)):  # noqa: S314 see _check_content
        yield element


def _require_extent(row: int, column: int) -> None:
    """Refuse a cell beyond the limits; row and column from 0."""
    if row >= MOST_ROWS:
        raise TableRefused(f"The sheet has more than {MOST_ROWS:,} rows; take out what is not needed.")
    if column >= MOST_COLUMNS:
        raise TableRefused(f"The sheet has more than {MOST_COLUMNS} columns; take out what is not needed.")


def _xlsx_formulas(members: dict[str, bytes]) -> Formulas:
    """Check all sheets of an XLSX file; the first is the one that the workbook lists first."""
    first = _first_xlsx_sheet(members)
    found: Formulas = {}
    for name, content in members.items():
        if name.startswith("xl/worksheets/") and name.endswith(".xml"):
            formulas = _xlsx_sheet_formulas(content)
            found = formulas if name == first else found
    return found


def _first_xlsx_sheet(members: dict[str, bytes]) -> str:
    """The part that holds the first sheet."""
    book = ET.fromstring(members["xl/workbook.xml"])  # noqa: S314 see _check_content
    sheet = next(one for one in book.iter() if _plain(one.tag) == "sheet")
    wanted = _attribute(sheet, "id")
    for one in ET.fromstring(members["xl/_rels/workbook.xml.rels"]):  # noqa: S314 see _check_content
        if one.get("Id") == wanted:
            target = str(one.get("Target"))
            return target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    return ""


def _xlsx_sheet_formulas(content: bytes) -> Formulas:
    """The formulas of one sheet of an XLSX file; cells without a place follow the one before."""
    found: Formulas = {}
    row, column = -1, -1
    for event, element in ET.iterparse(io.BytesIO(content), events=("start", "end")):  # noqa: S314 see _check_content
        tag = _plain(element.tag)
        if event == "start" and tag == "row":
            row, column = int(element.get("r", row + 2)) - 1, -1
        elif event == "start" and tag == "c":
            place = _CELL.fullmatch(element.get("r", ""))
            row, column = _place(place) if place else (row, column + 1)
            _require_extent(row, column)
        elif event == "end" and tag == "f":
            found[row, column] = f"={element.text or ''}"
        elif event == "end" and tag == "row":
            element.clear()
    return found


def _place(found: re.Match[str]) -> tuple[int, int]:
    """Row and column, from 0, of a place such as B3."""
    column = 0
    for letter in found[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(found[2]) - 1, column - 1


def _ods_formulas(content: bytes) -> Formulas:
    """The formulas of the first sheet of an ODS file; all its sheets are measured."""
    found: Formulas = {}
    sheets = 0
    for element in _elements(content):
        if _plain(element.tag) == "table":
            formulas = _ods_sheet_formulas(element)
            found = formulas if sheets == 0 else found
            sheets += 1
    return found


def _ods_sheet_formulas(sheet: ET.Element) -> Formulas:
    """The formulas of one sheet of an ODS file, whose rows and cells may be repeated."""
    found: Formulas = {}
    row = 0
    for line in sheet.iter():
        if _plain(line.tag) != "table-row":
            continue
        repeated = int(_attribute(line, "number-rows-repeated") or 1)
        column, filled = 0, -1
        for cell in line:
            times = int(_attribute(cell, "number-columns-repeated") or 1)
            if _attribute(cell, "value-type") or _attribute(cell, "formula") or len(cell):
                filled = column + times - 1
                _require_extent(row + repeated - 1, filled)
            formula = _attribute(cell, "formula")
            if formula:
                found[row, column] = f"={formula.partition('=')[2]}"
            column += times
        row += repeated
    return found
