"""Tables that people bring: what is read, and what is refused in one sentence (data/bad_tables.json)."""

import datetime as dt
import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from grading.sizes.table_reading import ReadTable, read_size_table
from grading.tables.files import cell_name, read_table, read_text, table_text
from grading.tables.limits import TableRefused
from tests.grading.table_builders import (
    GOOD,
    SHEET,
    bomb,
    good_xlsx,
    lying,
    many_members,
    ods,
    ods_cell,
    ods_row,
    with_cell,
    with_member,
    xlsx,
)

pytestmark = pytest.mark.any_database

FAR_DOWN = '<table:table-row table:number-rows-repeated="900000"/>'
CASES = json.loads((Path(__file__).parents[2] / "data" / "bad_tables.json").read_text("utf-8"))


def refusal(name: str, data: bytes | str) -> str:
    with pytest.raises(TableRefused) as caught:
        read_table(name, data.encode() if isinstance(data, str) else data)
    says = str(caught.value)
    assert says.endswith(".")
    return says


def read(text: str, unit: str = "cm") -> ReadTable:
    return read_size_table(read_text(text), name="Own", unit=unit)


def entity_bomb() -> bytes:
    levels = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 9))
    return f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY l0 "ha">{levels}]><x>&l8;</x>'.encode()


def with_sheet(content: bytes) -> bytes:
    return with_member(good_xlsx(), SHEET, content)


EXTERNAL = b"<!DOCTYPE a [<!ENTITY x SYSTEM 'file:///etc/hostname'>]><a>&x;</a>"

