"""Schematics: dimension lines tell the truth, stand beside the piece, and cover every measurement."""

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from catalogue.drawings.dimension_lines import NumberSetting, place_measures, set_number
from catalogue.drawings.nest_groups import ACROSS_MM, GAP_MM
from catalogue.drawings.nests import DASHES, draw_nest
from catalogue.drawings.scales import Room
from catalogue.drawings.schematics import LEAST_MM, TYPE_MM, schematics, strips
from grading.core.grade.grade import grade
from grading.core.grade.pieces import Bend, DimensionLine, DrawnDimension, draw_pieces
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.printing.edition import PrintForm
from tests.catalogue.drawings.begun import begun
from tests.present import present


def numbers(text):
    return [float(one) for one in re.findall(r"[\d.]+", text)]


SAMPLES = sorted((Path(__file__).parents[3] / "catalogue" / "site" / "demo").glob("*.json"))


def drawn(document, *, kept=None, type_mm=TYPE_MM, **edition):
    pattern = read_pattern(document)
    graded = grade(pattern)
    places = list(range(len(pattern.sizes))) if kept is None else kept
    return schematics(facts_of(pattern, graded), graded, PrintForm(**edition), places, type_mm=type_mm)


def sample(name):
    return json.loads(next(path for path in SAMPLES if path.stem == name).read_text("utf-8"))


def line(x1, y1, x2, y2):
    return DimensionLine("chest", (float(x1), float(y1)), (float(x2), float(y2)))


def numbers_of(path):
    return [float(number) for number in re.findall(r"-?\d+\.?\d*", path)]


@pytest.mark.parametrize(
    ("lines", "numbers", "around", "wanted"),
    [
        ([line(0, 0, 500, 0)], [500], False, NumberSetting("across", 1)),
        ([line(0, 0, 0, 600)], [600], False, NumberSetting("up", 1)),
        ([line(0, 0, 300, 400)], [500], False, NumberSetting("along", 1)),
        ([line(0, 0, 300, 400)], [400], False, NumberSetting("up", 1)),
        ([line(0, 0, 500, 0)], [1000], True, NumberSetting("across", 2)),
        ([line(0, 0, 500, 0)], [1000], False, NumberSetting("along", 0)),
        ([line(0, 0, 500, 0), None], [1004, float("nan")], True, NumberSetting("across", 2)),
        ([None], [500], True, NumberSetting("along", 0)),
    ],
)
def test_a_line_is_read_the_way_its_number_fits(lines, numbers, around, wanted):
    assert set_number(lines, numbers, around=around) == wanted


def test_a_dimension_line_is_as_long_on_paper_as_the_scale_says():
    corners = np.array([[[0.0, 0], [500, 0], [500, 600], [0, 600]]])
    named = [DrawnDimension("chest", 1, 2), DrawnDimension("length", 2, 3)]
    piece = present(draw_pieces(corners, dimensions=named)[0])
    measures, box = place_measures(
        piece, [NumberSetting("across", 1), NumberSetting("up", 1)], scale=10, type_mm=3
    )
    across, up = measures
    assert across.strokes.startswith("M0.00 ")
    assert "H50.00" in across.strokes
    assert (across.length, up.length) == (50, 60)
    # below the hem and right of the side, outside the piece
    assert across.at[1] > 60
    assert up.at[0] > 50
    assert box[0] < 0 < 60 < box[3]


def test_lines_of_one_side_do_not_lie_on_one_another():
    corners = np.array([[[0.0, 0], [500, 0], [500, 600], [400, 600], [100, 600], [0, 600]]])
    named = [DrawnDimension("wide", 6, 3), DrawnDimension("neck", 5, 4), DrawnDimension("shoulder", 4, 3)]
    piece = present(draw_pieces(corners, dimensions=named)[0])
    measures, _ = place_measures(piece, [NumberSetting("across", 1)] * 3, scale=10, type_mm=3)
    wide, neck, shoulder = (one.at[1] for one in measures)
    assert neck == shoulder  # beside each other
    assert wide < neck < 0  # farther out, above the piece


