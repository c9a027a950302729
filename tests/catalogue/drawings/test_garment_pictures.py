"""The garment put together from its pieces: each in its place, with measurements, order of work and joins."""

import re
from dataclasses import replace
from itertools import combinations
from string import ascii_uppercase

import numpy as np
import pytest
from django.template.loader import render_to_string

from catalogue.drawings.garment_pictures import garment_picture
from catalogue.drawings.joining import joining_picture
from catalogue.drawings.scales import Room
from catalogue.drawings.work_orders import NOW, order_of_work
from catalogue.drawings.worn_pieces import is_made, role_of, worn_pieces
from catalogue.editions.sized_parts import SMALLEST_JOINED
from grading.beginnings.constructions import constructions
from grading.core.grade.grade import grade
from grading.core.grade.pieces import draw_graded
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PieceEntry
from grading.core.printing.edition import PrintForm
from tests.builders import sample
from tests.catalogue.builders import SAMPLES
from tests.catalogue.drawings.begun import begun
from tests.present import present


def read(name, **changes):
    pattern = read_pattern({**sample(name), **changes})
    graded = grade(pattern)
    return facts_of(pattern, graded), graded


def worn(name, place=3, **changes):
    facts, graded = read(name, **changes)
    pattern = facts.pattern
    defaults = {one.name: one.default for one in pattern.options}
    drawn = [
        (piece, present(draw_graded(piece, graded.pieces[piece.name], pattern.curves)[place]))
        for piece in pattern.pieces
        if is_made(piece.when, defaults)
    ]
    return worn_pieces(drawn)


def joined(name, **form):
    facts, graded = read(name)
    kept = range(len(facts.pattern.sizes))
    return joining_picture(facts, graded, PrintForm(**form), kept, type_mm=3)


@pytest.mark.parametrize(
    ("name", "label", "role"),
    [
        ("back", "Back", "back"),
        ("left_front", "Left front; the right mirrors it", "front"),
        ("piece", "Body, back or front", "body"),
        ("p2", "Sleeves (make 2)", "sleeve"),
        ("pocket", "Pocket", None),
        ("hand", "Mitten above the cuff, laid flat", None),
    ],
)
def test_what_a_piece_is_of_a_garment(name, label, role):
    assert role_of(PieceEntry(name, label, (("0", "0"),) * 4)) == role


@pytest.mark.parametrize(
    ("name", "roles"),
    [
        ("brackenmere_pullover", ["sleeve", "sleeve", "back", "front"]),
        ("cinderfell_raglan", ["sleeve", "sleeve", "body"]),
        ("puffinbay_child", ["sleeve", "sleeve", "hood", "back", "front", "front"]),
        ("thistledrift_waistcoat", ["back", "front", "front"]),
    ],
)
def test_a_garment_is_the_same_left_and_right(name, roles):
    pieces = worn(name)
    assert [one.role for one in pieces] == roles
    edges = np.concatenate([one.edge for one in pieces])
    assert edges[:, 0].min() == pytest.approx(-edges[:, 0].max(), abs=0.5)


def test_a_sleeve_keeps_its_length_and_lies_on_the_armhole():
    sleeve, _, back, _ = worn("brackenmere_pullover")
    corners = sleeve.own_corners
    placed = sleeve.corners
    for before, after in ((1, 2), (2, 3)):
        own = np.hypot(*(corners[after] - corners[before]))
        assert np.hypot(*(placed[after] - placed[before])) == pytest.approx(own)
    armhole = back.corners[[2, 3]]
    assert placed[3] == pytest.approx(armhole[0])
    top = sleeve.placed(np.array([[corners[:, 0].max() / 2, corners[:, 1].max()]]))[0]
    assert top[0] == pytest.approx(armhole[1][0], abs=0.1)
    assert placed[1][0] > armhole[0][0] + 100


def test_sides_of_half_fronts_lie_on_the_sides_of_the_back():
    for name in ("puffinbay_child", "thistledrift_waistcoat"):
        pieces = worn(name)
        back = next(one for one in pieces if one.role == "back").edge
        left, right = (one.edge for one in pieces if one.role == "front")
        assert left[:, 0].min() == pytest.approx(back[:, 0].min())
        assert right[:, 0].max() == pytest.approx(back[:, 0].max())
        assert left[:, 0].max() < right[:, 0].min()


