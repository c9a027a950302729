"""A graded pattern as a table in plain text."""

from grading.core.grade.text import graded_lines
from tests.grading.core.sheets import MAIN, graded, value


def squeezed(of):
    return [" ".join(line.split()) for line in graded_lines(of)]


def test_values_stand_under_their_sizes_in_their_units():
    of = graded(
        value("chest", "bust + 4.04 cm"),
        value("front", list=[40, None, 48], kind="stitches"),
        value("part", "0.125", kind="ratio"),
        pick_ups=[{"name": "band", "along": "row ends", "count": 40, "ratio": "3 per 4"}],
        checks=[{"name": "wide", "holds": "bust > 85 cm", "says": "Wide.", "weight": "warn"}],
    )
    lines = squeezed(of)
    assert lines[:6] == [
        "S M L",
        "chest (cm) 84.0 94.0 104.0",
        "front (stitches) 40 – 48",
        "part (ratio) 0.12 0.12 0.12",
        "band (picked up) 30 30 30",
        "wide (check) fails holds holds",
    ]
    assert "warn: checks.wide, size S: Wide." in lines


def test_inches_have_two_decimals():
    of = graded(value("chest", "2.54 cm"), home_units="in")
    assert squeezed(of)[1] == "chest (in) 1.00 1.00 1.00"


def test_columns_are_aligned_to_the_right_under_long_sizes():
    of = graded(value("front", list=[8, 120], kind="stitches"), sizes=["S", "XXXXL"])
    sizes, front = list(graded_lines(of))[:2]
    assert sizes.split() == ["S", "XXXXL"]
    assert (sizes.index("S") + 1, len(sizes)) == (front.index("8") + 1, len(front))
    assert front.endswith("  8    120")


def test_yarn_is_told_for_every_choice_and_a_finding_names_its_place():
    swatch = {"stitches": 20, "rows": 20, "weight": "10 g"}
    of = graded(
        value("spoilt", "1 cm +"),
        fabrics={"main": {**MAIN, "swatch": swatch}},
        options=[{"name": "belt", "label": "Belt", "choices": ["with", "without"], "default": "with"}],
        yarns=[{"colour": "A", "label": "Larkmoss Orrendale", "length_per_100g": "200 m", "put_up": "50 g"}],
        yarn_sections=[
            {"name": "Body", "fabric": "main", "worked": "40 stitches * 100 rows", "colour": "A"},
            {
                "name": "Belt",
                "fabric": "main",
                "worked": "40 stitches * 20 rows",
                "colour": "A",
                "when": {"belt": "with"},
            },
        ],
    )
    # By hand: the swatch has 400 stitch-rows for 10 g; the body 4,000 (100 g), the belt 800 (20 g).
    lines = squeezed(of)
    chosen = lines.index("Yarn (belt with)")
    assert lines[chosen + 1 : chosen + 5] == [
        "S M L",
        "A, g 120 120 120",
        "A, m 240 240 240",
        "A, balls 3 3 3",
    ]
    bare = lines.index("Yarn (belt without)")
    assert lines[bare + 2 : bare + 5] == ["A, g 100 100 100", "A, m 200 200 200", "A, balls 2 2 2"]
    assert any(line.startswith("stop: values.spoilt, line 1, column ") for line in lines)
    assert lines[-1] == "1 findings, 1 of them in the way of publishing."
