"""Formulas: what can be read, what is refused and with which words."""

import json
from contextlib import suppress
from pathlib import Path

import pytest

from grading.core.formula.errors import FormulaError, PatternFileError
from grading.core.formula.formula import parse_formula
from tests.grading.core.sheets import evaluated, found, graded, value, worked
from tests.pace import fewest_seconds, slowness

BAD = json.loads((Path(__file__).resolve().parents[3] / "data" / "bad_formulas.json").read_text())


def text_of(case):
    if "text" in case:
        return case["text"]
    if "call" in case:
        name, count = case["call"]
        return f"{name}({','.join('1' * count)})"
    parts = case["repeat"]
    return "".join(
        text * (parts[i + 1] if i + 1 < len(parts) and isinstance(parts[i + 1], int) else 1)
        for i, text in enumerate(parts)
        if isinstance(text, str)
    )


def _parse_or_refuse(text):
    with suppress(FormulaError):
        parse_formula(text)


@pytest.mark.parametrize(
    "case",
    [c for c in BAD if c["case"] not in ("newline", "NUL byte")],
    ids=lambda case: case["case"],
)
def test_bad_formulas_are_findings_at_once_and_blank(case):
    text = text_of(case)
    if len(text) > 20_000:
        with pytest.raises(FormulaError, match="at most 500"):
            parse_formula(text)
        return
    assert fewest_seconds(lambda: _parse_or_refuse(text), 0.05) < 0.05 * slowness()
    of = graded(value("x", text, kind="ratio"))
    assert worked(of, "x") == [None, None, None]
    (_, weight, says), *_ = found(of, "values.x")
    assert weight == "stop"
    assert says.endswith((".", "?"))


def test_control_characters_are_refused_in_a_formula_and_in_a_file():
    with pytest.raises(FormulaError, match="U\\+0000"):
        parse_formula("1\0+1")
    with pytest.raises(PatternFileError, match="control character"):
        graded(value("x", "1\0+1", kind="ratio"))


def test_a_newline_is_a_space_and_places_count_lines():
    assert evaluated("1\n+1") == [2, 2, 2]
    with pytest.raises(FormulaError) as error:
        parse_formula("bust +\n  * 2")
    assert (error.value.line, error.value.column) == (2, 3)


@pytest.mark.parametrize(
    ("formula", "result"),
    [
        ("2 + 3 * 4", 14),
        ("(2 + 3) * 4", 20),
        ("-2 - -3", 1),
        ("8 / 4 / 2", 1),
        ("10 - 4 - 3", 3),
        ("10 % * 50", 5),
        ("7 %", 0.07),
        ("4 in / 1 mm", 101.6),  # exact inch, International Yard and Pound Agreement 1959
        ("1 ft / 1 in", 12),
        ("1 yd / 1 m", 0.9144),
        ("1 kg / 1 oz", 1000 / 28.349523125),
        ("80 m yarn / 40 m yarn", 2),
        ("12 stitches / 1 stitch + 3 rows / 1 row", 15),
        ("if 1 < 2 then 3 else 4", 3),
        ("1 + (if 1 > 2 then 3 else 4)", 5),
        ("if 1 > 2 then 3 else if 2 > 1 then 5 else 6", 5),
        ("max(if 1 > 2 then 3 else 4, 1)", 4),
        ("if not 1 = 2 and 2 <> 3 or 1 > 2 then 1 else 0", 1),
        ("if 1 = 1 or 1 = 2 and 1 = 3 then 1 else 0", 1),
        ("min(4, 2, 3) + max(4, 2) + sum(1, 2, 3)", 12),
        ("sqrt(9 cm * 4 cm) / 1 cm", 6),
        ("abs(-3)", 3),
        ("if 0.1 + 0.2 = 0.3 then 1 else 0", 1),
        ("if 0.1 + 0.2 > 0.3 then 1 else 0", 0),
        ("if 0.3 <= 0.1 + 0.2 and 0.3 >= 0.1 + 0.2 then 1 else 0", 1),
        ("if 1 < 1.0000001 then 1 else 0", 1),
    ],
)
def test_school_algebra(formula, result):
    assert evaluated(formula) == pytest.approx([result] * 3)


@pytest.mark.parametrize(
    ("formula", "result"),
    [
        # OpenFormula 1.2: ROUND half away from zero, EVEN and ODD away from zero (from memory).
        ("round(2.5)", 3),
        ("round(-2.5)", -3),
        ("even(1.5)", 2),
        ("even(-1)", -2),
        ("even(2)", 2),
        ("odd(1.5)", 3),
        ("odd(-2)", -3),
        ("odd(0)", 1),
        ("ceiling(2.1)", 3),
        ("ceiling(-2.5)", -2),
        ("floor(-2.5)", -3),
        ("ceiling(7, 5)", 10),
        ("floor(7, 5)", 5),
        ("ceiling(0.1 * 3 * 10)", 3),
    ],
)
def test_rounding_functions(formula, result):
    assert evaluated(formula) == [result] * 3


def test_rounding_functions_leave_the_ideal_sheet_alone():
    of = graded(value("x", "floor(bust, 7 cm)"))
    assert of.values["x"].worked.tolist() == [770, 840, 980]
    assert of.values["x"].ideal.tolist() == [800, 900, 1000]


