"""Yarn is added up per option and colour, and unknown parts give no number."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.yarn.needs import (
    SectionWeight,
    Skein,
    applies,
    balls_for,
    combine_options,
    grams_per_stitch_row,
    section_weight_g,
    yarn_needs,
)
from tests.check_values import check_value

ALL = np.ones(2)


def section(*weight, shares=None, when=None):
    return SectionWeight(np.array(weight, dtype=float), shares or {"A": ALL}, when or {})


def needs(sections, combinations=({},), allowance=0.0, **skeins):
    return yarn_needs(sections, combinations, skeins or {"A": Skein(400, 50)}, allowance)


def test_a_swatch_scales_to_the_garment():
    known = check_value("7-yarn", "yarn-swatch")  # derived: 15 × 15 cm to 0.9 m²
    per_stitch_row = grams_per_stitch_row(6.75, 30, 30)  # 20 × 20 to 10 cm
    weight = section_weight_g(np.full(2, 0.9 * 200 * 200), per_stitch_row)
    assert weight == pytest.approx(known["grams"])
    need = needs([SectionWeight(weight, {"A": ALL}, {})], allowance=0.1)[0].colours["A"]
    assert need.weight_g == pytest.approx(known["with_allowance"])
    assert need.balls.tolist() == [known["balls"]] * 2


def test_yarn_grows_with_the_area():
    per_stitch_row = grams_per_stitch_row(350, 100, 60)  # derived
    grown = section_weight_g(np.array([120.0 * 64]), per_stitch_row)
    assert grown == pytest.approx(check_value("7-yarn", "yarn-area"))


def test_yarn_per_stitch_agrees():
    # derived; metres instead of grams scale alike
    per_stitch = grams_per_stitch_row(12.6, 28, 30)
    assert section_weight_g(np.array([52_000.0]), per_stitch) == pytest.approx(
        check_value("7-yarn", "yarn-stitch")
    )


def test_length_follows_the_definition_of_tex():
    # 250 tex are 400 m in 100 g
    weight = check_value("7-yarn", "yarn-mass")
    assert needs([section(weight, weight)])[0].colours["A"].length_m == pytest.approx(1200)


def test_balls_are_rounded_up_but_forgive_a_hair():
    known = check_value("7-yarn", "yarn-unravel-balls")  # derived
    balls = balls_for(np.array([16.5 * 50, 16 * 50, 16 * 50 + 1e-8, 0.0]), 50)
    assert balls.tolist() == [known, 16, 16, 0]
    assert balls_for(np.array([1800.0]), 109).tolist() == [known]
    assert balls_for(np.array([-60.0]), 50).tolist() == [-1]


def test_the_usual_allowance_moves_the_weight_by_itself():
    low, high = check_value("7-yarn", "yarn-allowance")  # from memory
    light, heavy = (needs([section(100, 200)], allowance=a)[0].colours["A"].weight_g for a in (low, high))
    assert light.tolist() == pytest.approx([105, 210])
    assert heavy.tolist() == pytest.approx([115, 230])


def test_extra_yarn_is_split_with_the_stripes():
    weight = section_weight_g(np.array([1000.0, 2000.0]), 0.05, np.array([10.0, 20.0]))
    striped = SectionWeight(weight, {"A": ALL * 0.75, "B": ALL * 0.25}, {})
    colours = needs([striped], A=Skein(220, 50), B=Skein(None, None))[0].colours
    assert colours["A"].weight_g.tolist() == pytest.approx([45, 90])
    assert colours["B"].weight_g.tolist() == pytest.approx([15, 30])
    assert np.isnan(colours["B"].length_m).all()
    assert np.isnan(colours["B"].balls).all()


def test_sections_count_only_under_their_options():
    combinations, problem = combine_options({"sleeves": ["long", "none"], "colours": ["solid", "striped"]})
    assert problem is None
    found = needs(
        [section(300, 400), section(100, 120, when={"sleeves": ["long"], "colours": ["solid"]})], combinations
    )
    weights = {tuple(need.options.values()): need.colours["A"].weight_g.tolist() for need in found}
    assert weights == {
        ("long", "solid"): [400, 520],
        ("long", "striped"): [300, 400],
        ("none", "solid"): [300, 400],
        ("none", "striped"): [300, 400],
    }


def test_an_unknown_section_blanks_its_colours_where_it_applies_only():
    unknown = section(np.nan, 50, shares={"A": ALL * 0.5, "B": ALL * 0.5}, when={"pockets": ["yes"]})
    combinations, _ = combine_options({"pockets": ["yes", "no"]})
    skeins = {colour: Skein(220, 50) for colour in "ABC"}
    with_pockets, without = needs([section(100, 100), unknown], combinations, **skeins)
    assert np.isnan(with_pockets.colours["A"].weight_g[0])
    assert np.isnan(with_pockets.colours["B"].balls[0])
    assert with_pockets.colours["A"].weight_g[1] == 125
    assert with_pockets.colours["C"].weight_g.tolist() == [0, 0]
    assert without.colours["A"].weight_g.tolist() == [100, 100]
    assert without.colours["B"].balls.tolist() == [0, 0]


def test_more_than_256_combinations_are_refused():
    combinations, problem = combine_options({f"option{i}": ["a", "b"] for i in range(8)})
    assert (len(combinations), problem) == (256, None)
    combinations, problem = combine_options({f"option{i}": ["a", "b", "c"] for i in range(6)})
    assert combinations == []
    assert problem == "The options make 729 combinations; at most 256 can be computed."


def test_without_options_there_is_one_combination():
    assert combine_options({}) == ([{}], None)
    assert applies({}, {})
    assert not applies({"sleeves": ["long"]}, {})


def test_a_swatch_without_area_gives_no_number():
    assert np.isnan(grams_per_stitch_row(5, 0, 10))


@given(
    weights=st.lists(st.floats(0, 1000), min_size=1, max_size=6),
    share=st.floats(0, 1),
    allowance=st.floats(0, 0.5),
)
def test_colours_add_up_to_all_the_yarn(weights, share, allowance):
    shares = {"A": np.array([share]), "B": np.array([1 - share])}
    sections = [SectionWeight(np.array([weight]), shares, {}) for weight in weights]
    colours = yarn_needs(sections, [{}], {"A": Skein(1, 1), "B": Skein(1, 1)}, allowance)[0].colours
    total = colours["A"].weight_g + colours["B"].weight_g
    assert total == pytest.approx(sum(weights) * (1 + allowance))
