"""Builders of tables and workbooks, sound and unsound, for the tests of what people bring."""

import io
import struct
import zipfile
from collections.abc import Sequence
from typing import Any

import openpyxl

SHEET = "xl/worksheets/sheet1.xml"
GOOD = "size,bust,hip\nS,84,92\nM,92,100\n"


def xlsx(rows: Sequence[Sequence[Any]], **members: bytes) -> bytes:
    """A workbook of one sheet."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    for row in rows:
        sheet.append(list(row))
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()


def good_xlsx() -> bytes:
    return xlsx([["size", "bust", "hip"], ["S", 84, 92.5], ["M", 92, 100]])


def with_member(data: bytes, name: str, content: bytes) -> bytes:
    """A workbook with one part more, or another in its place."""
    written = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            if info.filename != name:
                new.writestr(info.filename, old.read(info))
        new.writestr(name, content)
    return written.getvalue()


def with_cell(data: bytes, place: str, xml: str) -> bytes:
    """A workbook with a cell written by hand."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        sheet = archive.read(SHEET).decode()
    row = "".join(character for character in place if character.isdigit())
    cell = f'<row r="{row}"><c r="{place}">{xml}</c></row></sheetData>'
    return with_member(data, SHEET, sheet.replace("</sheetData>", cell).encode())


def bomb(unpacked: int = 52_000_000) -> bytes:
    """A small workbook whose sheet unpacks to something large."""
    return with_member(good_xlsx(), SHEET, b"<row/>" * (unpacked // 6))


def many_members(number: int) -> bytes:
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w") as archive:
        for at in range(number):
            archive.writestr(f"m{at}", b"")
    return written.getvalue()


def lying(data: bytes, claimed: int = 10) -> bytes:
    """A workbook whose directory says that the sheet is smaller than it is."""
    changed = bytearray(data)
    at = data.find(b"PK\x01\x02")
    while at >= 0:
        length = struct.unpack("<H", data[at + 28 : at + 30])[0]
        if data[at + 46 : at + 46 + length].decode() == SHEET:
            changed[at + 24 : at + 28] = struct.pack("<I", claimed)
        at = data.find(b"PK\x01\x02", at + 4)
    return bytes(changed)


def ods(cells: str) -> bytes:
    """An ODS file whose one sheet holds the rows given as XML."""
    names = (
        'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"'
    )
    content = (
        f'<?xml version="1.0"?><office:document-content {names} office:version="1.2"><office:body>'
        f'<office:spreadsheet><table:table table:name="A">{cells}</table:table></office:spreadsheet>'
        "</office:body></office:document-content>"
    )
    manifest = (
        '<?xml version="1.0"?><manifest:manifest '
        'xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry '
        'manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/>'
        "</manifest:manifest>"
    )
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("META-INF/manifest.xml", manifest)
        archive.writestr("content.xml", content)
    return written.getvalue()


def ods_cell(text: str, *, formula: str = "", kind: str = "string") -> str:
    made = f' table:formula="{formula}"' if formula else ""
    value = f' office:value="{text}"' if kind == "float" else ""
    head = f'<table:table-cell office:value-type="{kind}"{made}{value}>'
    return f"{head}<text:p>{text}</text:p></table:table-cell>"


def ods_row(*cells: str) -> str:
    return f"<table:table-row>{''.join(cells)}</table:table-row>"