# case of bad_tables.json: file name, content, words of the sentence, seconds
REFUSED: dict[str, tuple[str, Callable[[], bytes], str, float]] = {
    "XLSX of 131 KB unpacking to 52 MB": ("a.xlsx", bomb, "over 20 MB", 0.05),
    "XLSX with 100k members": ("a.xlsx", lambda: many_members(100_000), "5 MB", 0.05),
    "ZIP member ../x": ("a.xlsx", lambda: with_member(good_xlsx(), "../x", b"x"), "leads out", 1),
    "ZIP header lies about size": ("a.xlsx", lambda: lying(good_xlsx()), "damaged", 1),
    "nested ZIP": ("a.xlsx", lambda: with_member(good_xlsx(), "xl/b.zip", b"x"), "nother archive", 1),
    "XML entity bomb in sheet": ("a.xlsx", lambda: with_sheet(entity_bomb()), "DOCTYPE", 0.2),
    "external entity file": ("a.xlsx", lambda: with_sheet(EXTERNAL), "DOCTYPE", 1),
    "macro workbook .xlsm": ("a.xlsm", good_xlsx, "macros", 1),
    "old .xls": ("a.xls", lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest", "not read", 1),
    "sheet with 16384 columns": ("a.xlsx", lambda: with_cell(good_xlsx(), "XFD9", "<v>1</v>"), "250 col", 1),
    "CSV Latin-1": ("a.csv", lambda: "size,büste\nS,84".encode("latin-1"), "UTF-8", 1),
    "CSV field of 1 MB": ("a.csv", lambda: b"size,bust\nS," + b"9" * 1_000_000, "1,000 characters", 1),
    "CSV with NUL": ("a.csv", lambda: b"a\x00b,c", "zero byte", 1),
    "CSV ragged rows": ("a.csv", lambda: b"a,b\n1\n1,2,3", "2 has 1 cell, line 3 has 3 cells", 1),
    "CSV duplicate headers": ("a.csv", lambda: b"size,size\nS,S", "Two columns", 1),
    "CSV 1M lines": ("a.csv", lambda: b"1,2\n" * 1_000_000, "5,000 rows", 1),
    "CSV unclosed quote": ("a.csv", lambda: b'size,bust\nS,"abc', "never closed", 1),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_unsound_files_are_refused_in_one_sentence(case: str) -> None:
    name, make, words, seconds = REFUSED[case]
    data = make()
    took = []
    for _ in range(3):  # the machine may be busy: the quickest counts
        started = time.perf_counter()
        assert words in refusal(name, data)
        took.append(time.perf_counter() - started)
    assert min(took) < seconds


def test_every_known_bad_table_is_tested_here() -> None:
    read_or_named = {
        "formula cell instead of value", "date in size cell", "CSV with BOM", "CSV UTF-16",
        "CSV with ; and decimal comma",
    }  # fmt: skip
    files = {case["case"] for case in CASES if not case["case"].startswith("size table: ")}
    assert files == set(REFUSED) | read_or_named


@pytest.mark.parametrize(
    ("name", "made", "words"),
    [
        ("a.xlsx", lambda: b"", "empty"),
        ("a.xlsx", lambda: b"no workbook", "not a workbook"),
        ("a.xlsx", lambda: b"PK\x03\x04broken", "damaged"),
        ("a.csv", lambda: b"9" * (5 * 1024 * 1024 + 1), "5 MB"),
        ("a.csv", lambda: b"\n\n", "empty"),
        ("a.xlsx", lambda: many_members(3), "This workbook can’t be read"),
        ("a.xlsx", lambda: many_members(20_000), "500 parts"),
        ("a.xlsx", lambda: with_member(good_xlsx(), "xl/vbaProject.bin", b"x"), "macros"),
        ("a.xlsx", lambda: with_member(good_xlsx(), "xl/media/x.bin", b"PK\x03\x04"), "nother archive"),
        ("a.xlsx", lambda: with_sheet(b"<a"), "not readable"),
        ("a.xlsx", lambda: with_sheet('<?xml version="1.0"?>'.encode("utf-16")), "not readable"),
        ("a.xlsx", lambda: with_cell(good_xlsx(), "A1048576", "<v>1</v>"), "5,000 rows"),
        ("a.ods", lambda: ods(FAR_DOWN + ods_row(ods_cell("x"))), "5,000 rows"),
    ],
)  # fmt: skip
def test_other_unsound_files_are_refused(name: str, made: Callable[[], bytes], words: str) -> None:
    assert words in refusal(name, made())


def test_a_sound_file_reads_alike_in_every_format() -> None:
    wanted = read_text("size,bust,hip\nS,84,92.5\nM,92,100\n")
    rows = [["size", "bust", "hip"], ["S", "84", "92.5"], ["M", "92", "100"]]
    table = ods("".join(ods_row(*(ods_cell(cell) for cell in row)) for row in rows))
    for name, data in (("a.xlsx", good_xlsx()), ("a.ods", table)):
        found = read_table(name, data)
        assert [found.head.cells, *(row.cells for row in found.rows)] == [
            wanted.head.cells,
            *(row.cells for row in wanted.rows),
        ]


def test_formula_cells_are_text_and_never_their_results() -> None:
    found = read_table("a.xlsx", xlsx([["size", "bust"], ["S", '=HYPERLINK("http://x.example","a")']]))
    assert found.rows[0].cells == ("S", '=HYPERLINK("http://x.example","a")')
    cells = [ods_row(ods_cell("size"), ods_cell("bust")),
             ods_row(ods_cell("S"), ods_cell("84", formula="of:=42*2", kind="float"))]  # fmt: skip
    assert read_table("a.ods", ods("".join(cells))).rows[0].cells == ("S", "=42*2")
    problems = read_size_table(found, name="Own", unit="cm").problems
    assert "formula" in problems[0]
    assert "Size S, “Bust girth”" in problems[0]


def test_a_date_is_named_by_its_cell() -> None:
    found = read_table("a.xlsx", xlsx([["size", "bust"], [dt.date(2026, 3, 5), 84]]))
    assert found.problems == ("Cell A2 is a date or time (2026-03-05): format it as text and type it again.",)
    assert "46086" not in table_text(found)
    assert read_size_table(found, name="Own", unit="cm").table is None


def test_byte_order_marks_are_dropped_and_utf_16_is_read() -> None:
    for data in (b"\xef\xbb\xbf" + GOOD.encode(), GOOD.encode("utf-16")):
        assert read_table("a.csv", data).head.cells == ("size", "bust", "hip")


def test_a_comma_is_a_decimal_point_only_beside_semicolons() -> None:
    found = read("size;bust\nS;92,5").table
    assert found is not None
    assert found.measurements[0].entries == (92.5,)
    assert "not a number" in read("size\tbust\nS\t92,5").problems[0]
    assert "line 2 has 3 cells" in refusal("a.csv", "size,bust\nS,92,5")


def test_cell_names_are_those_of_spreadsheets() -> None:
    assert [cell_name(2, 1), cell_name(0, 25), cell_name(0, 26), cell_name(0, 701)] == [
        "B3",
        "Z1",
        "AA1",
        "ZZ1",
    ]


def test_text_shown_for_checking_reads_back() -> None:
    found = read_text('size,"a ""b""",c\n"S","1",""\n')
    assert read_text(table_text(found)).rows == (found.rows[0],)


def labels(*names: Any) -> ReadTable:
    return read("size\tbust\n" + "".join(f"{name}\t{80 + at}\n" for at, name in enumerate(names)))


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (labels("S", "S"), "is there twice"),
        (labels("S", "s "), "is there twice"),
        (labels("S", ""), "label"),
        (labels(*range(201)), "at most 24"),
        (labels("a" + "\u0301" * 500), "40 characters"),
        (read("size\tbust\nS\t36 in\nM\t92 cm"), "is not in cm"),
        (read("size\tbust (in)\nS\t36"), "all in one unit"),
        (read("size\tbust\nS\t1e308"), "not a number"),
        (read("size\tbust\nS\t99999999999"), "between 0 and 10,000"),
        (read("size\tbust\nS\t-3"), "between 0 and 10,000"),
        (read("size\tbust\nS\t34-32"), "smaller number first"),
        (read("size\tbust\nS\t1-2-3"), "neither a number nor a range"),
    ],
)
def test_cells_that_do_not_fit_are_named(table: ReadTable, words: str) -> None:
    assert table.table is None
    assert any(words in problem for problem in table.problems), table.problems


