import pytest

from testing.asked.slips import likely_slip
from tests.present import present


@pytest.mark.parametrize(
    ("measured_mm", "expected_mm", "around", "unit", "looks_like"),
    [
        (470, 960, True, "cm", "flat"),  # 47 cm where 96 cm is expected round the body (common practice)
        (370, 940, True, "cm", "inches"),  # 37 in written down as 37 cm
        (2438, 960, False, "in", "centimetres"),  # 96 cm written down as 96 in
        (1920, 960, True, "cm", "doubled"),
        (560, 1275, True, "cm", "flat"),  # 56 cm where 127.5 cm goes all the way round,
        (102.5, 1000, False, "", "point"),  # 10.25 for 102.5 cm
        (9600, 960, True, "", "no_point"),  # 960 for 96.0 cm
    ],
)
def test_a_likely_slip_is_named(measured_mm, expected_mm, around, unit, looks_like):
    assert present(likely_slip(measured_mm, expected_mm, around=around, unit=unit)).looks_like == looks_like


def test_only_the_unit_that_was_not_asked_in_may_have_been_read():
    # 30 typed for centimetres is never asked “Did you read centimetres?”, nor 24 for inches “inches?”
    assert likely_slip(300, 118, around=False, unit="cm") is None
    assert likely_slip(240, 610, around=False, unit="in") is None
    assert present(likely_slip(300, 118, around=False, unit="in")).looks_like == "centimetres"


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
