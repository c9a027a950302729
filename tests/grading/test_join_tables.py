"""The table of joins: lengths, differences and what is only let pass by a wider tolerance."""

import json
from pathlib import Path

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.grid.join_tables import join_table

DEMO = Path(__file__).resolve().parents[2] / "catalogue" / "site" / "demo"


def lines(name, **tolerances):
    """The joins of a sample, by their labels; tolerances of some by their names."""
    document = json.loads((DEMO / f"{name}.json").read_text())
    for join in document["joins"]:
        if join["name"] in tolerances:
            join["tolerance"] = tolerances[join["name"]]
    return {one.label: one for one in join_table(document, grade(read_pattern(document)), "cm")}


# What a technical editor worked out by hand from the printed counts and gauges of the demonstration.
@pytest.mark.parametrize(
    ("name", "label", "off", "tolerance"),
    [
        ("cinderfell_raglan", "Yoke below the neckband", 8.3, "10 %"),
        ("cinderfell_raglan", "Cuff rib below the sleeve", 8.3, "10 %"),
        ("puffinbay_child", "Border below the back", 6.3, "8 %"),
    ],
)
def test_a_join_that_only_a_wider_tolerance_lets_pass_is_marked(name, label, off, tolerance):
    line = lines(name)[label]
    assert float(line.worst_off.strip("+− %")) == off
    assert (line.tolerance, line.misfits) == (tolerance, ())
    cell = next(cell for cell in line.cells if cell.size == line.worst)
    assert line.worst in line.wide
    assert abs(float(cell.edges) / float(cell.onto) - 1) * 100 == pytest.approx(off, abs=0.06)


def test_the_same_join_does_not_fit_within_the_usual_tolerance():
    wide = lines("puffinbay_child")["Border below the back"].wide
    line = lines("puffinbay_child", back_hem="5 %")["Border below the back"]
    assert (line.misfits, line.wide) == (wide, ())
    fitting = lines("puffinbay_child")["Side seam"]
    assert {cell.off for cell in fitting.cells} == {"0 %"}
    assert (fitting.worst, fitting.wide, fitting.misfits) == ("", (), ())
