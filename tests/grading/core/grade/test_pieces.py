"""Pieces are drawn to scale in every size."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from grading.core.grade.grade import grade
from grading.core.grade.pieces import (
    Bend,
    DrawnDimension,
    corner_problem,
    dimension_lines_of,
    draw_graded,
    draw_pieces,
    mirror_drawing,
    nest_box,
)
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import CurveEntry, PieceCurve, PieceDimension, PieceEntry
from tests.grading.core.sheets import found, graded
from tests.present import present

SAMPLES = Path(__file__).parents[4] / "catalogue" / "site" / "demo"


def outlines(*sizes):
    return np.array(sizes, dtype=float)


SMALL = [[0, 0], [400, 0], [400, 600], [0, 600]]
LARGE = [[0, 0], [500, 0], [500, 650], [0, 650]]


def test_a_rectangle_keeps_its_measures():
    drawing = present(draw_pieces(outlines(SMALL))[0])
    assert drawing.box == (0.0, 0.0, 400.0, 600.0)
    assert drawing.width_mm == 400
    assert drawing.area_mm2 == 400 * 600


def test_an_unknown_corner_leaves_its_size_out():
    broken = [[0, 0], [math.nan, 0], [400, 600], [0, 600]]
    first, second = draw_pieces(outlines(broken, LARGE))
    assert first is None
    assert present(second).width_mm == 500
    assert nest_box([first, second]) == (0, 0, 500, 650)
    assert nest_box([None]) is None


def test_the_nest_holds_every_size():
    assert nest_box(draw_pieces(outlines(SMALL, LARGE))) == (0, 0, 500, 650)


@pytest.mark.parametrize("bend", [Bend(2, 3), Bend(3, 2)])
def test_a_quarter_ellipse_takes_its_share_of_the_corner(bend):
    corners = [[0, 0], [100, 0], [0, 200]]
    area = present(draw_pieces(outlines(corners), [bend])[0]).area_mm2
    # derived: a quarter ellipse bulging outwards is π/4 · 100 · 200, inwards 100 · 200 less that
    quarter = math.pi / 4 * 100 * 200
    known = 100 * 200 - quarter if bend.start == 2 else quarter
    assert area == pytest.approx(known, rel=0.005)


def test_a_straight_curve_is_a_straight_edge():
    corners = [[0, 0], [100, 0], [0, 200]]
    drawing = present(draw_pieces(outlines(corners), [Bend(2, 3, "straight")])[0])
    assert drawing.area_mm2 == pytest.approx(10_000)


@pytest.mark.parametrize("numbers", [(1, 2), (0, 1)])
def test_dimension_lines_run_from_corner_to_corner(numbers):
    width = DrawnDimension("chest", *numbers)
    line = present(draw_pieces(outlines(SMALL, LARGE), dimensions=[width])[1]).lines[0]
    assert (line.value, line.start, line.end, line.length_mm) == ("chest", (0, 0), (500, 0), 500)


def test_a_corner_that_is_not_there_is_named():
    assert corner_problem(4, [], [DrawnDimension("chest", 1, 4)]) is None
    assert corner_problem(4, [], [DrawnDimension("chest", 0, 3)]) is None
    assert "no corner 5" in present(corner_problem(4, [], [DrawnDimension("chest", 1, 5)]))
    assert "no corner 4" in present(corner_problem(4, [Bend(0, 4)]))
    assert "no corner -1" in present(corner_problem(4, [Bend(-1, 2)]))


def test_mirroring_twice_changes_nothing():
    corners = [[0, 0], [300, 0], [250, 400], [0, 500]]
    drawing = present(draw_pieces(outlines(corners), [Bend(2, 3)], [DrawnDimension("side", 2, 3)])[0])
    once = mirror_drawing(drawing)
    assert once.box == drawing.box
    assert once.lines[0].start == (0.0, 0.0)
    assert once.lines[0].length_mm == pytest.approx(drawing.lines[0].length_mm)
    np.testing.assert_allclose(mirror_drawing(once).edge, drawing.edge)


def test_a_graded_piece_is_drawn_with_the_shape_of_its_curve():
    piece = PieceEntry(
        "front",
        "Front",
        (("0 cm", "0 cm"),) * 3,
        curves=(PieceCurve("neck", 2, 3), PieceCurve("armhole", 0, 0)),
        dimensions=(PieceDimension("width", 1, 2),),
    )
    corners = outlines([[0, 0], [100, 0], [0, 200]], [[0, 0], [200, 0], [0, 200]])
    straight = CurveEntry("neck", "w", "d", "straight", 1)
    small, large = (present(one) for one in draw_graded(piece, corners, [straight]))
    assert small.area_mm2 == pytest.approx(10_000)
    assert large.lines[0].length_mm == 200
    unshaped = present(draw_graded(piece, corners)[0])
    assert unshaped.area_mm2 < 6_000  # without its shape a quarter of an ellipse
    assert dimension_lines_of(piece)[0] == [Bend(2, 3)]


def test_a_piece_with_a_wrong_corner_is_not_drawn():
    piece = PieceEntry("front", "Front", (("0 cm", "0 cm"),) * 3, dimensions=(PieceDimension("width", 1, 9),))
    assert draw_graded(piece, np.zeros((2, 3, 2))) == [None, None]


def test_a_piece_of_a_pattern_is_drawn_from_its_formulas():
    typed = json.loads((SAMPLES / "brackenmere_pullover.json").read_text("utf-8"))
    typed["pieces"] = [
        {
            "name": "back",
            "label": "Back",
            "outline": [
                ["0 cm", "0 cm"],
                ["chest / 2", "0 cm"],
                ["chest / 2", "body_length"],
                ["0 cm", "body_length"],
            ],
            "dimensions": [
                {"value": "chest", "from": 1, "to": 2},
                {"value": "body_length", "from": 2, "to": 3},
            ],
        }
    ]
    pattern = read_pattern(typed)
    graded = grade(pattern)
    drawings = draw_graded(pattern.pieces[0], graded.pieces["back"], pattern.curves)
    for size, drawing in enumerate(present(one) for one in drawings):
        assert drawing.width_mm == pytest.approx(graded.values["chest"].worked[size] / 2)
        assert drawing.lines[1].length_mm == pytest.approx(graded.values["body_length"].worked[size])


@pytest.mark.parametrize(("corner", "is_wrong"), [("40 cm", True), ("39 cm", False)])
def test_a_side_between_corners_that_lie_on_each_other_is_told(corner, is_wrong):
    outline = [["0 cm", "0 cm"], ["40 cm", "0 cm"], ["40 cm", "60 cm"], [corner, "60 cm"], ["0 cm", "60 cm"]]
    piece = {
        "name": "back",
        "label": "Back",
        "outline": outline,
        "sides": [{"name": "under_arm", "from": 3, "to": 4}],
    }
    says = (
        "The side “under arm” has no length: its corners 3 and 4 are one. "
        "Correct a corner, or delete the side."
    )
    assert [one for _, _, one in found(graded(pieces=[piece]), "pieces.back") if "side" in one] == [
        says
    ] * is_wrong
