# ruff: noqa: E501 – forms of formulas read best on one line
"""What must hold for every sheet, whatever is in it."""

import copy
from functools import partial

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from grading.core.formula.rounding import WorkableStep, round_to_workable
from grading.core.grade.grade import changed_values, grade, grade_at_gauge, regrade
from grading.core.pattern.file import read_pattern
from grading.core.pattern.watched_pattern import watched
from grading.core.sheet.names import MOST_SUGGESTIONS
from tests.grading.core.sheets import evaluated, found, graded, measured, pattern_file, value

DIRECTIONS = st.sampled_from(["nearest", "up", "down"])


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # slow on a busy machine alone
@given(
    exact=st.floats(-1e5, 1e5),
    to=DIRECTIONS,
    multiple=st.integers(1, 40),
    plus=st.integers(0, 20),
)
def test_rounding_is_a_workable_number_and_the_nearest_on_its_side(exact, to, multiple, plus):
    rounded = float(round_to_workable(np.array([exact]), WorkableStep(to, multiple, plus))[0])
    k = (rounded - plus) / multiple
    assert k == round(k)
    if plus > 0 and exact < plus:
        assert k >= 0
        return
    slack = 1e-6
    if to == "nearest":
        assert abs(rounded - exact) <= multiple / 2 + slack
    elif to == "up":
        assert -slack <= rounded - exact < multiple + slack
    else:
        assert -slack <= exact - rounded < multiple + slack


@st.composite
def sheets(draw):
    """Sheets whose values name earlier and later ones; some are wrong, some in circles."""
    count = draw(st.integers(2, 9))
    values = []
    for i in range(count):
        others = draw(st.lists(st.integers(0, count - 1), min_size=0, max_size=2))
        terms = ["bust", *[f"v{other}" for other in others if other != i or draw(st.booleans())]]
        mistake = draw(st.sampled_from([""] * 8 + [" + 2 rows", " + nobody", " +"]))
        rounding = draw(st.sampled_from([None, {"to": "up", "multiple": "3 cm"}]))
        more = {} if rounding is None else {"round": rounding}
        values.append(value(f"v{i}", " / 2 + ".join(terms) + mistake, **more))
    return values


@settings(deadline=None, max_examples=60)
@given(sheets(), st.randoms(use_true_random=False))
def test_the_order_in_the_file_does_not_matter(values, shuffler):
    shuffled = list(values)
    shuffler.shuffle(shuffled)
    one, other = graded(*values), graded(*shuffled)
    for name, numbers in one.values.items():
        np.testing.assert_array_equal(numbers.worked, other.values[name].worked)
        np.testing.assert_array_equal(numbers.ideal, other.values[name].ideal)
    in_circles = {f.where for f in (*one.findings, *other.findings) if "depends on itself" in f.says}
    assert {f.where for f in one.findings} - in_circles == {f.where for f in other.findings} - in_circles


@settings(deadline=None, max_examples=60)
@given(sheets())
def test_blanks_spread_along_dependencies_and_nowhere_else(values):
    of = graded(*values)
    wrong = {f.where.split(".")[1] for f in of.findings if f.weight == "stop"}
    names = {v["name"]: [w for w in v["formula"].split() if w.startswith("v")] for v in values}
    blank = set(wrong)
    while True:
        more = {name for name, needs in names.items() if name not in blank and blank & set(needs)}
        if not more:
            break
        blank |= more
    assert {name for name, numbers in of.values.items() if np.isnan(numbers.worked).any()} == blank


UNITS = {"length": "cm", "stitches": "stitches", "rows": "rows", "weight": "g", "yarn": "m yarn"}


@st.composite
def typed_formulas(draw, kind, depth=3):
    """A formula that gives a kind."""
    if depth == 0 or draw(st.booleans()):
        return f"{draw(st.integers(1, 99))} {UNITS[kind]}"
    inner = partial(draw, typed_formulas(kind, depth - 1))
    form = draw(st.sampled_from(["({0} + {1})", "({0} - {1})", "max({0}, {1}, 0)", "(if {0} > {1} then {0} else 0)",
                                 "{0} * 2 / 3", "abs({0})", "sqrt({0} * {1})", "(2 * -{0})"]))  # fmt: skip
    return form.format(inner(), inner())