def test_a_slanting_line_runs_outside_along_its_edge():
    corners = np.array([[[0.0, 0], [300, 0], [300, 400]]])
    piece = present(draw_pieces(corners, dimensions=[DrawnDimension("seam", 1, 3)])[0])
    (seam,), _ = place_measures(piece, [NumberSetting("along", 1)], scale=10, type_mm=3)
    x1, y1, x2, y2 = numbers_of(seam.strokes)[:4]
    assert np.hypot(x2 - x1, y2 - y1) == pytest.approx(50, abs=0.02)
    assert seam.at[0] < 15  # to the left of the middle of the seam
    assert seam.at[1] < 20


def test_the_nest_lays_like_halves_middle_on_middle():
    corners = np.array([[[0.0, 0], [200, 0], [200, 100], [0, 100]],
                        [[0, 0], [400, 0], [400, 200], [0, 200]]])  # fmt: skip
    small, large = (present(piece) for piece in draw_pieces(corners))
    nest = draw_nest("Back", [("S", small), ("L", large)], scale=10, type_mm=3)
    xs = [sorted(numbers_of(one.edge)[::2]) for one in nest.lines]
    assert (xs[0][0], xs[0][-1]) == (10, 30)
    assert (xs[1][0], xs[1][-1]) == (0, 40)
    hems = [max(numbers_of(one.edge)[1::2]) for one in nest.lines]
    assert hems == [20, 20]


def test_the_nest_of_a_front_shares_its_origin():
    corners = np.array([[[0.0, 0], [200, 0], [200, 80], [150, 100], [0, 100]],
                        [[0, 0], [400, 0], [400, 180], [300, 200], [0, 200]]])  # fmt: skip
    small, large = (present(piece) for piece in draw_pieces(corners, [Bend(3, 4)]))
    nest = draw_nest("Front", [("S", small), ("L", large)], scale=10, type_mm=3)
    assert [min(numbers_of(one.edge)[::2]) for one in nest.lines] == [0, 0]


def test_24_sizes_are_told_apart_without_colour():
    sizes = [np.array([[0.0, 0], [200 + i, 0], [200 + i, 100], [0, 100]]) for i in range(24)]
    named = [(str(i), present(piece)) for i, piece in enumerate(draw_pieces(np.array(sizes)))]
    looks = {(one.dash, one.stroke_mm) for one in draw_nest("Back", named, scale=10, type_mm=3).lines}
    assert len(looks) == 24
    assert len(set(DASHES)) == len(DASHES)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_finished_measurement_of_a_sample_is_in_a_key_with_its_numbers(path):
    document = json.loads(path.read_text("utf-8"))
    pattern = read_pattern(document)
    lines = [one for schematic in drawn(document) for one in schematic.key]
    measured = {value.label for value in pattern.values if value.measured}
    strip = {"Each tie, free length", "Neck, round the cast-on edge"}
    assert measured - strip <= {one.label for one in lines}
    found = {"Width", "Length", "Neck width", "Neck depth"}
    assert {one.label for one in lines} <= measured | found
    assert all(re.search(r"\d", one.texts) for one in lines)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_dimension_line_of_a_sample_is_true_to_its_number(path):
    document = json.loads(path.read_text("utf-8"))
    pattern = read_pattern(document)
    graded = grade(pattern)
    around = {value.name: value.measured.around for value in pattern.values if value.measured}
    for piece in pattern.pieces:
        named = [DrawnDimension(one.value, one.start, one.end) for one in piece.dimensions]
        drawings = draw_pieces(graded.pieces[piece.name], dimensions=named)
        for place, one in enumerate(piece.dimensions):
            numbers = graded.values[one.value].worked.tolist()
            # A size that has no such measurement has no such piece.
            assert [drawing is None for drawing in drawings] == [math.isnan(number) for number in numbers]
            lines = [drawing.lines[place] if drawing else None for drawing in drawings]
            assert set_number(lines, numbers, around=around[one.value]).parts in (1, 2), (
                piece.name,
                one.value,
            )


