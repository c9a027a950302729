"""Measurements that are drawn along another length of a piece."""

from tests.grading.core.sheets import found, graded, measured, value

OUTLINE = [["0 cm", "0 cm"], ["50 cm", "0 cm"], ["50 cm", "30 cm"], ["0 cm", "30 cm"]]


def drawn(line, length, start=1, end=2, *, around=False):
    """What is found in size M of a piece of 50 by 30 cm."""
    value_of = value(line, list=[length] * 3, label="Length in all", measured=measured(around=around))
    dimensions = [{"value": line, "from": start, "to": end}]
    piece = {"name": "bodice", "label": "Bodice", "outline": OUTLINE, "dimensions": dimensions}
    of = graded(value_of, pieces=[piece])
    return [says for size, _, says in found(of, "pieces.bodice") if size == "M"]


def test_a_length_beyond_its_piece_is_told_with_both():
    """A dress of 70 cm can't be measured along a bodice of 30 cm."""
    (says,) = drawn("dress", "70 cm", 2, 3)
    assert says == (
        "“Length in all” is 70.0 cm, and its line is drawn 30.0 cm long, from corner 2 to 3. "
        "Choose the corners that it runs between, or leave the line out."
    )


def test_a_length_may_be_read_across_up_or_straight_between_its_corners():
    assert drawn("across", "50 cm", 1, 3) == []
    assert drawn("up", "30 cm", 1, 3) == []
    assert drawn("straight", "58 cm", 1, 3) == []
    assert drawn("near", "56 cm") == []
    assert drawn("far", "60 cm") != []


def test_a_measurement_all_round_is_drawn_whole_half_or_a_quarter():
    assert drawn("whole", "50 cm", around=True) == []
    assert drawn("half", "100 cm", around=True) == []
    assert drawn("quarter", "200 cm", around=True) == []
    assert drawn("other", "150 cm", around=True) != []
    assert drawn("flat", "100 cm") != []


def test_a_piece_without_a_number_says_nothing_of_its_lines():
    assert drawn("none", None) == []