def test_empty_cells_are_named_and_nothing_is_filled_in() -> None:
    found = read("size\tbust\nS\t36\nM\t\nL\t44")
    assert found.empty == ["Size M, “Bust girth”"]
    assert found.table is not None
    assert found.table.measurements[0].entries == (36, None, 44)


def test_sizes_out_of_order_are_noted_and_kept() -> None:
    found = read("size\tbust\nM\t40\nS\t36\nL\t44")
    assert found.table is not None
    assert found.table.sizes == ("M", "S", "L")
    assert "falls from 40 in size M to 36 in size S" in found.notes[0]


def test_numbers_as_people_type_them() -> None:
    found = read(
        'size\tbust\nA\t32–34 in\nB\t36 to 38\nC\t16½\nD\t16 1/4\nE\t-0\nF\t92.12345678901234567\nG\t40"',
        "in",
    )
    assert found.table is not None
    entries = list(found.table.measurements[0].entries)
    assert entries == [(32, 34), (36, 38), 16.5, 16.25, 0, 92.123457, 40]
    assert "is read as" in " ".join(found.notes)
    assert "6 decimals" in " ".join(found.notes)


@pytest.mark.parametrize("label", ["גדול", "🧶", "<b>S</b>", "=1+1"])
def test_unusual_labels_are_kept(label: str) -> None:
    found = labels(label).table
    assert found is not None
    assert found.sizes == (label,)


def test_a_table_may_lie_either_way() -> None:
    lying_down = read("measurement,unit,S,M\nBust girth,cm,84,92\nNape to waist,cm,41,42")
    standing = read("size,bust,nape to waist\nunit,cm,cm\nS,84,41\nM,92,42")
    assert lying_down.table is not None
    assert standing.table is not None
    assert lying_down.table.sizes == standing.table.sizes == ("S", "M")
    assert [one.name for one in standing.table.measurements] == ["bust", "nape_to_waist"]
    assert [one.entries for one in lying_down.table.measurements] == [
        one.entries for one in standing.table.measurements
    ]
    with pytest.raises(TableRefused, match="must say “size”"):
        read("bust,S\n84,1")
