"""Units of lengths, weights and yarns agree with what is laid down for them."""

import numpy as np
import pytest

from grading.core.formula.literals import G_PER_OUNCE, LENGTH_UNITS_MM, in_unit
from grading.core.formula.rounding import WorkableStep, round_to_workable
from grading.core.pattern.parts import read_fabric
from grading.core.yarn import units
from tests.check_values import check_value
from tests.present import present

GROUP = "1-units"


def test_lengths_and_weights_are_those_of_the_agreement_of_1959():
    # International Yard and Pound Agreement, 1959
    assert present(in_unit("1", "in")).number == check_value(GROUP, "unit-inch")
    assert present(in_unit("1", "ft")).number == pytest.approx(check_value(GROUP, "unit-foot"), abs=1e-9)
    assert present(in_unit("1", "yd yarn")).number == pytest.approx(check_value(GROUP, "unit-yard"), abs=1e-9)
    assert present(in_unit("1", "oz")).number == pytest.approx(check_value(GROUP, "unit-ounce"), abs=1e-6)
    assert present(in_unit("16", "oz")).number == pytest.approx(check_value(GROUP, "unit-pound"), abs=1e-9)


@pytest.mark.parametrize(
    ("name", "unit"), [("unit-dtex", "dtex"), ("unit-denier", "denier"), ("unit-drex", "drex")]
)
def test_weights_by_length_are_shares_of_tex(name, unit):
    # ISO 1144 as others have it
    tex = units.tex_of(units.metres_per_100g_of_tex(1, unit))
    assert tex == pytest.approx(check_value(GROUP, name), abs=1e-8)


def test_one_tex_is_a_gram_in_a_kilometre():
    assert 100 / units.metres_per_100g_of_tex(1) * 1000 == check_value(GROUP, "unit-tex")


def test_the_metric_count_is_metres_in_a_gram():
    known = check_value(GROUP, "unit-Nm")  # GNU units; the notation of plies from memory
    metres = units.metres_per_100g_of_count(4)
    assert metres == known["m_per_100g"]
    assert units.tex_of(metres) == pytest.approx(known["tex"])
    assert units.metres_per_100g_of_tex(known["denier"], "denier") == pytest.approx(metres)
    assert units.metres_per_100g_of_tex(known["dtex"], "dtex") == pytest.approx(metres)
    assert units.metres_per_100g_of_count(28, plies=2) == pytest.approx(1400)


@pytest.mark.parametrize(("name", "system"), [("unit-NeC", "NeC"), ("unit-worsted", "worsted")])
def test_english_counts_are_hanks_to_the_pound(name, system):
    # GNU units 2.22
    assert units.metres_per_100g_of_count(1, system) / 100 == pytest.approx(check_value(GROUP, name))


@pytest.mark.parametrize(
    ("name", "length_m", "weight_g"),
    [
        ("mp100-400-100", 400, 100),
        ("mp100-200-50", 200, 50),
        ("mp100-100-25", 100, 25),
        ("mp100-225-113", 225, 113),
        ("mp100-yd", 100 * units.YARD_M, 3.5 * G_PER_OUNCE),
        ("mp100-220yd-100g", 220 * units.YARD_M, 100),
    ],
)
def test_every_label_comes_down_to_metres_in_100_g(name, length_m, weight_g):
    found = units.metres_per_100g(length_m, weight_g)
    assert found == pytest.approx(check_value(GROUP, name), abs=1e-5)  # derived; one computed by GNU units


def test_strands_held_together_add_up_in_tex():
    known = check_value("7-yarn", "yarn-strands")  # derived from the definition of tex
    assert units.metres_per_100g_held_together([400, 700]) == pytest.approx(known)


def test_4_inches_are_not_10_centimetres():
    known = check_value(GROUP, "gauge-4in-10cm")  # derived from the exact inch
    fabric = read_fabric("main", {"label": "M", "stitches": 20, "rows": 28, "over": "4 in"}, "$.fabrics.main")
    assert fabric.stitches_per_mm * 100 == pytest.approx(known, abs=1e-6)


def test_quarter_inches_are_exact():
    quarter = WorkableStep("nearest", LENGTH_UNITS_MM["in"] / 4)
    rounded_mm = round_to_workable(np.array([1016.0]), quarter)[0]
    assert rounded_mm / 25.4 == pytest.approx(check_value(GROUP, "inch-quarter"))
