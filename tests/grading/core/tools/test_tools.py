"""The widest row decides what must hold it."""

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.tools.tools import (
    CIRCULAR_ROUND,
    COMMON_LENGTHS,
    SMALL_ROUND,
    US_HOOKS,
    US_NEEDLES,
    advise_for_rounds,
    advise_for_row,
    lengths_problem,
    us_size,
)
from tests.check_values import check_value
from tests.present import present


@pytest.mark.parametrize(
    ("width", "craft", "says"),
    [
        (300, "tunisian", "a straight Tunisian hook of 30 cm"),
        (400, "tunisian", "a straight Tunisian hook of 35 cm"),
        (430, "tunisian", "a Tunisian hook with a cord of 60 cm"),
        (700, "tunisian", "a Tunisian hook with a cord of 60 cm"),
        (760, "tunisian", "a Tunisian hook with a cord of 80 cm"),
        (2000, "tunisian", "a Tunisian hook with a cord of 150 cm"),
        (350, "knitting", "straight needles of 30 cm"),
        (510, "knitting", "a circular needle of 60 cm to work back and forth"),
        (700, "knitting", "a circular needle of 60 cm to work back and forth"),
        (1000, "knitting", "a circular needle of 80 cm to work back and forth"),
    ],
)
def test_the_widest_row_finds_its_tool(width, craft, says):
    assert present(advise_for_row(width, craft)).words("cm") == says  # common practice


@pytest.mark.parametrize(
    ("rounds", "craft", "says"),
    [
        ([970], "knitting", ["a circular needle of 80 cm"]),
        ([400], "knitting", ["a circular needle of 40 cm"]),
        ([460, 720], "knitting", ["a circular needle of 40 cm"]),
        ([460, 730], "knitting", ["a circular needle of 40 cm", "a circular needle of 60 cm"]),
        ([460, 800], "knitting", ["a circular needle of 40 cm", "a circular needle of 80 cm"]),
        ([460, 810, 1230], "knitting", ["a circular needle of 40 cm", "a circular needle of 80 cm"]),
        ([2600], "knitting", ["a circular needle of 120 cm"]),
        (
            [460, 1275, 1836],
            "knitting",
            ["a circular needle of 40 cm", "a circular needle of 80 cm", "a circular needle of 100 cm"],
        ),
        ([300], "tunisian", ["a Tunisian hook with a cord of 60 cm"]),
        (
            [399, 180, 900],
            "knitting",
            [
                "double-pointed needles (or a circular needle of 80 cm for a long loop)",
                "a circular needle of 80 cm",
            ],
        ),
    ],
)
def test_rounds_find_their_tools(rounds, craft, says):
    assert [advice.words("cm") for advice in advise_for_rounds(rounds, craft)] == says  # common practice


@given(st.lists(st.floats(100, 3000), min_size=1, max_size=8))
def test_the_widest_round_is_about_twice_as_long_as_a_needle_at_most(rounds):
    found = advise_for_rounds(rounds, "knitting")
    circulars = [one.length.length_mm for one in found if one.kind == CIRCULAR_ROUND]
    widest, shortest = max(rounds), COMMON_LENGTHS.circulars[0].length_mm
    assert widest < shortest or any(length <= widest + 1e-6 <= length * 2.2 + 2e-6 for length in circulars)
    others = [one for one in rounds if one < widest - 1e-6]
    fewest = fewest_circulars(others)
    assert len(circulars) in (fewest, fewest + 1)
    assert len(circulars) == len({*circulars})


@given(st.lists(st.floats(100, 3000), min_size=1, max_size=8), st.booleans())
def test_every_round_is_held_by_a_circular_needle_that_is_no_longer(rounds, roomy):
    found = advise_for_rounds(rounds, "knitting", roomy=roomy)
    circulars = [one.length.length_mm for one in found if one.kind == CIRCULAR_ROUND]
    longest = COMMON_LENGTHS.circulars[-1].length_mm
    for round_mm in rounds:
        held = any(
            length <= round_mm + 1e-6
            and (round_mm <= length * (2.6 if length >= 800 else 1.8) + 1e-6 or length == longest)
            for length in circulars
        )
        small = round_mm < COMMON_LENGTHS.circulars[0].length_mm
        assert held or (small and found[0].kind == SMALL_ROUND)
    assert roomy or len(circulars) == fewest_circulars(rounds)


