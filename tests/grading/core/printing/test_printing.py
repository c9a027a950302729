"""Numbers in the steps look as the trade prints them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import print_measure, print_value, printed_lists
from grading.core.printing.numbers import (
    MM_PER_INCH,
    half_up,
    needs_table,
    number_list,
    print_ball,
    print_cm,
    print_grams_to_buy,
    print_inches,
    print_metres_to_buy,
    print_ounces,
    print_ratio,
    print_whole,
    print_yards_to_buy,
)

NONE = math.nan


def texts(count: int) -> list[str]:
    """Return the texts 1, 2, 3 …"""
    return [str(number) for number in range(1, count + 1)]


@pytest.mark.parametrize(
    ("printed", "expected"),
    [
        (["61", "67", "73", "79"], "61 (67, 73, 79)"),
        (["61"], "61"),
        (["61"] * 24, "61"),
        (["61", "67"], "61 (67)"),
        ([None, "67", None], "– (67, –)"),
        ([None, None], "–"),
        (texts(8), "1 (2, 3, 4, 5, 6, 7, 8)"),
        (texts(9), "1 (2, 3, 4) [5, 6, 7] (8, 9)"),
        (texts(12), "1 (2, 3, 4) [5, 6, 7] (8, 9, 10) [11, 12]"),
    ],
)
def test_first_size_stands_outside_and_the_others_in_brackets(
    printed: list[str | None], expected: str
) -> None:
    assert number_list(printed) == expected


def test_a_size_stands_in_the_same_bracket_when_only_some_sizes_are_printed() -> None:
    assert number_list(texts(12), kept=range(1, 12)) == "2 (3, 4) [5, 6, 7] (8, 9, 10) [11, 12]"
    assert number_list(texts(12), kept=[0, 5, 6]) == "1 [6, 7]"


def test_sizes_that_are_not_printed_do_not_make_equal_numbers_differ() -> None:
    assert number_list(["5", "6", "6", "7"], kept=[1, 2]) == "6"


def test_more_than_twelve_numbers_want_a_table_unless_all_are_equal() -> None:
    assert not needs_table(texts(12))
    assert needs_table(texts(13))
    assert not needs_table(["4"] * 13)
    assert not needs_table(texts(24), kept=range(12))
    assert needs_table(texts(24), kept=range(13))


# derived: half up on the grids of 5 mm and of a quarter inch
@pytest.mark.parametrize(
    ("length_mm", "expected"),
    [(502.5, "50.5"), (502.4, "50"), (507.5, "51"), (2.5, "0.5"), (2.4, "0"), (1600, "160")],
)
def test_centimetres_are_printed_to_the_nearest_half(length_mm: float, expected: str) -> None:
    assert print_cm(length_mm) == expected


@pytest.mark.parametrize(
    ("inches", "expected"),
    [
        (40, "40"),  # 101.6 cm are 40 in: International Yard and Pound Agreement, 1959
        (19.625, "19¾"),
        (19.62, "19½"),
        (0.25, "¼"),
        (0.1, "0"),
        (0.5, "½"),
        (9.9, "10"),
    ],
)
def test_inches_are_printed_to_the_nearest_quarter(inches: float, expected: str) -> None:
    assert print_inches(inches * MM_PER_INCH) == expected


@given(st.integers(min_value=0, max_value=8000))
def test_every_quarter_of_an_inch_reads_back_as_itself(quarters: int) -> None:
    printed = print_inches(quarters * MM_PER_INCH / 4)
    parts = {"¼": 0.25, "½": 0.5, "¾": 0.75}
    part = parts.get(printed[-1], 0)
    whole = printed[:-1] if part else printed
    assert float(whole or 0) + part == quarters / 4


@given(st.floats(min_value=-1e5, max_value=1e5), st.sampled_from([0.01, 0.25, 0.5, 1.0, 5.0]))
def test_half_up_is_never_further_than_half_a_step(number: float, step: float) -> None:
    assert abs(half_up(number, step) - number) <= step / 2 + 1e-6


def test_other_kinds_are_printed_on_their_own_grids() -> None:
    assert print_ounces(50) == "1¾"  # 50 g are 1.764 oz, derived
    assert print_ratio(1 / 3) == "0.33"
    assert print_ratio(0.005) == "0.01"
    assert print_whole(-2) == "−2"
    assert print_whole(-0.2) == "0"


def test_yarn_to_buy_is_rounded_up_and_never_past_a_multiple_by_accident() -> None:
    assert [print_grams_to_buy(g) for g in (401, 405, 405 + 1e-10, 405.1)] == [
        "405",
        "405",
        "405",
        "410",
    ]
    assert print_metres_to_buy(1001) == "1010"
    assert print_yards_to_buy(100 * 0.9144) == "100"
    assert print_yards_to_buy(101 * 0.9144) == "110"


def test_a_length_is_printed_with_its_unit_in_the_units_of_the_edition() -> None:
    lengths = [500.0, NONE, 520.0]
    assert print_value("length", lengths, "cm") == "50 (–, 52) cm"
    assert print_value("length", lengths, "in") == "19¾ (–, 20½) in"
    assert print_value("length", lengths, "both") == "50 (–, 52) cm / 19¾ (–, 20½) in"
    assert print_value("length", lengths, "both", kept=[2]) == "52 cm / 20½ in"


def test_a_number_is_the_same_one_in_every_edition() -> None:
    lengths = [193.0, 197.0, 249.9]
    cm, inches = "19.5 (19.5, 25) cm", "7½ (7¾, 9¾) in"
    assert print_measure(PrintForm("cm"), "length", lengths) == cm
    assert print_measure(PrintForm("in"), "length", lengths) == inches
    assert print_measure(PrintForm("both", "UK"), "length", lengths) == f"{cm} / {inches}"
    assert print_measure(PrintForm("both", "US"), "length", lengths) == f"{inches} / {cm}"


@pytest.mark.parametrize("kind", ["length", "weight", "yarn"])
@given(number=st.floats(1, 3000))
def test_the_first_number_of_both_units_is_that_of_the_edition_with_this_unit_alone(
    kind: str, number: float
) -> None:
    pairs = (
        (PrintForm("both", "UK"), PrintForm("cm", "UK")),
        (PrintForm("both", "US"), PrintForm("in", "US")),
    )
    for both, alone in pairs:
        assert print_measure(both, kind, [number]).split(" / ")[0] == print_measure(alone, kind, [number])


def test_a_tail_of_yarn_is_as_long_as_it_says_and_the_same_in_both_units() -> None:
    # 1 yd is 0.9144 m (International Yard and Pound Agreement, 1959)
    assert print_value("yarn", [1.55, 2.74], "both") == "1.6 (2.8) m / 1¾ (3¼) yd"
    assert print_value("yarn", [9.96, 12.2], "both") == "10 (13) m / 11 (15) yd"
    assert printed_lists("yarn", [2.8], "cm", FIRST_WORDING)[0].texts == ("10",)


def test_no_ball_has_more_decimals_than_a_scale_shows() -> None:
    # 1.75 oz are 49.61165 g (avoirdupois ounce of 28.349523125 g)
    assert print_ball(49.61165, 109.728, "cm") == "50 g = 110 m (120 yd)"
    assert print_ball(49.61165, 109.728, "in") == "1¾ oz (50 g) = 120 yd (110 m)"
    assert print_ball(7.55, 50.2, "both") == "7.6 g = 50 m (55 yd)"


def test_weights_and_yarn_follow_the_units_too_and_counts_do_not() -> None:
    assert print_value("weight", [50.0, 100.0], "in") == "1¾ (3½) oz"
    assert print_value("yarn", [201.0], "both") == "201 m / 220 yd"
    assert print_value("stitches", [61.0, 67.0], "both") == "61 (67)"
    assert print_value("ratio", [0.5, 0.5], "in") == "0.50"
    assert print_value("area", [1200.4], "cm") == "1200"
