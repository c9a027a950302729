import pytest

from testing.asked.slips import likely_slip
from tests.present import present


@pytest.mark.parametrize(
    ("measured_mm", "expected_mm", "around", "looks_like"),
    [
        (470, 960, True, "flat"),  # 47 cm where 96 cm is expected round the body (common practice)
        (370, 940, True, "inches"),  # 37 in written down as 37 cm
        (2438, 960, False, "centimetres"),  # 96 cm written down as 96 in
        (1920, 960, True, "doubled"),
        (102.5, 1000, False, "point"),  # 10.25 for 102.5 cm
        (9600, 960, True, "no_point"),  # 960 for 96.0 cm
    ],
)
def test_a_likely_slip_is_named(measured_mm, expected_mm, around, looks_like):
    assert present(likely_slip(measured_mm, expected_mm, around=around)).looks_like == looks_like


@pytest.mark.parametrize("measured_mm", [960, 900, 1020, 790])
def test_what_is_near_is_not_asked_about(measured_mm):
    assert likely_slip(measured_mm, 960, around=True) is None


def test_a_width_that_is_not_round_the_body_is_never_taken_for_flat():
    assert likely_slip(470, 960, around=False) is None


def test_the_neighbouring_line_is_named():
    slip = present(likely_slip(200, 300, around=False, neighbours={"Neck width": 201.0}))
    assert (slip.looks_like, slip.neighbour) == ("neighbour", "Neck width")


def test_no_expectation_means_no_question():
    assert likely_slip(470, 0, around=True) is None
