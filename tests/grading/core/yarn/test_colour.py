"""Shades are told apart by lightness, also for colour-blind eyes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.yarn.colour import (
    EYES,
    blend_shades,
    colour_difference,
    contrast_ratio,
    encoded_rgb,
    judge_neighbours,
    lab_of,
    linear_rgb,
    parse_shade,
    print_shade,
    seen_by,
)
from tests.check_values import check_values

ENTRIES = check_values("10-colour")


def entries(start):
    return [name for name in ENTRIES if name.startswith(start)]


def shade(text):
    found = parse_shade(text)
    assert found is not None
    return found


@pytest.mark.parametrize("name", entries("ciede2000"))
def test_difference_agrees_with_the_published_pairs(name):
    known = ENTRIES[name]["value"]  # Sharma, Wu and Dalal 2005, table 1
    for pair in (("lab1", "lab2"), ("lab2", "lab1")):
        found = colour_difference(*(np.array(known[lab]) for lab in pair))
        assert found == pytest.approx(known["dE"], abs=ENTRIES[name]["tolerance"])


@pytest.mark.parametrize("name", entries("wcag"))
def test_contrast_agrees(name):
    _, one, _, other = name.split()  # WCAG 2 relative luminance
    found = contrast_ratio(shade(one), shade(other))
    assert found == pytest.approx(ENTRIES[name]["value"], abs=ENTRIES[name]["tolerance"])
    assert contrast_ratio(shade(other), shade(one)) == found


@pytest.mark.parametrize("name", entries("Lstar"))
def test_lightness_agrees(name):
    found = lab_of(shade(name.split()[1]))[0]  # CIE 15, IEC 61966-2-1
    assert found == pytest.approx(ENTRIES[name]["value"], abs=ENTRIES[name]["tolerance"])


@pytest.mark.parametrize("name", entries("pair"))
def test_pairs_agree(name):
    one, other = (shade(text) for text in name.split()[1].split("/"))
    known, tolerance = ENTRIES[name]["value"], ENTRIES[name]["tolerance"]  # computed
    verdict = judge_neighbours(one, other)
    assert verdict.differences["full colour"] == pytest.approx(known["dE2000"], abs=tolerance)
    assert verdict.lightness_steps["full colour"] == pytest.approx(known["dL"], abs=tolerance)
    assert contrast_ratio(one, other) == pytest.approx(known["contrast"], abs=tolerance)


def test_red_and_green_of_one_lightness_are_not_enough():
    verdict = judge_neighbours(shade("#ff0000"), shade("#00a651"))
    assert not verdict.enough
    assert "full colour" in verdict.weak_eyes


def test_dark_blue_and_sand_are_enough_for_all_eyes():
    verdict = judge_neighbours(shade("#1f3a5f"), shade("#d9c8a9"))
    assert verdict.enough
    assert set(verdict.lightness_steps) == set(EYES)


def test_shades_may_be_weak_for_some_eyes_only():
    verdict = judge_neighbours(shade("#800000"), shade("#101010"))
    assert "red-blind" in verdict.weak_eyes
    assert "full colour" not in verdict.weak_eyes


@pytest.mark.parametrize("eyes", EYES)
@pytest.mark.parametrize("grey", ["#000000", "#7f7f7f", "#ffffff"])
def test_grey_stays_grey_for_all_eyes(eyes, grey):
    # derived: each row of the matrices of Machado et al. adds up to 1
    assert print_shade(seen_by(shade(grey), eyes)) == grey


def test_red_and_green_draw_near_for_green_blind_eyes():
    one, other = shade("#a05028"), shade("#6f6f28")
    verdict = judge_neighbours(one, other)
    assert verdict.differences["green-blind"] < verdict.differences["full colour"] / 3


@pytest.mark.parametrize("text", ["#fff", "ff0000", "#ff00000", "#gg0000", "", "red", "#ff0000\n"])
def test_what_is_no_shade_is_refused(text):
    assert parse_shade(text) is None


@given(st.integers(0, 0xFFFFFF))
def test_shades_survive_light_and_back(number):
    text = f"#{number:06x}"
    assert print_shade(encoded_rgb(linear_rgb(shade(text)))) == text


@given(st.integers(0, 0xFFFFFF), st.integers(0, 0xFFFFFF))
def test_difference_is_symmetric_and_zero_for_itself(one, other):
    a, b = (lab_of(shade(f"#{number:06x}")) for number in (one, other))
    assert colour_difference(a, b) == pytest.approx(colour_difference(b, a), abs=1e-9)
    assert colour_difference(a, a) == 0


def test_a_blend_lies_between_its_shades():
    one, other = shade("#1f3a5f"), shade("#d9c8a9")
    assert print_shade(blend_shades(one, other, 1)) == "#1f3a5f"
    assert print_shade(blend_shades(one, other, 0)) == "#d9c8a9"
    lights = [lab_of(blend_shades(one, other, share))[0] for share in (1, 0.75, 0.5, 0.25, 0)]
    assert lights == sorted(lights)
