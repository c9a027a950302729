"""Text that a spreadsheet program could take for a formula stays text in every export."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from python_calamine import CalamineWorkbook

from grading.core.grade.grade import Graded
from grading.tables.quoting import csv_text, unquoted
from grading.workbooks.files import csv_file, ods_file, xlsx_file
from grading.workbooks.workbook import workbook_of
from tests.grading.core.sheets import graded, value

pytestmark = pytest.mark.any_database

CASES = json.loads((Path(__file__).parents[2] / "data" / "risky_cells.json").read_text("utf-8"))
TEXTS = [case["content"] for case in CASES if isinstance(case["content"], str)]
RISKY = [text for text in TEXTS if not text.startswith("a")]


def labelled(text: str) -> Graded:
    return graded(value("chest", "bust + 1 cm", label=text), value("low", kind="ratio", list=[-3, 1, None]))


def read_csv(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline="")))


@pytest.mark.parametrize("text", RISKY)
def test_risky_text_begins_with_a_quote_in_csv(text: str) -> None:
    assert read_csv(csv_text([[text]])) == [["'" + text]]
    assert unquoted("'" + text) == text


def test_quotes_commas_and_line_ends_come_back() -> None:
    assert read_csv(csv_text([['a",b\nc', "plain", "'tis"]])) == [['a",b\nc', "plain", "'tis"]]
    assert unquoted("'tis") == "'tis"


@pytest.mark.parametrize("text", ["'=1", "''=1", "'", "''", "'plain", "=", "it's"])
def test_text_that_begins_with_quotes_comes_back(text: str) -> None:
    assert unquoted(read_csv(csv_text([[text, "x"]]))[0][0]) == text


def test_negative_numbers_stay_numbers() -> None:
    assert csv_text([[-3, -2.5, None]]) == "-3,-2.5,\r\n"
    rows = read_csv(csv_file(labelled("Low")).decode())
    assert rows[2] == ["low", "Low", "ratio", "", "-3", "1", ""]


@pytest.mark.parametrize("text", TEXTS)
def test_risky_labels_are_text_in_workbooks(text: str) -> None:
    book = xlsx_file(workbook_of(labelled(text)))
    cell: Any = openpyxl.load_workbook(io.BytesIO(book))["Values"]["B2"]
    assert cell.data_type == "s"
    assert cell.value == text.replace("\r", "\n") or cell.value == text
    ods = CalamineWorkbook.from_filelike(io.BytesIO(ods_file(workbook_of(labelled(text)))))
    shown = ods.get_sheet_by_name("Values").to_python()[1][1]
    assert "".join(str(shown).split()) == "".join(text.split())


def test_risky_size_labels_are_text_in_workbooks_and_csv() -> None:
    made = graded(value("chest", "bust"), sizes=["=1+1", "M"])
    book = openpyxl.load_workbook(io.BytesIO(xlsx_file(workbook_of(made))))
    assert book["Values"]["G1"].data_type == "s"
    assert read_csv(csv_file(made).decode())[0][4:] == ["'=1+1", "M"]