def test_pieces_that_make_no_garment_are_not_put_together():
    pieces = [one for one in sample("brackenmere_pullover")["pieces"] if one["name"] == "sleeve"]
    facts, graded = read("brackenmere_pullover", pieces=pieces, joins=[])
    assert garment_picture(facts, graded, PrintForm(), range(9), type_mm=3) is None
    assert order_of_work(facts, graded, range(9)) == []
    assert joining_picture(facts, graded, PrintForm(), range(9), type_mm=3).rows == ()


def test_letters_of_upright_edges_stand_on_their_edges_however_small_a_piece_is():
    facts, graded = read("puffinbay_child")
    joining = joining_picture(facts, graded, PrintForm(sizes="10y"), (4,), type_mm=3, share=0.7)
    sides, armholes = ([mark for mark in joining.marks if mark.letter == letter][:2] for letter in "AC")
    for side, armhole in zip(sides, armholes, strict=True):
        assert armhole.y < side.y
        assert armhole.x == pytest.approx(side.x)
    (front_edge,) = [mark for mark in joining.marks if mark.letter == "E"][:1]
    assert sides[0].x < front_edge.x < sides[1].x
    # Those of level edges as well: shoulders are at the top of their pieces.
    assert [mark.y for mark in joining.marks if mark.letter == "B"] == [0, 0]


def test_the_picture_tells_its_measurements_and_says_them_for_those_who_do_not_see_it():
    facts, graded = read("brackenmere_pullover")
    picture = present(garment_picture(facts, graded, PrintForm(), range(9), type_mm=3))
    told = {line.label: line.texts for line in picture.key}
    assert told["Sleeve seam"] == "42 (42, 42, 42) [40, 40, 36] (36, 34) cm"
    assert {"Chest", "Neck width", "Length from shoulder", "Sleeve width at the wrist"} <= set(told)
    assert (picture.size, picture.choices) == ("XL", "with long sleeves")
    assert picture.frame.title.startswith("The garment laid flat, size XL. Chest 125.5 cm; Neck width 20 cm")
    assert len(picture.marks) == len(picture.key)


def test_the_order_of_work_shows_what_each_section_makes():
    facts, graded = read("puffinbay_child")
    steps = order_of_work(facts, graded, range(6))
    assert [step.title for step in steps] == [
        "Back",
        "Left front (as worn)",
        "Right front (as worn)",
        "Sleeves (make 2)",
        "Hood",
    ]
    assert [[layer.fill for layer in step.layers].count(NOW) for step in steps] == [1, 1, 1, 2, 1]


def test_the_step_that_makes_the_back_shows_it_from_behind_and_no_front():
    facts, graded = read("thistledrift_waistcoat")
    first, second, _ = order_of_work(facts, graded, range(8))
    (back,) = first.layers
    assert (first.title, back.fill) == ("Back", NOW)
    assert "seen from the back" in first.frame.title
    assert [step.is_back for step in (first, second)] == [True, False]
    assert [layer.fill for layer in second.layers].count(NOW) == 1
    assert second.layers[0].edge == back.edge
    assert len(second.layers) == 3
    assert "seen from the back" not in second.frame.title
    old = replace(facts, pattern=replace(facts.pattern, wording=2))
    assert len(order_of_work(old, graded, range(8))[0].layers) == 3


def test_joins_have_letters_rates_and_lengths():
    picture = joined("brackenmere_pullover")
    rows = {row.letter: row for row in picture.rows}
    assert list(rows) == ["A", "B", "C", "D", "E", "F"]
    assert rows["A"].words == "the side of the front to the side of the back"
    assert rows["C"].words == "to the hem of the back and the hem of the front"
    assert rows["E"].words == (
        "worked along the armhole of the back and the armhole of the front, 7 for every 5 row ends"
    )
    assert picture.has_single
    assert rows["B"].length == "12 (15, 17, 19.5) [21.5, 23.5, 25.5] (28, 30.5) cm"
    assert "Back: C, A, E, B, F; Front: C, A, E, B, F; Sleeve: D, E" in present(picture.frame).title


def meetings(joining):
    """How the edges of each letter meet, in the order of the pieces."""
    found: dict[str, list[str]] = {}
    for mark in joining.marks:
        found[mark.letter] = [*found.get(mark.letter, []), mark.meets]
    return found


