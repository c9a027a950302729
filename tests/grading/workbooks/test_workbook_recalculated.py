"""Exported workbooks, worked out by a spreadsheet program, give the numbers of the calculation itself."""

import io
import json
import math
import os
import random
import shutil
import subprocess
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from python_calamine import CalamineWorkbook

from grading.core.grade.grade import Graded, grade
from grading.core.pattern.file import read_pattern
from grading.tables.files import read_table
from grading.workbooks.files import ods_file, xlsx_file
from grading.workbooks.workbook import workbook_of
from tests.grading.core.sheets import measured, pattern_file, value

pytestmark = pytest.mark.any_database

DATA = Path(__file__).parents[3] / "catalogue" / "site" / "demo"
SAMPLES = ("brackenmere_pullover", "cinderfell_raglan", "puffinbay_child", "thistledrift_waistcoat")
FIRST_SIZE = 6
# The same sheet once more with another bust and another gauge, changed in the workbook by hand.
EDITED = "edited"


def stitches(name: str, formula: str, **more: Any) -> dict[str, Any]:
    return value(name, formula, kind="stitches", **more)


def long_formula() -> str:
    """A comparison of comparisons, deep enough to need rows of its own."""
    deep = "bust"
    for turn in range(8):
        deep = f"(if {deep} * 1.01 > hip + {turn} mm then bust - 1 mm else hip)"
    return deep[1:-1]


def every_kind() -> dict[str, Any]:
    """A sheet with every operator, function, rounding and source, with nulls, mistakes and troubles."""
    return pattern_file(
        value("width", "(bust + 4 in) / 2", measured=measured()),
        stitches("back", "width * main.stitches", round={"to": "nearest", "fabric": "lace"}),
        stitches("ribbed", "back - 200 stitches", round={"to": "nearest", "multiple": 4, "plus": 2}),
        stitches("up_by", "width * main.stitches", round={"to": "up", "multiple": 3, "plus": 1}),
        stitches("down_by", "width * main.stitches", round={"to": "down", "multiple": 3, "plus": -1}),
        stitches("no_plus", "30.5 stitches - 100 stitches", round={"to": "up", "fabric": "main"}),
        stitches("half", "21 stitches / 2"),
        stitches("nearly_half", "(21 stitches - 0.0000000001 stitches) / 2"),
        value("to_half_cm", "width / 3", round={"to": "nearest", "multiple": "0.5 cm"}),
        value("rows_listed", kind="rows", list=[34, None, 36.5]),
        value("stepped", kind="length", steps={"base_size": "M", "base": "20 cm", "step": ["1 in", "2 cm"]}),
        stitches("away", "round(0 - 2.5 stitches) + round(3.5 stitches)"),
        stitches("evened", "even(back / 7) - even(0 - back / 9)"),
        stitches("odd_one", "odd(back / 7) + odd(0 - back / 9) + odd(0 stitches)"),
        stitches("ceiled", "ceiling(back / 7, 0.25 stitches) + ceiling(0 - back / 9)"),
        stitches("floored", "floor(back / 7, 0 - 4 stitches) + floor(0 - back / 9)"),
        value("least", "min(bust, hip, 91 cm) + max(bust, hip) - sum(1 cm, 2 cm, 3 mm)"),
        value("root", "sqrt(bust * bust + hip * hip)"),
        value("root_of_negative", "sqrt((bust - 85 cm) * 1 cm)"),
        value("divided", "1 cm / (bust - 90 cm) * 1 cm"),
        value("waits", "divided + 1 cm"),
        value("chosen", "if size_number = 2 then 5 cm else if hip > 95 cm then 6 cm else 7 cm"),
        value("untaken", "if bust < 85 cm then 1 cm else hip"),
        value("logic", "if not (bust < 85 cm or hip < 95 cm) and bust <> 90 cm then abs(0 - hip) else -1 cm"),
        value("alike", "if bust * 3 / 3 = bust and bust >= bust * (1 + 0.00000000001) then 1 cm else 2 cm"),
        value("unlike", "if bust < bust * 1.000001 and bust <= bust and bust > 0 then 1 cm else 2 cm"),
        value("ratio_of", "7 % * 3 - 0.2", kind="ratio"),
        value("deep", long_formula()),
        value("unreadable", "bust +"),
        value("hangs_on_it", "unreadable * 2"),
        value("round_about", "about_round"),
        value("about_round", "round_about"),
        value("neckline", "front_neck.length + slope.length + flat.length + steep.length"),
        stitches("collar", "edge_stitches + main.multiple + main.plus"),
        value("wool", "30 m yarn + 2 m yarn", kind="yarn"),
        value("heavy", "1 oz * 2", kind="weight"),
        value("stitch_area", "back * 10 rows", kind="area"),
        body={
            "bust": {"label": "Bust girth", "unit": "cm", "values": [80, 90, 100]},
            "hip": {"label": "=1+1", "unit": "in", "values": [36, 38.5, None]},
        },
        fabrics={
            "main": {"label": "Main", "stitches": 20, "rows": 28, "over": "10 cm"},
            "lace": {
                "label": "Lace",
                "stitches": 18.5,
                "rows": 26,
                "over": "4 in",
                "multiple": 12,
                "plus": 3,
            },
        },
        curves=[
            {"name": "front_neck", "width": "half", "depth": 8, "shape": "quarter ellipse", "fabric": "main"},
            {"name": "slope", "width": "half", "depth": 8, "shape": "straight", "every": 1, "fabric": "lace"},
            {"name": "flat", "width": 300, "depth": 1, "shape": "quarter ellipse", "fabric": "main"},
            {"name": "steep", "width": 0, "depth": 40, "shape": "quarter ellipse", "fabric": "main"},
        ],
        pick_ups=[{"name": "edge_stitches", "along": "row ends", "count": "rows_listed", "ratio": "3 per 4",
                   "round": {"to": "nearest", "fabric": "lace"}}],
        checks=[
            {"name": "wide", "holds": "back > 20 stitches and hip > 0", "says": "Thin.", "weight": "stop"},
            {"name": "even_halves", "holds": "2 * half = back", "says": "Odd.", "weight": "warn"},
            {"name": "nonsense", "holds": "half + 1 row", "says": "Nonsense.", "weight": "warn"},
        ],
    )  # fmt: skip


