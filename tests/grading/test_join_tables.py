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


def test_a_difference_that_is_the_same_in_all_sizes_is_told_once():
    border = lines("puffinbay_child")["Border below the back"]
    off = {cell.off for cell in border.cells}
    assert len(off) == 1
    assert border.worst_words == f"{off.pop()} in every size"
    assert border.where(border.wide) == "every size"
    others = [
        one for one in lines("brackenmere_pullover").values() if len({cell.off for cell in one.cells}) > 1
    ]
    assert others
    assert all(one.worst_words == f"worst in {one.worst}: {one.worst_off}" for one in others)


def test_by_how_much_an_edge_is_longer_stands_beside_the_ease_that_is_wanted():
    document = json.loads((DEMO / "cinderfell_raglan.json").read_text())
    yoke = next(one for one in document["joins"] if one["label"] == "Yoke below the neckband")
    yoke["ease"] = ["1 cm", "9 cm"]
    (line,) = [
        one
        for one in join_table(document, grade(read_pattern(document)), "cm")
        if one.label == "Yoke below the neckband"
    ]
    assert line.ease == "1 to 9 cm"
    assert line.edges == "Neckband, opened flat: edge"  # labels, not names
    assert {cell.off[-1] for cell in line.cells}.isdisjoint("%")  # beyond an ease it is a length
    for cell in line.cells:
        assert abs(float(cell.longer.replace("−", "-")) - (float(cell.edges) - float(cell.onto))) < 0.11
        assert cell.longer[0] in "+−"


def test_why_a_join_may_differ_stands_beside_it():
    document = json.loads((DEMO / "cinderfell_raglan.json").read_text())
    document["joins"][0]["note"] = "The rib is drawn in."
    line = join_table(document, grade(read_pattern(document)), "cm")[0]
    assert line.note == "The rib is drawn in."
    assert line.wide