@pytest.mark.parametrize("name", [*SAMPLES, *constructions()])
def test_the_key_of_letters_is_true_of_every_join(name):
    document = sample(name) if name in SAMPLES else begun(name)
    pattern = read_pattern(document)
    graded = grade(pattern)
    facts = facts_of(pattern, graded)
    joining = joining_picture(facts, graded, PrintForm(), range(len(pattern.sizes)), type_mm=3)
    told = meetings(joining)
    joins = dict(zip(ascii_uppercase, document.get("joins", []), strict=False))
    for letter, edges in told.items():
        # Joined to the others with its letter: one edge to all of them, or two edges to each other.
        assert edges.count("joined") <= 1 or edges == ["joined", "joined"]
        onto = {one["edge"] for one in joins[letter]["onto"]}
        both = {"back.armhole", "front.armhole"}, {"back.hem", "front.hem"}, {"back.neck", "front.neck"}
        if any(one <= onto for one in both):
            assert edges.count("worked") == 2
        if joins[letter]["name"] in ("side_seam", "shoulder_seam"):
            assert edges == ["joined", "joined"]
    words = render_to_string("catalogue/pdf/_joining.html", {"joining": joining, "wording": 3})
    flat = [meets for edges in told.values() for meets in edges]
    assert ("Dark letter:" in words) == ("joined" in flat)
    assert ("Light letter:" in words) == ("worked" in flat)
    assert "See the list for" not in words


def test_a_letter_stands_on_every_edge_that_is_drawn_of_a_join():
    # A sleeve is picked up along the armholes and a band along a neck that is no side of its back.
    assert meetings(joined("brackenmere_pullover"))["E"] == ["worked", "worked", "joined"]
    pattern = read_pattern(begun("cuff-to-cuff"))
    graded = grade(pattern)
    sizes = range(len(pattern.sizes))
    joining = joining_picture(facts_of(pattern, graded), graded, PrintForm(), sizes, type_mm=3)
    assert "Back with half of each sleeve: B, A, C; One front: B, C, A" in present(joining.frame).title
    assert meetings(joining)["C"] == ["worked", "worked"]


def test_several_edges_that_meet_several_are_told_by_the_list_alone():
    edges = [{"edge": "front.side"}, {"edge": "sleeve.top"}]
    onto = [{"edge": "back.side"}, {"edge": "back.armhole"}]
    join = {"name": "long_seam", "label": "Long seam", "edges": edges, "onto": onto, "tolerance": "90 %"}
    facts, graded = read("brackenmere_pullover", joins=[join])
    joining = joining_picture(facts, graded, PrintForm(), range(9), type_mm=3)
    assert set(meetings(joining)["A"]) == {"listed"}
    words = render_to_string("catalogue/pdf/_joining.html", {"joining": joining, "wording": 3})
    assert "See the list for A." in " ".join(words.split())


@pytest.mark.parametrize(
    ("edges", "words"),
    [
        ([("armhole_row_ends", 2)], "worked {} (on 2 edges)"),
        ([("armhole_row_ends", 1)], "worked {}"),
        (
            [("armhole_row_ends", 3), ("front.side", 1)],
            "the side of the front and stitches worked {} (on 3 edges)",
        ),
    ],
)
def test_a_pick_up_says_how_often_and_names_the_sides_beside_it(edges, words):
    told = [{"edge": edge, "times": times} for edge, times in edges]
    join = {"name": "band", "label": "Band", "edges": told, "onto": [{"edge": "back.side"}]}
    facts, graded = read("brackenmere_pullover", joins=[join])
    (row,) = joining_picture(facts, graded, PrintForm(), range(9), type_mm=3).rows
    assert row.words == words.format("along the side of the back, 7 for every 5 row ends")


@pytest.mark.parametrize(
    ("name", "join", "wording", "words"),
    [
        ("cinderfell_raglan", "A", 3, "the neck of the body (back and front) and the neck of each sleeve"),
        (
            "cinderfell_raglan",
            "A",
            2,
            "front, twice and the neck of the sleeve, twice",
        ),
        ("thistledrift_waistcoat", "D", 3, "picked up along the edge of each front and the neck"),
        ("cinderfell_raglan", "B", 3, "along the underarm of the body (back and front), 1 in each stitch"),
        ("cinderfell_raglan", "B", 2, "1 for each of the stitches"),
        ("puffinbay_child", "D", 3, "to the neck of each front and the neck of the back"),
        ("puffinbay_child", "E", 3, "4 for every 5 row ends and 3 for every 2 row ends (on 2 edges)"),
        ("puffinbay_child", "E", 2, "3 for every 2 row ends (2 times)"),
    ],
)
def test_an_edge_that_is_there_twice_is_told_of_each_piece(name, join, wording, words):
    facts, graded = read(name)
    facts = replace(facts, pattern=replace(facts.pattern, wording=wording))
    sizes = range(len(facts.pattern.sizes))
    rows = {
        row.letter: row.words for row in joining_picture(facts, graded, PrintForm(), sizes, type_mm=3).rows
    }
    assert words in rows[join]


