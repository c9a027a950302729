"""A curve is drawn as long as it is worked."""

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def found(*, every, curve=(2, 3), has_fabric=True):
    """What is said of a piece whose neck is 10 stitches wide and 6 steps deep, at 20 stitches and 30 rows."""
    fabric = {"label": "Stocking stitch", "stitches": 20, "rows": 30, "over": "10 cm"}
    start, end = curve
    piece = {
        "name": "front",
        "label": "Front",
        "outline": [["0 cm", "0 cm"], ["20 cm", "0 cm"], ["15 cm", "40 cm"], ["10 cm", "36 cm"]],
        "curves": [{"curve": "neck", "from": start + 1, "to": end + 1}],
    }
    neck = {"name": "neck", "width": 10, "depth": 6, "every": every, "shape": "quarter ellipse"}
    neck |= {"fabric": "main"} if has_fabric else {}
    data = pattern_file(
        craft="knitting", sizes=["M"], fabrics={"main": fabric}, curves=[neck], pieces=[piece], sections=[]
    )
    return [one.says for one in grade(read_pattern(data)).findings if one.where == "pieces.front"]


# Six steps of 2 rows are 12 rows, 4 cm deep; of 4 rows, 8 cm.
def test_a_curve_that_is_drawn_as_it_is_worked_says_nothing():
    assert found(every=2) == []
    assert found(every=2, curve=(3, 2)) == []
    assert found(every=4, has_fabric=False) == []


@pytest.mark.parametrize("curve", [(2, 3), (3, 2)])
def test_a_curve_drawn_half_as_deep_is_named_with_both_lengths(curve):
    start, end = curve
    says = f"The curve “neck” is 10.3 cm long, and drawn 7.1 cm from corner {start + 1} to {end + 1}. "
    assert found(every=4, curve=curve) == [
        f"{says}Change the corners, or the width and depth of the curve, until they fit."
    ]


def test_a_curve_at_a_corner_that_is_not_there_is_told_once():
    assert found(every=4, curve=(3, 4)) == ["There is no corner 5: the outline has the corners 1 to 4."]