@settings(deadline=None, max_examples=80)
@given(st.data(), st.sampled_from(sorted(UNITS)), st.sampled_from(sorted(UNITS)))
def test_dimension_errors_are_always_found_and_only_then(data, kind, other):
    formula = data.draw(typed_formulas(kind, 2))
    of = graded(value("x", formula, kind=kind))
    assert not [f for f in found(of, "values.x") if f[0] is None]
    joined = f"{formula} + {data.draw(typed_formulas(other, 1))}"
    of = graded(value("x", joined, kind=kind))
    errors = [f for f in found(of, "values.x") if f[0] is None]
    assert bool(errors) == (kind != other)


@settings(deadline=None, max_examples=60)
@given(st.integers(-999, 999), st.integers(1, 99), st.integers(1, 99))
def test_arithmetic_agrees_with_school(a, b, c):
    shown = f"(0 - {-a})" if a < 0 else str(a)
    assert evaluated(f"({shown} - {b}) * {c} / {b} + {a % 7}") == pytest.approx([(a - b) * c / b + a % 7] * 3)


EDITS = [
    *({"formula": formula} for formula in ("bust + 1 cm", "bust +", "v0", "v5 / 2", "2 rows")),
    {"formula": "1 / (bust - bust) * bust"},
    {"formula": "if v1 > 0 then 1 cm else v2"},
    {"formula": "bust", "round": {"to": "down", "multiple": "7 cm"}},
    {"list": ["7 cm", None, "9 cm"]},
    {"list": ["7.2 cm", "8 cm", "9 cm"], "round": {"to": "nearest", "multiple": "1 cm"}},
    {"steps": {"base_size": "M", "base": "50 cm", "step": ["1 in", "2 cm"]}},
]


def edited(values, which, edit):
    made = copy.deepcopy(values)
    which %= len(made)
    made[which] = {key: made[which][key] for key in ("name", "label", "kind")} | edit
    return made


@settings(deadline=None, max_examples=150)
@given(sheets(), st.lists(st.tuples(st.integers(0, 8), st.sampled_from(EDITS)), min_size=1, max_size=5))
def test_working_out_again_equals_working_out_afresh(values, edits):
    check = {"name": "c", "holds": "v0 > v1", "says": "No.", "weight": "warn"}
    now = grade(read_pattern(pattern_file(*values, checks=[check])))
    for which, edit in edits:
        values = edited(values, which, edit)
        pattern = pattern_file(*values, checks=[check])
        now = regrade(now, read_pattern(pattern))
        assert now.as_json() == grade(read_pattern(pattern)).as_json()


def test_working_out_again_tells_what_changed_and_follows_gauge_and_body():
    values = [value("a", "bust / 2"), value("b", "bust * main.stitches", kind="stitches"), value("c", "2 cm")]
    before = graded(*values)
    gauge = pattern_file(
        *values, fabrics={"main": {"label": "M", "stitches": 22, "rows": 28, "over": "10 cm"}}
    )
    after = regrade(before, read_pattern(gauge))
    assert changed_values(before, after) == ["b"]
    body = pattern_file(*values, body={"bust": {"label": "Bust", "unit": "cm", "values": [80, 90, 101]}})
    after = regrade(before, read_pattern(body))
    assert changed_values(before, after) == ["a", "b"]
    assert after.as_json() == grade(read_pattern(body)).as_json()


def test_working_out_again_follows_the_home_units():
    edge = {
        "name": "band",
        "along": "row ends",
        "count": "r",
        "ratio": "1 per 2",
        "edge": "90 cm",
        "fabric": "main",
    }
    sheet = [
        value("r", "100 rows", kind="rows"),
        value("long", list=["9 cm", "8 cm", "9 cm"], measured=measured()),
    ]
    inches = read_pattern(pattern_file(*sheet, pick_ups=[edge], home_units="in"))
    after = regrade(graded(*sheet, pick_ups=[edge]), inches)
    assert after.as_json() == grade(inches).as_json()
    assert "make 9.8 in along an edge of 35.4 in" in found(after, "pick_ups.band")[0][2]
    assert "3.15 in is smaller than 3.54 in" in found(after, "values.long")[0][2]


def assert_worked_out_again_as_afresh(before, after):
    """Work an edited file out again from the one before; return what that gives."""
    new = read_pattern(after)
    made = regrade(grade(read_pattern(before)), new)
    assert made.as_json() == grade(read_pattern(after)).as_json()
    return made


