# ruff: noqa: E501 – one case per line reads best
"""Pattern files that do not fit are refused with a JSON path and a plain reason."""

import json

import pytest

from grading.core.errors import PatternFileError
from grading.core.pattern_file import read_pattern
from tests.grading.core.sheets import MAIN, measured, pattern_file, value

BUST = {"label": "Bust", "unit": "in", "values": [30, None, 40]}


def refused(data):
    with pytest.raises(PatternFileError) as error:
        read_pattern(data)
    assert error.value.reason.endswith(".")
    return error.value.path, error.value.reason


@pytest.mark.parametrize(
    ("data", "path", "reason"),
    [
        (pattern_file(colour="red"), "$", "no key that is known"),
        (pattern_file(value("a", "1 cm", colour="red")), "$.values[0]", "“colour” is no key"),
        (pattern_file(value("a", "1 cm", list=[1, 2, 3])), "$.values[0]", "Exactly one of"),
        (pattern_file(value("a")), "$.values[0]", "Exactly one of"),
        (pattern_file(value("a", "1", kind="size")), "$.values[0].kind", "none of"),
        (pattern_file(value("A", "1 cm")), "$.values[0].name", "lower-case"),
        (pattern_file(value("cm", "1 cm")), "$.values[0].name", "cannot be a name"),
        (pattern_file(value("size_number", "1 cm")), "$.values[0].name", "cannot be a name"),
        (pattern_file(value("max", "1 cm")), "$.values[0].name", "cannot be a name"),
        (pattern_file(value("bust", "1 cm")), "$.values[0].name", "its own name"),
        (pattern_file(value("a", "1 cm"), value("a", "1 cm")), "$.values[1].name", "its own name"),
        (pattern_file(value("a", list=["1 cm"])), "$.values[0].list", "There is 1 entry where 3 are needed."),
        (pattern_file(value("a", list=[1, 2, 3])), "$.values[0].list[0]", "has no unit"),
        (pattern_file(value("a", list=["1 cm", "2 rows", "3 cm"])), "$.values[0].list[1]", "a length is wanted"),
        (pattern_file(value("a", list=["1 cm", "2 ells", "3 cm"])), "$.values[0].list[1]", "no unit"),
        (pattern_file(value("a", list=["1 cm", "1.1234567 cm", "3 cm"])), "$.values[0].list[1]", "6 decimals"),
        (pattern_file(value("a", kind="rows", list=[1, 1e9, 3])), "$.values[0].list[1]", "out of range"),
        (
            pattern_file(value("a", steps={"base_size": "XL", "base": "1 cm", "step": ["1 cm", "1 cm"]})),
            "$.values[0].steps.base_size",
            "none of the sizes",
        ),
        (
            pattern_file(value("a", steps={"base_size": "M", "base": "1 cm", "step": ["1 cm"]})),
            "$.values[0].steps.step",
            "There is 1 entry where 2 are needed.",
        ),
        (pattern_file(value("a", "1 cm", round={"to": "up"})), "$.values[0].round", "“multiple” is missing"),
        (pattern_file(value("a", "1 cm", round={"to": "up", "multiple": 2})), "$.values[0].round.multiple", "no unit"),
        (pattern_file(value("a", "1 cm", may_shrink=True)), "$.values[0].may_shrink", "needs a note"),
        (pattern_file(value("a", "1 cm", may_jump=True, note=" ")), "$.values[0].may_jump", "needs a note"),
        (pattern_file(value("a", "1 cm", measured=measured(tolerance=2))), "$.values[0].measured.tolerance", "no unit"),
        (pattern_file(sizes=["S", "s ", "M"]), "$.sizes[1]", "its own name"),
        (pattern_file(sizes=["", "M"]), "$.sizes[0]", "must not be empty"),
        (pattern_file(sizes=[f"S{i}" for i in range(25)]), "$.sizes", "at most 24"),
        (pattern_file(sizes=["a" + "\u0301" * 100]), "$.sizes[0]", "longer than 40"),
        (pattern_file(body={"bust": {**BUST, "values": [1, 2]}}), "$.body.bust.values", "2 entries where 3"),
        (pattern_file(body={"bust": {**BUST, "unit": "ell"}}), "$.body.bust.unit", "none of"),
        (pattern_file(fabrics={"main": {**MAIN, "stitches": 0}}), "$.fabrics.main.stitches", "less than 0.1"),
        (pattern_file(fabrics={"main": {**MAIN, "stitches": 1e-7}}), "$.fabrics.main.stitches", "less than 0.1"),
        (pattern_file(fabrics={"main": {**MAIN, "over": "10 in"}}), "$.fabrics.main.over", "none of"),
        (pattern_file(fabrics={"main": {**MAIN, "rows": True}}), "$.fabrics.main.rows", "is no number"),
        (pattern_file(options=[{"name": "a", "label": "A", "choices": ["x"], "default": "y"}]), "$.options[0].default", "none"),
        (pattern_file(title="a\0b"), "$.title", "control character"),
        ([], "$", "is no object"),
        ("{", "$", "no JSON"),
        ('{"a": NaN}', "$", "no number"),
        ('{"a": 1, "a": 2}', "$", "twice"),
        ("[" * 100_000, "$", "nested too deep"),
        ('{"a": 1' + "0" * 5000 + "}", "$", "too many digits"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused(data, path, reason):
    where, why = refused(data)
    assert where == path
    assert reason in why


def test_inches_millimetres_and_nulls_are_read_as_typed():
    pattern = read_pattern(json.dumps(pattern_file(body={"bust": BUST})))
    assert pattern.body[0].entries == (762.0, None, 1016.0)
    assert pattern.typed["body"]["bust"] == BUST


def test_labels_of_every_script_are_kept():
    assert read_pattern(pattern_file(sizes=["גדול", "🧶", "<b>S</b>"])).sizes == ("גדול", "🧶", "<b>S</b>")


def test_a_negative_nought_is_nought():
    pattern = read_pattern(pattern_file(value("a", list=["-0 cm", "0 cm", "-0.0 cm"])))
    assert str(pattern.values[0].entries) == "(0.0, 0.0, 0.0)"
