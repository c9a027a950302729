"""A buttonhole too narrow for its button is noticed. Figures are derived; the share is common practice."""

import json
from pathlib import Path

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern

SAMPLE = Path(__file__).resolve().parents[4] / "catalogue" / "site" / "demo" / "thistledrift_waistcoat.json"


def says(size, step=None):
    """Its holes are of 2 sts, and 16 of these are 10 cm: 12.5 mm."""
    typed = json.loads(SAMPLE.read_text(encoding="utf-8"))
    typed["notions"][0]["size"] = size
    if step is not None:
        typed["sections"] = [{"title": "Band", "steps": [step]}]
    return [one.says for one in grade(read_pattern(typed)).findings if "buttonhole of" in one.says]


@pytest.mark.parametrize("size", ["15 mm", "15.6 mm", "of wood"])
def test_a_hole_of_four_fifths_of_its_button_is_wide_enough(size):
    assert says(size) == []


def test_a_narrower_hole_is_found():
    (found,) = says("18 mm")
    assert found.startswith(
        "A buttonhole of 2 sts is 12.5 mm wide, the button 18 mm: leave out more stitches"
    )


@pytest.mark.parametrize(
    ("step", "holes"),
    [
        ("Cast off 2 sts for the armhole, and work the buttonhole as before. Cast off 1 st.", []),
        ("Buttonhole row: 2 sc, *ch 2, skip the next 2 sc; repeat from * to the end.", ["2 sts"]),
        ("Make 4 buttonholes. For each, cast off the next 1 st.", ["1 st"]),
        ("Make 5 buttonholes. On the next row bind off 1 st for each.", ["1 st"]),
        ("Work 4 rows. Bind off 2 sts for a buttonhole.", ["2 sts"]),
        ("Buttonholes. Bind off 2 sts at the neck.", []),
    ],
)
def test_a_hole_is_what_is_said_of_a_buttonhole(step, holes):
    assert [one.split(" is ")[0] for one in says("18 mm", step)] == [
        f"A buttonhole of {one}" for one in holes
    ]
