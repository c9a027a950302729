"""Small sheets give the numbers of worked examples from outside."""

import numpy as np
import pytest

from grading.core.grade.grade import grade_at_gauge
from grading.core.pattern.file import read_pattern
from tests.check_values import check_value
from tests.grading.core.sheets import graded, pattern_file, value

GROUP = "5-shaping"


def fabric(stitches, over="10 cm", rows=28):
    return {"main": {"label": "Main", "stitches": stitches, "rows": rows, "over": over}}


def one_size(*values, **more):
    made = graded(*values, sizes=["M"], **more)
    return {name: (one.exact[0], one.worked[0]) for name, one in made.values.items()}


def test_width_and_length_become_stitches_and_rows():
    known = check_value(GROUP, "shape-gauge-width")  # derived
    found = one_size(
        value("wide", "50 cm * main.stitches", kind="stitches"),
        value("long", "18 cm * main.rows", kind="rows"),
    )
    assert found["wide"][1] == known["stitches"]
    assert found["long"] == (pytest.approx(known["rows_exact"]), known["rows"])


def test_a_multiple_plus_some_is_met():
    known = check_value(GROUP, "shape-gauge-multiple")  # derived
    rounding = {"to": "nearest", "multiple": 6, "plus": 1}
    found = one_size(
        value("near", "52 cm * main.stitches", kind="stitches", round=rounding),
        value("up", "52 cm * main.stitches", kind="stitches", round={**rounding, "to": "up"}),
        value("near_wide", "near / main.stitches"),
        value("up_wide", "up / main.stitches"),
        fabrics=fabric(18),
    )
    assert (found["near"][1], found["up"][1]) == (known["stitches"], known["next_up"])
    assert found["near_wide"][1] / 10 == pytest.approx(known["width_cm"])
    assert found["up_wide"][1] / 10 == pytest.approx(known["next_up_width_cm"])


def test_ease_is_what_rounding_leaves_of_it():
    known = check_value(GROUP, "shape-ease-round")  # derived
    found = one_size(
        value("around", "106 cm * main.stitches", kind="stitches", round={"to": "nearest", "multiple": 2}),
        value("finished", "around / main.stitches"),
        value("ease", "finished - 96 cm"),
        fabrics=fabric(18),
    )
    assert found["around"] == (pytest.approx(known["exact"]), known["stitches"])
    assert found["finished"][1] / 10 == pytest.approx(known["finished_cm"])
    assert found["ease"][1] / 10 == pytest.approx(known["ease_cm"])


def test_a_step_between_sizes_is_a_step_in_stitches():
    known = check_value(GROUP, "shape-grade-step")  # derived
    found = one_size(value("step", "4 in * main.stitches", kind="stitches"), fabrics=fabric(18, "4 in"))
    assert found["step"][1] == known["stitches"]


def test_another_gauge_makes_another_width():
    known = check_value(GROUP, "shape-gauge-error")  # derived
    values = [
        value("across", "50 cm * main.stitches", kind="stitches"),
        value("wide", "across / main.stitches"),
    ]
    pattern = read_pattern(pattern_file(*values, sizes=["M"]))
    for gauge in (18, 22):
        at = {"main": {"stitches": gauge / 100}}
        wide = grade_at_gauge(pattern, at, {"across": np.array([100.0])})["wide"][0] / 10
        assert wide == pytest.approx(known[f"at_{gauge}"])
        assert (wide / known["planned_cm"] - 1) * 100 == pytest.approx(known[f"pct_{gauge}"])


def percentages(around):
    """A seamless yoke by shares of the stitches round the body."""
    return one_size(
        value("k", f"{around} * main.stitches", kind="stitches"),
        value("sleeve", "33 % * k", kind="stitches"),
        value("underarm", "8 % * k", kind="stitches"),
        value("neck", "40 % * k", kind="stitches"),
        value("wrist", "20 % * k", kind="stitches"),
        value("yoke", "k + 2 * sleeve - 4 * underarm", kind="stitches"),
        value("first", "yoke * 3 / 4", kind="stitches"),
        value("second", "first * 2 / 3", kind="stitches"),
        value("third", "second * 3 / 5", kind="stitches"),
        fabrics=fabric(20, "4 in"),
    )


def test_shares_of_a_40_inch_body():
    known = check_value(GROUP, "shape-eps-40in")  # a published summary of E. Zimmermann's percentage system
    found = percentages("40 in")
    shares = [found[name][1] for name in ("k", "sleeve", "underarm", "yoke", "neck", "wrist")]
    assert shares == [
        known[key]
        for key in ("K", "upper_sleeve", "underarm_each", "yoke_total", "neck_40pct", "wrist_20pct")
    ]
    rounds = [found[name][1] for name in ("first", "second", "third")]
    assert rounds == known["yoke_quarter_third_twofifths"]


def test_shares_of_a_50_inch_body():
    known = check_value(GROUP, "shape-eps-50in")  # the number of stitches as published, the rest derived
    found = percentages("50 in")
    exact = [found[name][0] for name in ("k", "sleeve", "underarm", "neck", "wrist")]
    wanted = ("K", "upper_sleeve_33pct", "underarm_8pct", "neck_40pct", "wrist_20pct")
    assert exact == pytest.approx([known[key] for key in wanted])