@pytest.mark.parametrize(
    ("formula", "part"),
    [
        ("1 < 2 < 3", "do not chain"),
        ("1 + if 1 < 2 then 3 else 4", "brackets round “if"),
        ("true", "not values"),
        ("2 ** 3", "no powers"),
        ("2 ^ 3", "no powers"),
        ("main.width", "After a point"),
        ("bust.stitches.rows", "can’t be used here"),
        ("cm", "needs a number before it"),
        ("max(1)", "two or more"),
        ("round(1, 2)", "one argument"),
        ("round 1", "needs brackets"),
        ("foo(1)", "no function “foo”"),
        ("12,5", "decimals with a point"),
        ("5 apples", "not a unit"),
        ("(1 + 2", "never closed"),
        ("1 + 2)", "can’t be used here"),
        ("if 1 < 2 then 3", "“else” is missing"),
        ("2 × 3", "Write * for times"),
        ("٣", "digits 0 to 9"),
        ("", "empty"),
    ],
)
def test_each_mistake_has_its_own_sentence(formula, part):
    with pytest.raises(FormulaError, match=r".") as error:
        parse_formula(formula)
    assert part in error.value.says


@pytest.mark.parametrize(
    ("formula", "kind", "part"),
    [
        ("4 rows + 2 stitches", "rows", "adds stitches to rows"),
        ("bust - 2", "length", "takes a plain number from length"),
        ("if bust > 2 rows then 1 cm else 2 cm", "length", "compares length with rows"),
        ("if bust > 1 cm then 1 cm else 2 rows", "length", "chooses between length and rows"),
        ("max(1 cm, 2 g)", "length", "chooses between length and weight"),
        ("sqrt(bust)", "length", "square root of length"),
        ("bust * main.stitches", "length", "gives stitches"),
        ("round(bust)", "length", "not length"),
        ("ceiling(bust)", "length", "Give the multiple"),
        ("ceiling(bust, 2 rows)", "length", "multiple of rows"),
        ("bust > 1 cm", "length", "true or false"),
        ("1 + (2 > 1)", "ratio", "but a number is needed"),
        ("if bust then 1 else 2", "ratio", "but a comparison is needed"),
        ("not 1", "ratio", "but a comparison is needed"),
        ("0 + 0", "length", "gives a plain number"),
    ],
)
def test_dimension_errors_name_both(formula, kind, part):
    of = graded(value("x", formula, kind=kind))
    (size, weight, says), *more = found(of, "values.x")
    assert (size, weight, more) == (None, "stop", [])
    assert part in says


@pytest.mark.parametrize(
    ("formula", "kind", "remedy"),
    [
        ("bust + 4", "length", "Write 4 cm or 4 in, not 4."),
        ("4 + bust", "length", "Write 4 cm or 4 in, not 4."),
        ("10 stitches - 2", "stitches", "Write 2 stitches, not 2."),
        ("max(3 rows, 1.5)", "rows", "Write 1.5 rows, not 1.5."),
        ("if bust > 90 then 1 cm else 2 cm", "length", "Write 90 cm or 90 in, not 90."),
        (
            "bust + 4 stitches",
            "length",
            "Divide the stitches by those of their fabric, such as main.stitches.",
        ),
        ("bust / 2", "rows", "Take the length times the rows of its fabric, such as main.rows."),
        ("2 * 3", "length", "Write numbers with their unit, such as 4 cm or 4 in."),
        ("4 rows + 2 stitches", "rows", "Make lengths of both first: divide each by its gauge."),
    ],
)
def test_a_dimension_error_says_what_to_do(formula, kind, remedy):
    ((_, _, says),) = found(graded(value("x", formula, kind=kind)), "values.x")
    assert says.endswith(f" {remedy}")


@pytest.mark.parametrize("formula", ["0", "(0)", "max(0, bust)", "bust + 0", "if bust > 0 then bust else 0"])
def test_the_literal_nought_fits_any_dimension(formula):
    assert found(graded(value("x", formula)), "values.x") == []


def test_limits_are_reached_and_not_passed():
    assert evaluated("+".join(["1"] * 100)) == [100] * 3
    assert evaluated("(" * 50 + "1" + ")" * 50) == [1] * 3
    for text in ("+".join(["1"] * 101), "(" * 51 + "1" + ")" * 51, "-" * 51 + "1", "1" + " " * 500):
        with pytest.raises(FormulaError, match=r"more than|at most"):
            parse_formula(text)


def test_unknown_names_come_with_the_nearest_known_and_their_place():
    of = graded(value("x", "2 *\n bust_x + 1 cm"))
    (one,) = of.findings
    assert (one.line, one.column, one.weight) == (2, 2, "stop")
    assert "“bust”" in one.says


def test_names_that_stand_for_no_number_say_so():
    curves = [{"name": "neck", "width": 3, "depth": 3, "shape": "straight"}]
    of = graded(value("a", "main * 2"), value("b", "neck.length"), value("c", "neck"), curves=curves)
    assert "main.stitches" in found(of, "values.a")[0][2]
    assert "no fabric" in found(of, "values.b")[0][2]
    assert "a curve" in found(of, "values.c")[0][2]


def test_only_a_bare_zero_fits_any_dimension():
    assert evaluated("bust + 0", kind="length") == [800, 900, 1000]
    for other in ("0 %", "0 stitches", "-0", "(0 + 0)"):
        assert [found(graded(value("x", f"bust + {other}")), "values.x")[0][0]] == [None]


def test_odd_of_minus_nothing_is_one():
    assert evaluated("odd(-(size_number - size_number))") == [1, 1, 1]


def test_the_same_divisor_of_zero_is_told_once_in_a_size():
    of = graded(value("x", "1 / (size_number - 2) + 3 / (size_number - 2)", kind="ratio"))
    ((size, weight, says),) = found(of, "values.x")
    assert (size, weight) == ("M", "stop")
    assert "size_number - 2" in says


def test_a_divisor_is_named_with_all_its_brackets():
    of = graded(value("x", "1 / -(size_number - 2)", kind="ratio"))
    assert "“-(size_number - 2)”" in found(of, "values.x")[0][2]
