"""The widest row decides what must hold it."""

from dataclasses import replace

import pytest

from grading.core.tools import (
    COMMON_LENGTHS,
    US_HOOKS,
    US_NEEDLES,
    advise_tool,
    lengths_problem,
    us_size,
    widest_mm,
)
from tests.check_values import check_value


@pytest.mark.parametrize(
    ("width", "craft", "in_round", "says"),
    [
        (300, "tunisian", False, "a straight Tunisian hook, 30 cm long"),
        (400, "tunisian", False, "a straight Tunisian hook, 35 cm long"),
        (430, "tunisian", False, "a Tunisian hook with a cord, 60 cm long"),
        (700, "tunisian", False, "a Tunisian hook with a cord, 80 cm long"),
        (2000, "tunisian", False, "a Tunisian hook with a cord, 150 cm long"),
        (300, "tunisian", True, "a Tunisian hook with a cord, 60 cm long"),
        (350, "knitting", False, "a pair of straight needles, 30 cm long"),
        (700, "knitting", False, "a circular needle, 80 cm long, to work to and fro"),
        (970, "knitting", True, "a circular needle, 80 cm long"),
        (400, "knitting", True, "double-pointed needles, or a circular needle of 80 cm for a long loop"),
        (401, "knitting", True, "a circular needle, 40 cm long"),
    ],
)
def test_the_widest_row_finds_its_tool(width, craft, in_round, says):
    assert advise_tool(width, craft, in_round=in_round).words("cm") == says  # common practice


def test_a_circular_needle_is_shorter_than_its_round():
    for round_mm in range(150, 3000, 50):
        advice = advise_tool(round_mm, "knitting", in_round=True)
        assert "loop" in advice.kind or advice.length.length_mm < round_mm


def test_lengths_are_named_as_sold():
    advice = advise_tool(700, "tunisian")
    assert advice.words("in").endswith("32 in long")
    assert advice.words("both").endswith("80 cm / 32 in long")


def test_crochet_needs_nothing_to_hold_a_row():
    assert advise_tool(900, "crochet") is None
    assert advise_tool(None, "knitting") is None
    assert advise_tool(float("nan"), "knitting") is None


def test_the_widest_row_is_unknown_where_one_is():
    assert widest_mm([400, 520, 300]) == 520
    assert widest_mm([400, None]) is None
    assert widest_mm([]) is None


def test_edited_lengths_must_rise():
    assert lengths_problem(COMMON_LENGTHS) is None
    turned = replace(COMMON_LENGTHS, circulars=COMMON_LENGTHS.circulars[::-1])
    assert "rise" in lengths_problem(turned)
    assert "at least one" in lengths_problem(replace(COMMON_LENGTHS, cord_hooks=()))
    assert "crowding" in lengths_problem(replace(COMMON_LENGTHS, crowding=0.5))


def test_us_hook_names_agree_with_the_council():
    known = check_value("2-tool-sizes", "hook-core")  # Craft Yarn Council, one secondary table
    for name, tool_mm in known.items():
        assert us_size(tool_mm, "crochet") == name
    assert len(US_HOOKS) == len(known) + 2  # P/Q and S, from the large hooks


def test_us_needle_names_agree_with_the_council():
    known = check_value("2-tool-sizes", "needle-us")  # from US 0 up confirmed, below from memory
    for name, tool_mm in known.items():
        assert us_size(tool_mm, "knitting") == name
    assert len(US_NEEDLES) == len(known)


def test_sizes_without_a_us_name_have_none():
    for tool_mm in check_value("2-tool-sizes", "hook-collide")["no_us"]:
        assert us_size(tool_mm, "crochet") is None
        assert us_size(tool_mm, "knitting") is None
