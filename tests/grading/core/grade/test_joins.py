"""Joined edges: measured in every size, and what is said of those that don't fit."""

import copy
import json
import math
from pathlib import Path

import pytest

from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade, regrade
from grading.core.pattern.file import read_pattern

SAMPLES = sorted((Path(__file__).resolve().parents[4] / "catalogue" / "site" / "demo").glob("*.json"))


def pattern(**changes):
    """A back and a sleeve at 20 stitches and 25 rows to 10 cm: an armhole of 20 cm on each of two pieces."""
    return {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Bank vest",
        "craft": "knitting",
        "home_units": "cm",
        "home_terms": "US",
        "sizes": ["S", "L"],
        "fabrics": {
            "main": {"label": "Stockinette", "stitches": 20, "rows": 25, "over": "10 cm"},
            "rib": {"label": "Rib", "stitches": 24, "rows": 32, "over": "10 cm"},
        },
        "values": [
            {"name": "armhole_rows", "kind": "rows", "list": [50, 60]},
            {"name": "armhole", "kind": "length", "formula": "armhole_rows / main.rows"},
            {"name": "taken_off", "kind": "stitches", "list": [8, 12]},
            {"name": "band_stitches", "kind": "stitches", "list": [56, 72]},
            {"name": "top", "kind": "length", "list": ["40 cm", "48 cm"]},
        ],
        "pick_ups": [
            {
                "name": "half",
                "along": "row ends",
                "count": "armhole_rows",
                "ratio": "1 per 1",
                "fabric": "rib",
            }
        ],
        "pieces": [
            {
                "name": "back",
                "label": "Back",
                "outline": [["0", "0"], ["50 cm", "0"], ["50 cm", "40 cm"], ["50 cm", "40 cm + armhole"]],
                "sides": [{"name": "armhole", "from": 3, "to": 4}],
            }
        ],
        "joins": [join()],
        **changes,
    }


def join(edges=(("top", 1),), onto=(("back.armhole", 2),), **more):
    """A join with its edges as (edge, times) or (edge, times, fabric)."""

    def written(rows):
        keys = ("edge", "times", "fabric")
        return [dict(zip(keys, row, strict=False)) for row in rows]

    return {
        "name": "set_in",
        "label": "Sleeve in its armhole",
        "edges": written(edges),
        "onto": written(onto),
        **more,
    }


def said(**changes):
    found = grade(read_pattern(pattern(**changes))).findings
    return [(one.size, one.weight, one.says) for one in found if one.where == "joins.set_in"]


def test_edges_that_fit_are_not_found():
    assert said() == []


def test_an_edge_that_is_too_short_is_found_with_both_lengths():
    made = pattern()
    made["values"][4] |= {"label": "Cap, along its edge", "list": ["40 cm", "42 cm"]}
    found = [one for one in grade(read_pattern(made)).findings if one.where == "joins.set_in"]
    assert [(one.size, one.weight) for one in found] == [("L", "warn")]
    assert found[0].says == (
        "“Cap, along its edge”, 42 cm, is joined to 2 × “Back: armhole”, 48 cm: 6 cm (12 %) too short. "
        "Change one of them until they fit."
    )


@pytest.mark.parametrize(("top", "is_found"), [("41.9 cm", False), ("42.1 cm", True), ("38.1 cm", False)])
def test_five_per_cent_are_allowed(top, is_found):
    made = pattern()
    made["values"][4]["list"] = [top, "48 cm"]
    found = [one for one in grade(read_pattern(made)).findings if one.where == "joins.set_in"]
    assert bool(found) is is_found


def test_a_join_may_have_a_tolerance_of_its_own():
    made = pattern(joins=[join(tolerance="15 %")])
    made["values"][4]["list"] = ["40 cm", "42 cm"]
    assert not [one for one in grade(read_pattern(made)).findings if one.where == "joins.set_in"]