def test_both_edges_are_told_where_one_is_longer_than_the_other():
    # The hood as its own drawing tells it: 50 sts at 15 in 10 cm are 33.3 cm.
    rows = {row.letter: row.length for row in joined("puffinbay_child").rows}
    assert rows["D"] == (
        "26.5 (26.5, 30.5, 30.5, 33.5, 33.5) cm spread evenly along 26.5 (26.5, 30.5, 30.5, 32.5, 32.5) cm"
    )
    # The sides are sewn before the border is worked below them.
    assert rows["A"] == "18 (22, 22, 27.5, 31, 34.5) cm"
    # The yoke is worked on from the neckband, and grows: the author lets the edges differ.
    of_neck, of_underarm, *_ = (row.length for row in joined("cinderfell_raglan").rows)
    assert of_neck.startswith("41.5 (41.5, ")
    assert " cm on the first edge and 45.5 (45.5, " in of_neck
    assert of_underarm.startswith("2.5 (")
    assert of_underarm.endswith(" cm altogether")
    facts, graded = read("puffinbay_child")
    facts = replace(facts, pattern=replace(facts.pattern, wording=2))
    old = joining_picture(facts, graded, PrintForm(), range(6), type_mm=3).rows
    assert {row.letter: row.length for row in old}["D"] == "26.5 (26.5, 30.5, 30.5, 32.5, 32.5) cm"


def test_a_join_of_pieces_worked_from_side_to_side_names_both_of_its_edges():
    pattern = read_pattern(begun("cuff-to-cuff"))
    graded = grade(pattern)
    sizes = range(len(pattern.sizes))
    picture = joining_picture(facts_of(pattern, graded), graded, PrintForm(), sizes, type_mm=3)
    words = "the side of one front to the side of the back with half of each sleeve"
    assert picture.rows[0].words == words


@pytest.mark.parametrize("units", ["cm", "in"])
@pytest.mark.parametrize("name", SAMPLES)
def test_no_line_of_the_garment_is_cut_off_at_the_edge_of_the_drawing(name, units):
    facts, graded = read(name)
    for place in range(len(facts.pattern.sizes)):
        picture = present(garment_picture(facts, graded, PrintForm(units=units), [place], type_mm=3))
        left, top, wide, high = (float(number) for number in picture.frame.view_box.split())
        spots = [spot.split() for spot in re.findall(r"[\d.-]+ [\d.-]+", picture.strokes)]
        xs, ys = np.array(spots, dtype=float).T
        assert left <= xs.min()
        assert xs.max() <= left + wide
        assert top <= ys.min()
        assert ys.max() <= top + high


def test_a_marker_stands_where_two_sides_meet_on_a_straight_edge():
    # At the armholes of back and front; between shoulder and neck stitches are counted.
    assert joined("brackenmere_pullover").markers.count("Z") == 2
    assert joined("cinderfell_raglan").markers == ""


@pytest.mark.parametrize("type_mm", [3, 5.4])
@pytest.mark.parametrize("name", SAMPLES)
def test_no_number_or_letter_hides_another(name, type_mm):
    facts, graded = read(name)
    for place in range(len(facts.pattern.sizes)):
        garment = present(garment_picture(facts, graded, PrintForm(), [place], type_mm=type_mm))
        spots = [[(mark.x, mark.y) for mark in garment.marks]]
        for share in (1.0, SMALLEST_JOINED):
            joining = joining_picture(facts, graded, PrintForm(), [place], type_mm=type_mm, share=share)
            spots.append([(mark.x, mark.y) for mark in joining.marks])
        for of_one in spots:
            apart = [np.hypot(a[0] - b[0], a[1] - b[1]) for a, b in combinations(of_one, 2)]
            assert min(apart) >= 2 * garment.disc_mm, facts.pattern.sizes[place]


@pytest.mark.parametrize("name", ["puffinbay_child", "thistledrift_waistcoat"])
def test_no_number_hides_the_band_with_its_buttons(name):
    facts, graded = read(name)
    for place in range(len(facts.pattern.sizes)):
        shown = present(garment_picture(facts, graded, PrintForm(), [place], type_mm=3, room=Room(0.7)))
        for mark in shown.marks:
            apart = [np.hypot(x - mark.x, y - mark.y) - radius for x, y, radius in shown.buttons]
            assert min(apart, default=shown.disc_mm) >= shown.disc_mm, (facts.pattern.sizes[place], mark)