def test_one_size_is_drawn_alone_with_its_numbers_on_the_lines():
    back = drawn(sample("brackenmere_pullover"), kept=[2])[0]
    assert back.nest is None
    assert back.piece.size == "M"
    # derived: twice 74 stitches over 14 stitches to 10 cm = 105.71 cm, printed 105.5; half of that is 52.75
    assert back.key[0].texts == "52.75 cm"
    assert back.key[0].note == "half of the measurement all round"
    assert (back.piece.labels[0].text, back.piece.units) == ("52.75", "cm")
    assert "1 Chest (half of the measurement all round) 52.75 cm" in back.piece.frame.title
    assert drawn(sample("brackenmere_pullover"), kept=[2], units="in")[0].piece.units == "inches"


@pytest.mark.parametrize("name", ["thistledrift_waistcoat", "puffinbay_child"])
def test_a_left_hand_edition_draws_the_pieces_of_the_same_garment(name):
    """Its sentences exchange starts and ends of rows: the right front as worn stays one."""
    right, left = drawn(sample(name))[1], drawn(sample(name), hand="left")[1]
    assert (left.label, left.piece.edge) == (right.label, right.piece.edge)


def test_all_pieces_share_one_scale_that_fits_the_page():
    of = drawn(sample("cinderfell_raglan"))
    assert len({one.scale for one in of}) == 1
    assert all(one.nest.frame.width_mm <= 82 for one in of if one.nest)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("type_mm", [TYPE_MM, 5.4])
def test_a_piece_and_its_nest_stand_side_by_side_in_print_of_either_size(path, type_mm):
    of = drawn(json.loads(path.read_text("utf-8")), type_mm=type_mm)
    widths = [one.piece.frame.width_mm + GAP_MM + one.nest.frame.width_mm for one in of if one.nest]
    assert widths
    assert max(widths) <= ACROSS_MM


def test_a_scale_gives_way_to_the_nest_but_not_without_end():
    pattern = replace(read_pattern(sample("brackenmere_pullover")), wording=1)
    graded = grade(pattern)
    facts = facts_of(pattern, graded)
    usual, large, huge = (
        schematics(facts, graded, PrintForm(), range(9), type_mm=type_mm)[0].scale
        for type_mm in (3.0, 7.0, 40.0)
    )
    assert (usual, large, huge) == ("1 : 12", "1 : 15", "1 : 12")


def test_pieces_set_close_stay_larger_than_their_numbers():
    pattern = read_pattern(sample("brackenmere_pullover"))
    graded, last = grade(pattern), [len(pattern.sizes) - 1]
    of = (facts_of(pattern, graded), graded, PrintForm(), last)
    scales = [
        float(schematics(*of, room=room)[0].scale.removeprefix("1 : "))
        for room in (Room(), Room(0.2), Room(0.2, LEAST_MM), Room(0.2, 1000.0))
    ]
    back = draw_pieces(graded.pieces["back"])[last[0]]
    assert back is not None
    length_mm = np.ptp(back.corners[:, 1])
    assert length_mm / scales[1] < 15
    # derived: a round scale is at the most a third smaller than the one that is asked for
    assert LEAST_MM / 1.33 <= length_mm / scales[2] <= 1.33 * LEAST_MM
    assert scales[3] == scales[0]  # all of the room is the most that there is


def test_a_piece_that_no_size_has_is_left_out():
    document = sample("brackenmere_pullover")
    document["pieces"][0]["outline"][0][0] = "1 cm / 0"
    assert [one.name for one in drawn(document)] == ["front", "sleeve"]


def test_a_dimension_of_an_unknown_value_is_drawn_without_a_number():
    document = sample("brackenmere_pullover")
    document["pieces"][0]["dimensions"][0]["value"] = "chezt"
    key = drawn(document)[0].key[0]
    assert (key.label, key.texts) == ("chezt", "– cm")


def test_a_nest_draws_no_more_sizes_than_can_be_told_apart_the_first_and_the_last_among_them():
    for name in ("cinderfell_raglan", "brackenmere_pullover", "puffinbay_child"):
        document = sample(name)
        for one in drawn(document):
            (nest,) = one.nests
            sizes = [line.size for line in nest.lines]
            assert 2 <= len(sizes) <= 5, one.name
            assert (sizes[0], sizes[-1]) == (document["sizes"][0], document["sizes"][-1])
            assert nest.caption.startswith(f"{len(sizes)} of {len(document['sizes'])} sizes, 1 : ")
            assert one.piece.frame.width_mm + GAP_MM + nest.frame.width_mm <= ACROSS_MM, one.name