def test_ease_is_asked_of_what_is_joined():
    """A cap wants 1 to 2.5 cm of ease (common practice)."""
    tight = join(ease=["1 cm", "2.5 cm"], tolerance="1 %")
    assert [size for size, _, _ in said(joins=[tight])] == ["S", "L"]
    assert "with its ease of 1 to 2.5 cm: 1 cm (2 %) too short" in said(joins=[tight])[0][2]


@pytest.mark.parametrize(
    ("top", "is_found"),
    [("39.9 cm", True), ("40.5 cm", True), ("40.7 cm", False), ("42.8 cm", False), ("43 cm", True)],
)
def test_beyond_an_ease_only_a_row_is_allowed_and_never_less_than_the_armhole(top, is_found):
    """5 % of 40 cm would be 2 cm: more than all of the ease. A row is 4 mm here."""
    made = pattern(joins=[join(ease=["1 cm", "2.5 cm"])])
    made["values"][4]["list"] = [top, "49.5 cm"]
    found = [one.size for one in grade(read_pattern(made)).findings if one.where == "joins.set_in"]
    assert found == (["S"] if is_found else [])


def test_what_is_cut_off_along_an_armhole_is_part_of_its_edge():
    """8 stitches taken off are 4 cm more than the row ends: 24 cm, a pick-up of 20.8 is 13 % short."""
    made = pattern(joins=[join([("half", 1)], [("back.armhole", 1)])])
    made["pieces"][0]["outline"][3:] = [
        ["50 cm - taken_off / main.stitches", "40 cm"],
        ["50 cm - taken_off / main.stitches", "40 cm + armhole"],
    ]
    made["pieces"][0]["sides"] = [{"name": "armhole", "from": 3, "to": 5}]
    graded = grade(read_pattern(made))
    assert graded.joins["set_in"].onto.tolist() == pytest.approx([240, 300])
    assert "20.8 cm, is joined to “Back: armhole”, 24 cm: 3.2 cm (13 %) too short" in graded.findings[0].says


def test_a_curve_is_measured_along_its_smooth_edge():
    """A quarter of a circle of 10 cm is 15.7 cm."""
    made = pattern(curves=[{"name": "bow", "width": 20, "depth": 25, "shape": "quarter ellipse", "every": 1}])
    made["pieces"][0]["outline"][3] = ["60 cm", "50 cm"]
    made["pieces"][0]["curves"] = [{"curve": "bow", "from": 3, "to": 4}]
    graded = grade(read_pattern(made))
    assert graded.joins["set_in"].onto[0] == pytest.approx(2 * 50 * math.pi)
    made["curves"][0]["shape"] = "straight"
    assert grade(read_pattern(made)).joins["set_in"].onto[0] == pytest.approx(2 * math.hypot(100, 100))


def test_a_rate_that_does_not_suit_the_gauges_is_found():
    """24 stitches over 25 rows are about 1 per 1; 3 per 4 is 22 % too few."""
    made = pattern(joins=[join([("half", 2)], tolerance="50 %")])
    made["values"][0] = {"name": "armhole_rows", "kind": "rows", "formula": "20 cm * main.rows"}
    assert grade(read_pattern(made)).findings == ()
    made["pick_ups"][0]["ratio"] = "3 per 4"
    found = grade(read_pattern(made)).findings
    assert [one.says for one in found] == [
        "“half” takes 3 per 4, 22 % too few for the gauges of Stockinette and Rib: 1 per 1 fits."
    ]


@pytest.mark.parametrize(
    ("armhole_rows", "others"),
    [
        # All rows are typed, those of the rib are taken off: what is left is no rib.
        ("all_rows - rib_rows", []),
        ("max(all_rows, rib_rows)", []),
        # The depth of the rib is part of a length alone.
        (
            "(20 cm - rib_depth) * main.rows",
            [{"name": "rib_depth", "kind": "length", "formula": "rib_rows / rib.rows"}],
        ),
        ("round(rib_rows / rib.rows * main.rows)", []),
    ],
)
def test_a_line_that_does_not_make_the_edge_says_nothing_of_its_rate(armhole_rows, others):
    """24 stitches over 25 rows are about 1 per 1 along the main fabric; along the rib 3 per 4 would fit."""
    made = pattern(joins=[join([("half", 2)], tolerance="90 %")])
    made["values"] += [
        {"name": "all_rows", "kind": "rows", "list": [60, 70]},
        {"name": "rib_rows", "kind": "rows", "formula": "3 cm * rib.rows"},
        *others,
    ]
    made["values"][0] = {"name": "armhole_rows", "kind": "rows", "formula": armhole_rows}
    assert [one for one in grade(read_pattern(made)).findings if one.where == "joins.set_in"] == []