def fewest_circulars(rounds):
    """The least number of lengths on sale that hold all rounds but small ones, by trying every choice."""
    lengths = [one.length_mm for one in COMMON_LENGTHS.circulars]

    def holds(length, round_mm):
        return length <= round_mm <= length * (2.6 if length >= 800 else 1.8)

    wide = [one for one in rounds if one >= lengths[0]]
    return next(
        number
        for number in range(len(lengths) + 1)
        if any(
            all(any(holds(length, one) for length in chosen) for one in wide)
            for chosen in combinations(lengths, number)
        )
    )


def test_rounds_longer_than_any_needle_holds_ask_for_the_longest_once():
    assert [one.words("cm") for one in advise_for_rounds([4000.0, 5000.0], "knitting")] == [
        "a circular needle of 150 cm"
    ]


@given(st.lists(st.floats(100, 3000), min_size=1, max_size=8))
def test_in_the_first_wording_every_round_has_a_shorter_needle(rounds):
    found = advise_for_rounds(rounds, "knitting", few=False)
    circulars = [one.length.length_mm for one in found if one.kind == CIRCULAR_ROUND]
    longest = COMMON_LENGTHS.circulars[-1].length_mm
    for round_mm in rounds:
        held = any(
            length < round_mm and (round_mm <= length * COMMON_LENGTHS.circular_crowding or length == longest)
            for length in circulars
        )
        small = round_mm <= COMMON_LENGTHS.circulars[0].length_mm
        assert held or (small and found[0].kind == SMALL_ROUND)


def test_lengths_are_named_as_sold():
    advice = present(advise_for_row(760, "tunisian"))
    assert advice.words("in").endswith("of 32 in")
    assert advice.words("both").endswith("of 80 cm / 32 in")


def test_crochet_needs_nothing_to_hold_a_row():
    assert advise_for_row(900, "crochet") is None
    assert advise_for_rounds([900], "crochet") == ()


def test_unknown_widths_give_no_advice():
    assert advise_for_row(None, "knitting") is None
    assert advise_for_row(float("nan"), "knitting") is None
    assert advise_for_rounds([900, float("nan")], "knitting") == ()
    assert advise_for_rounds([], "knitting") == ()


def test_edited_lengths_must_rise():
    assert lengths_problem(COMMON_LENGTHS) is None
    turned = replace(COMMON_LENGTHS, circulars=COMMON_LENGTHS.circulars[::-1])
    assert "rise" in present(lengths_problem(turned))
    assert "at least one" in present(lengths_problem(replace(COMMON_LENGTHS, cord_hooks=())))
    assert "crowding" in present(lengths_problem(replace(COMMON_LENGTHS, crowding=0.5)))


def test_us_hook_names_agree_with_the_council():
    known = check_value("2-tool-sizes", "hook-core")  # Craft Yarn Council, one secondary table
    for name, tool_mm in known.items():
        assert us_size(tool_mm, "crochet") == name
    large = check_value("2-tool-sizes", "hook-large")  # a general unit reference; makers differ
    assert {us_size(large[name], "crochet") for name in ("P/Q", "S")} == {"P/Q", "S"}
    assert len(US_HOOKS) == len(known) + 2


def test_us_needle_names_agree_with_the_council():
    known = check_value("2-tool-sizes", "needle-us")  # from US 0 up confirmed, below from memory
    for name, tool_mm in known.items():
        assert us_size(tool_mm, "knitting") == name
    assert len(US_NEEDLES) == len(known)


def test_sizes_without_a_us_name_have_none():
    for tool_mm in check_value("2-tool-sizes", "hook-collide")["no_us"]:
        assert us_size(tool_mm, "crochet") is None
        assert us_size(tool_mm, "knitting") is None