FORMS = [
    "({0} + {1})", "({0} - {1})", "{0} * {1} / 50", "{0} / {1}", "-{0}", "min({0}, {1})", "max({0}, {1}, 3)",
    "sum({0}, {1}, {2})", "abs({0})", "sqrt(abs({0}))", "round({0})", "even({0})", "odd({0})", "floor({0})",
    "ceiling({0}, {1})", "ceiling({0})", "floor({0}, 0.25)", "(if {0} {sign} {1} then {2} else {0})",
    "(if {0} {sign} {1} and not {1} {sign} {2} then {0} else {1})",
    "(if {0} {sign} {2} or {1} > 9 then 1 else {2})",
]  # fmt: skip


def by_chance(chance: random.Random, names: list[str], depth: int) -> str:
    """A formula of plain numbers."""
    if depth == 0 or chance.random() < 0.15:
        literals = [str(chance.randint(0, 40)), f"{chance.randint(1, 999) / 100}"]
        return chance.choice([*names, *names, *literals])
    parts = [by_chance(chance, names, depth - 1) for _ in range(3)]
    sign = chance.choice(["<", "<=", ">", ">=", "=", "<>"])
    return "(" + chance.choice(FORMS).format(*parts, sign=sign) + ")"


def many_by_chance() -> dict[str, Any]:
    """Two hundred lines of every operator and function, some rounded, some without a number."""
    chance = random.Random(1871)
    given = {"a": [2.5, -7.125, -40], "b": [0, 12.4, 3], "c": [0.1, 10.5, 99.99], "rare": [4, None, 6.5]}
    values = [value(name, kind="ratio", list=numbers) for name, numbers in given.items()]
    while len(values) < 200:
        names = ["a", "b", "c", chance.choice(values)["name"]]
        formula = by_chance(chance, names, 3)
        step = {"multiple": chance.randint(1, 4), "plus": chance.randint(-2, 2)}
        whole = {"round": {"to": chance.choice(["nearest", "up", "down"]), **step}}
        if len(formula) < 480:
            rounding = whole if chance.random() < 0.4 else {}
            values.append(value(f"v{len(values)}", formula, kind="ratio", **rounding))
    return pattern_file(*values)


def documents() -> dict[str, dict[str, Any]]:
    read = {name: json.loads((DATA / f"{name}.json").read_text("utf-8")) for name in SAMPLES}
    return {**read, "every_kind": every_kind(), "by_chance": many_by_chance()}


def edited_workbook(original: bytes) -> bytes:
    """Another bust, typed by hand as a person would, and another gauge."""
    book = openpyxl.load_workbook(io.BytesIO(original))
    body, fabrics = book["Body"], book["Fabrics"]
    assert body["A3"].value == "bust"
    for column, number in zip("GHI", (820, 935.5, 1100), strict=True):
        body[f"{column}3"] = number
    assert fabrics["A2"].value == "main"
    fabrics["C2"], fabrics["I3"] = 21.5, 5
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()


def edited_document() -> dict[str, Any]:
    document = every_kind()
    document["body"]["bust"]["values"] = [82, 93.55, 110]
    document["fabrics"]["main"] = {**document["fabrics"]["main"], "stitches": 21.5}
    document["fabrics"]["lace"]["plus"] = 5
    return document