def test_the_lines_of_a_nest_are_apart_where_sizes_differ_most():
    """derived: between its sides, or at its head, so much room for each size but the first"""
    for one in drawn(sample("cinderfell_raglan"), type_mm=5.4):
        (nest,) = one.nests
        points = [
            [tuple(map(float, pair.split())) for pair in line.edge[1:-1].split("L")] for line in nest.lines
        ]
        across, up = (
            [max(p[side] for p in edge) - min(p[side] for p in edge) for edge in points] for side in (0, 1)
        )
        room = max((max(across) - min(across)) / 2, max(up) - min(up))
        assert len(nest.lines) == 2 or room / (len(nest.lines) - 1) >= 2.19, one.name


@pytest.mark.parametrize("name", ["drop-shoulder", "raglan", "set-in", "cuff-to-cuff", "waistcoat"])
@pytest.mark.parametrize("type_mm", [TYPE_MM, 5.4])
def test_all_nests_of_a_pattern_have_one_round_scale_that_each_tells(name, type_mm):
    of = drawn(begun(name), type_mm=type_mm)
    told = {nest.caption.rpartition(", ")[2] for one in of for nest in one.nests}
    assert len(told) == 1
    assert told <= {f"1 : {scale}" for scale in (8, 10, 12, 15, 20, 25, 30, 40, 50)}
    assert {one.scale for one in of} <= {f"1 : {scale}" for scale in (8, 10, 12, 15, 20, 25, 30, 40, 50)}


def test_a_strip_is_told_in_words_and_not_drawn():
    document = sample("puffinbay_child")
    assert "tie" not in {one.name for one in drawn(document)}
    pattern = read_pattern(document)
    graded = grade(pattern)
    told = strips(facts_of(pattern, graded), graded, PrintForm(), range(6))
    when = "with buttons and ties; sizes 4y to 12y only"
    assert told == {"tie": f"Tie, free end (make 4; {when}): a strip, 14 cm long and 1 cm wide."}


def test_the_neck_of_a_piece_worked_sideways_is_no_longer_than_its_curve():
    """Its side `edge_and_neck_curve` runs on along the front edge."""
    document = begun("cuff-to-cuff")
    graded = grade(read_pattern(document))
    front = next(one for one in drawn(document) if one.name == "front")
    depths = next(line.texts for line in front.key if line.label == "Neck depth")
    corners = graded.pieces["front"]
    # derived: from the corner where the front edge ends up to the one where the shoulder begins
    curve_cm = (corners[:, 3, 1] - corners[:, 2, 1]) / 10
    assert np.abs(curve_cm - numbers(depths)).max() <= 0.3  # printed in halves; all sizes may share one
    lengths = next(line.texts for line in front.key if line.label == "Length")
    assert max(numbers(depths)) < min(numbers(lengths)) / 4


def test_width_and_neck_are_measured_where_no_line_of_the_pattern_shows_them():
    by_name = {one.name: one for one in drawn(sample("puffinbay_child"))}
    front = {line.label: line.texts for line in by_name["front"].key}
    assert front["Width"] == "15.5 (16.5, 18, 18.5, 20, 20.5) cm"
    assert front["Neck depth"] == "4.5 (4.5, 5.5, 5.5, 5.5, 5.5) cm"
    assert "Width" not in {line.label for line in by_name["back"].key}


def test_the_first_wording_draws_all_sizes_in_one_nest_and_strips_too():
    pattern = replace(read_pattern(sample("cinderfell_raglan")), wording=1)
    graded = grade(pattern)
    of = schematics(facts_of(pattern, graded), graded, PrintForm(), range(12))
    assert [one.name for one in of] == ["body", "sleeve", "neckband"]
    assert [len(nest.lines) for nest in of[0].nests] == [12]
    assert [line.number for line in of[0].key] == [1, 2, 3]


def test_a_back_that_is_not_half_of_the_chest_has_its_own_width():
    back = next(one for one in drawn(begun("cuff-to-cuff")) if one.name == "back")
    # derived: 102 rows at 24 rows over 10 cm in XS, where half of the closed chest is 43.5
    assert "(width of this piece)" in f"({back.key[0].note})"
    assert back.key[0].texts.startswith("42.5 (")