def test_a_failing_check_is_said_in_the_home_units_as_they_are_now():
    check = {
        "name": "wide",
        "holds": "bust > 2 m",
        "says": "It is narrower than {2.54 cm}.",
        "weight": "warn",
    }
    made = assert_worked_out_again_as_afresh(
        pattern_file(checks=[check]), pattern_file(checks=[check], home_units="in")
    )
    assert found(made, "checks.wide")[0][2] == "It is narrower than 1 in."


def test_yarn_follows_the_stripes_it_is_worked_in():
    yarn = [{"colour": colour, "label": colour} for colour in "AB"]
    section = {"name": "Front", "fabric": "main", "worked": "s * r", "stripes": "waves", "rows": "r"}
    swatch = {"stitches": 20, "rows": 20, "weight": "10 g"}
    main = {"label": "Main", "stitches": 20, "rows": 28, "over": "10 cm", "swatch": swatch}

    def file(sequence):
        values = [value("s", "40 stitches", kind="stitches"), value("r", "40 rows", kind="rows")]
        stripes = [{"name": "waves", "sequence": sequence}]
        parts = {"yarns": yarn, "yarn_sections": [section]}
        return {**pattern_file(*values, stripes=stripes, fabrics={"main": main}), **parts}

    made = assert_worked_out_again_as_afresh(file([["A", 2], ["B", 2]]), file([["A", 3], ["B", 1]]))
    assert [made.yarn[0].as_json()["colours"][colour]["weight"][0] for colour in "AB"] == [30, 10]


def test_the_warning_at_a_pick_up_follows_the_gauge_of_its_fabric():
    edge = {
        "name": "band",
        "along": "stitches",
        "count": "s",
        "ratio": "1 per 1",
        "edge": "50 cm",
        "fabric": "main",
    }

    def file(stitches):
        main = {"label": "Main", "stitches": stitches, "rows": 28, "over": "10 cm"}
        return pattern_file(
            value("s", "100 stitches", kind="stitches"), fabrics={"main": main}, pick_ups=[edge]
        )

    made = assert_worked_out_again_as_afresh(file(20), file(25))
    assert "make 40 cm along an edge of 50 cm" in found(made, "pick_ups.band")[0][2]


def test_rounding_follows_the_multiple_of_its_fabric():
    def file(multiple):
        main = {"label": "Main", "stitches": 20, "rows": 28, "over": "10 cm", "multiple": multiple}
        back = value("back", "bust * main.stitches", kind="stitches", round={"to": "up", "fabric": "main"})
        return pattern_file(back, fabrics={"main": main})

    made = assert_worked_out_again_as_afresh(file(4), file(7))
    assert made.values["back"].worked.tolist() == [161, 182, 203]


def test_working_out_again_suggests_names_as_often_as_working_out_afresh():
    checks = [
        {"name": f"c{i}", "holds": f"buxt{i} > 1 cm", "says": "No.", "weight": "warn"}
        for i in range(MOST_SUGGESTIONS)
    ]
    before = pattern_file(value("a", "1 cm"), checks=checks)
    made = assert_worked_out_again_as_afresh(before, pattern_file(value("a", "bustt"), checks=checks))
    suggested = [one for one in made.findings if "Did you mean" in one.says]
    assert len(suggested) == MOST_SUGGESTIONS
    assert_worked_out_again_as_afresh(pattern_file(value("a", "bustt"), checks=checks), before)


def test_what_a_result_is_made_from_is_all_that_can_be_read_for_it():
    read: set[str] = set()
    pattern = watched(read_pattern(pattern_file(value("a", "1 cm"))), read)
    for hidden in ("typed", "memo"):
        with pytest.raises(AttributeError):
            getattr(pattern, hidden)
    assert (pattern.sizes, read) == (("S", "M", "L"), {"sizes"})


def test_another_gauge_changes_lengths_and_keeps_counts():
    values = [
        value("cast_on", "bust * main.stitches", kind="stitches"),
        value(
            "chest", "cast_on / main.stitches", measured=measured(), round={"to": "up", "multiple": "5 cm"}
        ),
        value("rounded", "cast_on / main.stitches", round={"to": "up", "multiple": "5 cm"}),
    ]
    pattern = read_pattern(pattern_file(*values))
    counts = {"cast_on": np.array([160.0, 181.0, 200.0])}
    at = grade_at_gauge(pattern, {"main": {"stitches": 0.18, "rows": 0.28}}, counts)
    assert at["cast_on"].tolist() == [160, 181, 200]
    assert at["chest"] == pytest.approx([160 / 0.18, 181 / 0.18, 200 / 0.18])
    assert at["rounded"].tolist() == [900, 1050, 1150]
