"""How long rows are: each at the gauge of its own fabric, as the sheet tells which that is."""

from pathlib import Path

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.audit.row_fabrics import RowFabrics, Stretch, add_rows, length_of
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value

SAMPLES = Path(__file__).resolve().parents[4] / "catalogue" / "site" / "demo"
FABRICS = {
    "main": {"label": "Stocking stitch", "stitches": 20, "rows": 20, "over": "10 cm"},
    "rib": {"label": "Rib", "stitches": 20, "rows": 40, "over": "10 cm"},
}


def read(*values, **more):
    return read_pattern(pattern_file(*values, **{"sizes": ["M"], "fabrics": FABRICS, **more}))


@pytest.mark.parametrize(
    ("sample", "section", "printed"),
    [
        ("thistledrift_waistcoat", 1, "body_length"),
        ("thistledrift_waistcoat", 2, "body_length"),
        # The division is the first round of the body; two rounds of the sleeve stand before its first.
        ("cinderfell_raglan", 3, "side_length"),
        ("cinderfell_raglan", 4, "sleeve_length"),
    ],
)
def test_a_piece_is_as_long_as_the_sheet_says(sample, section, printed):
    # The sheet works the length out by itself, from the rows of both fabrics.
    made = grade(read_pattern((SAMPLES / f"{sample}.json").read_text(encoding="utf-8")))
    lines = [line for line in audit_pattern(facts_of(made.pattern, made)) if line.section == section]
    lengths = [counted.length for counted in lines[-1].sizes]
    assert lengths == pytest.approx(made.values[printed].worked.tolist())


def test_rows_are_of_the_fabric_that_their_value_is_worked_out_with():
    pattern = read(
        value("hem", kind="rows", formula="5 cm * rib.rows"),
        value("side", kind="rows", formula="(40 cm - hem / rib.rows) * main.rows"),
        value("plain", kind="rows", formula="side - 12 rows"),
        value("drop", kind="rows", list=[8]),
        value("deep", kind="length", formula="drop / rib.rows"),
        value("all_rows", kind="rows", formula="hem + side"),
        value("longer", kind="rows", formula="all_rows + 2 rows"),
        value("loose", kind="rows", list=[3]),
        shapings=[{"name": "waist", "from": 40, "to": 34, "over": "side", "each": 2}],
    )
    found = {
        name: RowFabrics(pattern).of(name)
        for name in ("hem", "side", "plain", "drop", "all_rows", "longer", "loose", "waist")
    }
    # Rows of two fabrics together, and those that nothing measures, are of none.
    assert found == {
        **dict.fromkeys(("hem", "drop"), "rib"),
        **dict.fromkeys(("side", "plain", "waist"), "main"),
        **dict.fromkeys(("all_rows", "longer", "loose")),
    }


@pytest.mark.parametrize(
    ("steps", "length"),
    [
        (["Work {hem} rows of rib.", "Knit {side} rows."], 50 + 100),
        (["Rib: *k1, p1; repeat from * to the end until there are {hem} rows.", "Knit 10 rows."], 50 + 50),
        (["Work {hem} rows of rib.", "Work until there are 10 rows above the rib."], 50 + 50),
        (["Knit 2 rows.", "Work until there are {hem} rows.", "Knit {side} rows."], 50 + 100),
        (["Work 4 rows in rib.", "Knit 10 rows."], 10 + 50),
        (["Knit 10 rows in stocking stitch.", "Work {hem - 10} rows of rib."], 50 + 25),
        (["Knit 10 rows."], 50),
    ],
)  # fmt: skip
def test_each_row_is_measured_at_its_own_gauge(steps, length):
    pattern = read(
        value("hem", kind="rows", formula="5 cm * rib.rows"),
        value("side", kind="rows", formula="10 cm * main.rows"),
        sections=[{"title": "Front", "steps": ["Cast on 40 sts.", *steps]}],
    )
    line = audit_pattern(facts_of(pattern, grade(pattern)))[-1]
    assert line.verdict == "agrees"
    assert line.sizes[0].length == pytest.approx(length)


def test_rows_that_are_taken_back_or_forgotten_have_no_length():
    kept = add_rows((Stretch(20, "rib"), Stretch(30, "main")), 24, "main")
    assert length_of(kept, read()) == pytest.approx(50 + 20)
    assert add_rows(kept, None, "main") == ()


def test_a_pattern_without_a_fabric_has_no_lengths():
    assert length_of((Stretch(4, None),), read(fabrics={})) is None
