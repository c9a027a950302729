"""Bands of stripes: one for sizes that begin alike, row numbers and ends, textures, no guessed greys."""

import re
from itertools import combinations, pairwise

import pytest
from django.template.loader import render_to_string

from catalogue.drawings.stripe_bands import DARK, LIGHT, draw_bands, swatch
from grading.core.yarn.stripes import StripeRepeat, plan_stripes
from tests.catalogue.drawings.test_stripe_plans import SHADES, waistcoat, work_of

COLOURS = {"A": "#4a3728", "B": "#8d6a9f", "C": "#d9c7a3"}
REPEAT = StripeRepeat((("A", 6), ("B", 2), ("C", 4)))


def bands(*rows, starts=None):
    plans = [
        (f"S{at}", plan_stripes(REPEAT, one, start))
        for at, (one, start) in enumerate(zip(rows, starts or [0] * len(rows), strict=True))
    ]
    return draw_bands(plans, COLOURS, 2.4)


def test_sizes_that_begin_alike_share_a_band_and_end_where_their_rows_do():
    (band,) = bands(20, 40, 30)
    assert [(one.text, one.x) for one in band.marks.ends] == [("S0", 48.0), ("S2", 72.0), ("S1", 96.0)]


def test_sizes_with_the_same_rows_are_marked_once():
    (band,) = bands(30, 30)
    assert [one.text for one in band.marks.ends] == ["S0, S1"]


def test_sizes_that_begin_elsewhere_in_the_repeat_have_their_own_band():
    assert [band.sizes for band in bands(30, 40, 50, starts=[0, 6, 0])] == [("S0", "S2"), ("S1",)]


def boxes_of(texts, type_mm):
    """What texts take of the paper: letters are half as wide as high, on the average."""
    for one in texts:
        half = len(one.text) * 0.5 * type_mm / 2
        yield one.x - half, one.y - 0.4 * type_mm, one.x + half, one.y + 0.4 * type_mm


def overlap(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@pytest.mark.parametrize("rows", [(20, 40), (74, 76, 78, 80, 82, 84, 86), range(20, 30)])
def test_no_size_or_row_number_lies_on_another_or_on_a_line_to_a_size(rows):
    (band,) = bands(*rows)
    marks = band.marks
    boxes = list(boxes_of([*marks.numbers, *marks.ends], band.type_mm))
    assert not any(overlap(*pair) for pair in combinations(boxes, 2))
    lines = [tuple(map(float, one)) for one in re.findall(r"M([\d.]+) 11L([\d.]+) ([\d.]+)", marks.down)]
    assert len(lines) == len(rows)
    for x0, x1, foot in lines:
        for share in (0.25, 0.5, 0.75, 1.0):
            x, y = x0 + (x1 - x0) * share, 11 + (foot - 11) * share
            assert not any(overlap((x, y, x, y - 0.01), box) for box in boxes)
    assert [one[1] for one in lines] == [one.x for one in marks.ends]
    left, top, wide, high = map(float, band.frame.view_box.split())
    assert min(box[0] for box in boxes) >= left
    assert max(box[2] for box in boxes) <= left + wide
    assert max(box[3] for box in boxes) <= top + high


def test_row_numbers_stand_at_the_ends_of_their_rows_and_each_size_tells_its_last():
    (band,) = bands(20, 40)
    told = [(one.text, one.x) for one in band.marks.numbers]
    assert told == [(str(at), pytest.approx(at * 2.4)) for at in (5, 10, 15, 25, 30, 35, 20, 40)]


def test_where_a_size_ends_is_seen_on_dark_yarn_and_the_outline_needs_no_second_line():
    (band,) = bands(20, 40)
    assert band.marks.across == "M48.00 0V11"
    drawn = render_to_string("catalogue/pdf/_stripe_band.svg", {"one": band})
    back, line = drawn.index('d="M48.00 0V11" fill="none" stroke="#ffffff"'), drawn.index('stripe-end"')
    assert back < line


def test_letters_stand_on_one_line_and_on_two_only_where_they_would_touch():
    assert len({one.y for one in bands(74)[0].marks.letters}) == 1
    narrow = StripeRepeat((("A", 1), ("B", 1), ("C", 1)))
    (band,) = draw_bands([("S", plan_stripes(narrow, 120))], COLOURS, 2.4)
    letters = band.marks.letters
    assert len(letters) == 120
    assert len({one.y for one in letters}) == 2
    assert not any(overlap(*pair) for pair in combinations(boxes_of(letters, band.type_mm), 2))


def test_the_stripes_fill_the_band():
    (band,) = bands(25)
    edges = sorted(
        (float(left), float(right))
        for fill in band.fills
        for left, right in re.findall(r"M([\d.]+) 0H([\d.]+)V", fill.d)
    )
    assert edges[0][0] == 0
    assert edges[-1][1] == pytest.approx(25 * 2.4)
    assert all(before[1] == after[0] for before, after in pairwise(edges))


def test_thirteen_colours_have_thirteen_textures():
    drawn = [swatch("#ffffff", place) for place in range(13)]
    assert len({(one.texture, one.dash) for one in drawn}) == len(drawn)


def test_every_colour_has_a_texture_of_its_own_that_is_seen_on_it():
    (band,) = bands(25)
    assert [bool(fill.texture) for fill in band.fills] == [False, True, True]
    assert len({(fill.texture, fill.dash) for fill in band.fills}) == 3
    assert [fill.ink for fill in band.fills] == [LIGHT, LIGHT, DARK]


def test_shades_are_drawn_as_they_are_and_nothing_is_guessed_of_a_yarn_without_one():
    key = work_of(waistcoat()).key
    assert [one.sample.colour for one in key] == ["#4a3728", "#8d6a9f", "#d9c7a3"]
    key = work_of(waistcoat(), {"A": SHADES["A"]}).key
    assert [one.sample.colour for one in key] == ["#4a3728", "#ffffff", "#ffffff"]
    assert key[1].sample.texture != key[2].sample.texture


def test_the_table_says_how_each_size_ends():
    (sheet,) = work_of(waistcoat()).sheets
    rows = {row.label: row.texts for row in sheet.ends}
    # derived: the repeat has 16 rows, 6 A, 2 B, 2 A, 4 C, 2 B; 74 rows are four of it and 10 rows
    assert rows["Rows in all"][0] == "74"
    assert rows["Last stripe, rows and color"][0] == "2 A"


@pytest.mark.parametrize(
    ("direction", "says"),
    [
        ("bottom to top", "In the drawing row 1 is on the left; in the piece it is at the bottom."),
        ("left to right", "In the drawing row 1 is on the left; in the piece it is at the left edge."),
        (None, "In the drawing row 1 is on the left."),
    ],
)
def test_it_is_said_where_row_1_lies_in_the_band_and_in_the_piece(direction, says):
    document = waistcoat()
    for piece in document["pieces"]:
        piece.pop("direction", None)
        piece.update({"direction": direction} if direction else {})
    (sheet,) = work_of(document).sheets
    assert sheet.band_row == says