@pytest.mark.parametrize("type_mm", [3, 5.4])
@pytest.mark.parametrize(
    "name", ["brackenmere_pullover", "cinderfell_raglan", "puffinbay_child", "thistledrift_waistcoat"]
)
def test_in_one_size_every_number_has_its_length(name, type_mm):
    facts, graded = read(name)
    for place in (0, len(facts.pattern.sizes) // 2):
        shown = present(garment_picture(facts, graded, PrintForm(), [place], type_mm=type_mm, room=Room(0.5)))
        assert all(mark.text for mark in shown.marks), facts.pattern.sizes[place]
        assert [mark.number for mark in shown.marks] == [line.number for line in shown.key]
        assert len(shown.marks) >= 3


def test_the_width_of_the_neck_is_drawn_on_the_hood_at_the_neck():
    facts, graded = read("puffinbay_child")
    for kept in (range(6), range(3), range(3, 6)):
        room = Room(0.7, smallest=15)
        picture = present(garment_picture(facts, graded, PrintForm(), kept, type_mm=5.4, room=room))
        neck = next(mark for mark in picture.marks if picture.key[mark.number - 1].label == "Back neck width")
        depth = next(mark for mark in picture.marks if picture.key[mark.number - 1].label == "Armhole depth")
        assert neck.y < depth.y - picture.disc_mm


def test_one_piece_made_in_two_sections_is_called_by_both():
    facts, graded = read("cinderfell_raglan")
    assert [step.title for step in order_of_work(facts, graded, range(12))] == [
        "Yoke, body",
        "Sleeves (make 2 alike)",
    ]


def test_choices_that_no_piece_hangs_on_are_not_named_below_the_picture():
    facts, graded = read("thistledrift_waistcoat")
    kept = range(len(facts.pattern.sizes))
    picture = present(garment_picture(facts, graded, PrintForm(), kept, type_mm=3))
    assert "Pockets" not in picture.choices


def test_pieces_are_named_shortly_beside_each_other():
    assert [one.label for one in joined("puffinbay_child").pieces] == [
        "Back",
        "Left front",
        "Sleeve",
        "Hood, opened flat",
    ]
    assert len({one.lines[0][0] for one in joined("puffinbay_child").pieces}) == 1


def test_long_names_in_large_print_are_broken_so_that_pieces_stay_beside_each_other():
    facts, graded = read("puffinbay_child")
    name = "Body and yoke of the tunic, front or back"
    pieces = tuple(replace(piece, label=name) for piece in facts.pattern.pieces)
    wide = replace(facts, pattern=replace(facts.pattern, pieces=pieces))
    picture = joining_picture(wide, graded, PrintForm(), [2], type_mm=5.4)
    rows = {one.lines[0][0] for one in picture.pieces}
    assert {one.label for one in picture.pieces} == {name}
    assert all(len(one.lines) > 1 for one in picture.pieces)
    assert len(rows) < len(picture.pieces)
    assert present(picture.frame).height_mm < 140  # half of a page of A4


def test_a_set_in_sleeve_begins_at_the_underarm_and_ends_behind_the_body():
    pattern = read_pattern(begun("set-in"))
    graded = grade(pattern)
    for place in range(len(pattern.sizes)):
        drawn = [
            (piece, present(draw_graded(piece, graded.pieces[piece.name], pattern.curves)[place]))
            for piece in pattern.pieces
        ]
        together = worn_pieces(drawn)
        body = next(one for one in together if one.role == "back")
        sleeve = next(one for one in together if one.role == "sleeve" and not one.is_mirrored)
        side = body.edge[:, 0].max()
        under = body.corners[body.corners[:, 0] >= side - 1.0][:, 1].max()
        assert np.abs(sleeve.edge - [side, under]).sum(axis=1).min() < 1.0
        # Behind the body it has two points alone: one deep behind it, one at the shoulder.
        assert sum(sleeve.edge[:, 0] < side - 1.0) == 2


def test_a_sleeve_has_no_letter_of_a_band_that_stands_in_its_place_and_no_letter_hides_a_marker():
    pattern = read_pattern(begun("drop-shoulder"))
    graded = grade(pattern)
    joining = joining_picture(
        facts_of(pattern, graded), graded, PrintForm(), range(len(pattern.sizes)), type_mm=3
    )
    assert "Sleeve: C." in present(joining.frame).title
    assert meetings(joining)["D"] == ["worked", "worked"]
    tips = [(float(x), float(y)) for x, y in re.findall(r"M([-\d.]+) ([-\d.]+)", joining.markers)]
    assert tips
    for x, y in tips:
        assert min(np.hypot(mark.x - x, mark.y - y) for mark in joining.marks) > joining.disc_mm