def convert(folder: Path, kind: str, files: list[Path]) -> Path:
    """Let a spreadsheet program open files, work them out and save them as another kind."""
    soffice = shutil.which("soffice")
    if soffice is None:
        says = "LibreOffice (soffice) is missing: install libreoffice-calc."
        if os.environ.get("EVENROW_REQUIRE_BROWSER"):
            pytest.fail(says)
        pytest.skip(says)
    profile = f"-env:UserInstallation=file://{folder / 'profile'}"
    command = [
        soffice,
        profile,
        "--headless",
        "--convert-to",
        kind,
        "--outdir",
        str(folder / "out"),
        *map(str, files),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    return folder / "out"


@pytest.fixture(scope="module")
def recalculated(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """All workbooks after a spreadsheet program has worked them out, by name and kind."""
    folder = tmp_path_factory.mktemp("workbooks")
    for name, document in documents().items():
        workbook = workbook_of(grade(read_pattern(document)))
        (folder / f"{name}-xlsx.xlsx").write_bytes(xlsx_file(workbook))
        (folder / f"{name}-ods.ods").write_bytes(ods_file(workbook))
    original = (folder / "every_kind-xlsx.xlsx").read_bytes()
    (folder / f"{EDITED}-xlsx.xlsx").write_bytes(edited_workbook(original))
    out = convert(folder, "xlsx", sorted(folder.glob("*-*.*")))
    return {path.stem: path.read_bytes() for path in out.glob("*.xlsx")}


def numbers_on(book: bytes, page: str) -> dict[str, list[Any]]:
    """The cells of each line of a page; errors (#N/A and the like) are None."""
    workbook = CalamineWorkbook.from_filelike(io.BytesIO(book))
    head, *rows = workbook.get_sheet_by_name(page).to_python(skip_empty_area=False)
    sizes = len([label for label in head[FIRST_SIZE:] if label != ""])
    found = {}
    for row in rows:
        cells = row[FIRST_SIZE : FIRST_SIZE + sizes]
        found[str(row[0])] = [None if isinstance(cell, str) else cell for cell in cells]
    return found


def same(ours: float, theirs: Any) -> bool:
    """Equal to 1e-6, or neither is a number."""
    if math.isnan(ours):
        return theirs is None
    return theirs is not None and abs(ours - float(theirs)) <= 1e-6


def assert_same(graded: Graded, book: bytes) -> None:
    values, checks = numbers_on(book, "Values"), numbers_on(book, "Checks")
    lines = {name: list(of.worked) for name, of in graded.values.items()}
    lines |= {name: list(stitches) for name, stitches in graded.pick_ups.items()}
    differing = {
        name: (numbers, values[name])
        for name, numbers in lines.items()
        if len(values[name]) != len(numbers)
        or not all(same(ours, theirs) for ours, theirs in zip(numbers, values[name], strict=True))
    }
    assert differing == {}
    assert {name: [None if one is None else bool(one) for one in checks[name]] for name in graded.checks} == {
        name: list(results) for name, results in graded.checks.items()
    }


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
@pytest.mark.parametrize("name", [*SAMPLES, "every_kind", "by_chance"])
def test_every_value_recalculated_equals_ours(recalculated: dict[str, bytes], name: str, kind: str) -> None:
    assert_same(grade(read_pattern(documents()[name])), recalculated[f"{name}-{kind}"])


def test_a_number_changed_in_the_workbook_works_through_as_in_the_sheet(
    recalculated: dict[str, bytes],
) -> None:
    assert_same(grade(read_pattern(edited_document())), recalculated[f"{EDITED}-xlsx"])


def test_the_numbers_are_not_stored_with_the_export() -> None:
    # Otherwise the tests above would read our own numbers back.
    book = io.BytesIO(xlsx_file(workbook_of(grade(read_pattern(every_kind())))))
    typed, stored = (openpyxl.load_workbook(book, data_only=only)["Values"] for only in (False, True))
    formulas = [cell for row in typed for cell in row if cell.data_type == "f"]
    assert len(formulas) > 100
    assert {stored[cell.coordinate].value for cell in formulas} == {None}


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
def test_tables_saved_by_a_spreadsheet_program_are_read(tmp_path: Path, kind: str) -> None:
    typed = tmp_path / "sizes.csv"
    typed.write_text("size,bust,hip\nS,84,=42*2+8.5\nM,,100\n2X,120-124,130\n", "utf-8")
    out = convert(tmp_path, kind, [typed])
    found = read_table(f"sizes.{kind}", (out / f"sizes.{kind}").read_bytes())
    assert found.head.cells == ("size", "bust", "hip")
    assert [row.cells for row in found.rows] == [
        ("S", "84", "=42*2+8.5"),
        ("M", "", "100"),
        ("2X", "120-124", "130"),
    ]