@pytest.mark.parametrize(
    ("edges", "says"),
    [
        ([("back.neck", 1)], "The piece “Back” has no side “neck”, but armhole: name it in the piece."),
        ([("front.neck", 1)], "There is no piece “front”: choose a side of another piece."),
        ([("band_stitches", 1)], "“band stitches” is in stitches: choose the fabric that is worked on them."),
        ([("band_stitches", 1, "lace")], "There is no fabric “lace” to work by."),
        ([("nobody", 1)], "“edge”: There is no line called “nobody”."),
    ],
)
def test_an_edge_that_cannot_be_measured_is_a_stop(edges, says):
    assert said(joins=[join(edges)]) == [(None, "stop", says)]


def test_a_side_at_a_corner_that_is_not_there_is_a_stop_at_its_piece():
    made = pattern()
    made["pieces"][0]["sides"][0]["to"] = 7
    found = {one.where: one.says for one in grade(read_pattern(made)).findings}
    assert found["pieces.back"] == "The side “armhole” has no corner 7: the outline has the corners 1 to 4."


def test_an_option_that_does_not_exist_is_a_stop():
    assert said(joins=[join(when={"sleeves": "long"})])[0][1] == "stop"


@pytest.mark.parametrize(
    ("more", "path"),
    [({"tolerance": "5 cm"}, "tolerance"), ({"tolerance": "-5 %"}, "tolerance"),
     ({"ease": ["2 cm", "1 cm"]}, "ease"), ({"ease": ["2 rows", "3 rows"]}, "ease[0]")],
)  # fmt: skip
def test_a_join_that_is_none_is_refused_at_its_place(more, path):
    with pytest.raises(PatternFileError) as refused:
        read_pattern(pattern(joins=[join(**more)]))
    assert refused.value.path == f"$.joins[0].{path}"


def test_a_size_without_a_number_is_left_out():
    made = pattern()
    made["values"][4]["list"] = [None, "42 cm"]
    found = [one.size for one in grade(read_pattern(made)).findings if one.where == "joins.set_in"]
    assert found == ["L"]


def test_an_edit_of_a_corner_is_seen_at_the_join():
    before = read_pattern(pattern())
    made = copy.deepcopy(pattern())
    made["pieces"][0]["outline"][3] = ["50 cm", "45 cm"]
    after = read_pattern(made)
    assert regrade(grade(before), after).findings == grade(after).findings != ()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_what_is_joined_in_a_sample_fits_in_every_size(path):
    graded = grade(read_pattern(json.loads(path.read_text(encoding="utf-8"))))
    assert len(graded.joins) >= 3
    assert [one for one in graded.findings if one.where.startswith("joins")] == []


@pytest.mark.parametrize(
    ("step", "is_found"), [("{half} and {hem} sts", True), ("{half} sts. {hem} sts", False)]
)
def test_an_edge_of_the_same_sentence_that_a_join_leaves_out_is_found(step, is_found):
    """A band along three edges is as long as all of them."""
    made = pattern(joins=[join([("half", 1), ("other", 1)], tolerance="90 %")])
    half = made["pick_ups"][0]
    made["pick_ups"] += [{**half, "name": "other"}, {**half, "name": "hem"}]
    step = f"Pick up {{other}}, {step} along the edge."
    made["sections"] = [{"title": "Band", "steps": [step]}]
    found = [one.says for one in grade(read_pattern(made)).findings if "leaves out" in one.says]
    says = (
        "“Sleeve in its armhole”: the same sentence also works along “hem”, which this join leaves out. "
        "Add it to the join, and its length to the other side."
    )
    assert found == [says] * is_found
