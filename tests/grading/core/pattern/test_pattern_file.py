# ruff: noqa: E501 – one case per line reads best
"""Pattern files that do not fit are refused with a JSON path and a plain reason."""

import copy
import json

import pytest

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_edited_pattern, read_json, read_pattern
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
        (pattern_file(colour="red"), "$", "not a known key"),
        (pattern_file(value("a", "1 cm", colour="red")), "$.values[0]", "“colour” is not a known key"),
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
        (pattern_file(value("a", list=["1 cm", "2 ells", "3 cm"])), "$.values[0].list[1]", "not a unit"),
        (pattern_file(value("a", list=["1 cm", "1.1234567 cm", "3 cm"])), "$.values[0].list[1]", "6 decimals"),
        (pattern_file(value("a", kind="rows", list=[1, 1e9, 3])), "$.values[0].list[1]", "out of range"),
        (
            pattern_file(value("a", steps={"base_size": "XL", "base": "1 cm", "step": ["1 cm", "1 cm"]})),
            "$.values[0].steps.base_size",
            "not one of the sizes",
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
        (pattern_file(options=[{"name": "a", "label": "A", "choices": ["x"], "default": "y"}]), "$.options[0].default", "not one of"),
        (pattern_file(title="a\0b"), "$.title", "control character"),
        ([], "$", "is no object"),
        ("{", "$", "not JSON"),
        ('{"a": NaN}', "$", "is not a number"),
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


@pytest.mark.parametrize(
    ("text", "path", "reason"),
    [
        ('{"sizes": ["S"]', "$", "This is not JSON"),
        ('{"sizes": 1, "sizes": 2}', "$", "The key “sizes” is there twice"),
        ('{"width": NaN}', "$", "NaN is not a number."),
        ('{"width": ' + "9" * 5_000 + "}", "$", "too many digits"),
        ("[" * 100_000, "$", "nested too deep"),
        ("[" * 30 + "]" * 30, "$" + "[0]" * 21, "nested too deep"),
        ('{"width": 1e300}', "$.width", "A number is too large."),
        ('{"title": "a\\u0000b"}', "$.title", "control character"),
        (" " * 5_000_001, "$", "longer than 5,000,000 characters"),
    ],
    ids=lambda one: str(one)[:20],
)
def test_text_that_is_no_clean_json_is_refused(text, path, reason):
    with pytest.raises(PatternFileError) as error:
        read_json(text)
    assert error.value.path == path
    assert reason in error.value.reason


def test_an_edited_entry_is_read_as_in_the_whole_file():
    first, edited = value("a", "bust / 2"), value("a", "bust / 4")
    before = read_pattern(pattern_file(first, value("b", "1 cm"), body={"bust": BUST}))
    after = pattern_file(edited, value("b", "1 cm"), body={"bust": {**BUST, "values": [31, None, 41]}})
    read = read_edited_pattern(before, after, [("values", 0), ("body", "bust")])
    whole = read_pattern(after)
    assert (read.values, read.body, read.typed) == (whole.values, whole.body, whole.typed)
    assert read.values != before.values


def test_an_edited_entry_that_does_not_fit_is_refused_at_its_place():
    before = read_pattern(pattern_file(value("a", "bust / 2"), body={"bust": BUST}))
    cases: list[tuple[str, int | str, object, str]] = [
        ("values", 0, value("a", "bust", kind="size"), "$.values[0].kind"),
        ("body", "bust", {**BUST, "unit": "ells"}, "$.body.bust.unit"),
        ("values", 0, value("a", "bu\x07st"), "$.values[0].formula"),
    ]
    for part, place, entry, path in cases:
        after = pattern_file(value("a", "bust / 2"), body={"bust": BUST})
        after[part][place] = entry
        with pytest.raises(PatternFileError) as error:
            read_edited_pattern(before, after, [(part, place)])
        assert error.value.path == path


@pytest.mark.parametrize(
    ("data", "path", "reason"),
    [
        (
            pattern_file(value("a", list=[[], 1, 1], kind="stitches")),
            "$.values[0].list[0]",
            "[] fits none of: ",
        ),
        (pattern_file(format="other"), "$.format", 'is none of "evenrow-pattern"'),
        (
            pattern_file(spreads=[{"name": "s", "change": True, "in": []}]),
            "$.spreads[0]",
            "fits none of: a whole number",
        ),
        (pattern_file(sections=[{"title": "", "steps": []}]), "$.sections[0].title", "must not be empty"),
        (pattern_file(value("a", "1 cm", label="a" * 500)), "$.values[0].label", "longer than"),
        (
            pattern_file(value("a", "1", kind="ratio", round={"to": "up"})),
            "$.values[0].round",
            "“multiple” is missing",
        ),
        (
            pattern_file(value("a", "1", kind="rows", round={"to": "up", "multiple": 0})),
            "$.values[0].round",
            "",
        ),
        (
            pattern_file(value("a", "1", kind="rows", round={"to": "up", "multiple": 1.5})),
            "$.values[0].round.multiple",
            "Whole rows cannot be counted in steps of 1.5.",
        ),
        (
            pattern_file(value("a", "1", kind="rows", round={"to": "up", "fabric": "main"})),
            "$.values[0].round.fabric",
            "Only stitches",
        ),
        (pattern_file(value("a", list=[1e10, 1, 1], kind="rows")), "$.values[0].list[0]", "out of range"),
        (
            pattern_file(yarns=[{"colour": "A", "label": "Fell", "length_per_100g": "12 ells"}]),
            "$.yarns[0]",
            "",
        ),
        (
            pattern_file(yarns=[{"colour": "A", "label": "Fell", "length_per_100g": "12 g"}]),
            "$.yarns[0]",
            "is not a length of yarn",
        ),
        (
            pattern_file(yarns=[{"colour": "A", "label": "Fell", "length_per_100g": "0 m"}]),
            "$.yarns[0]",
            "must be above 0",
        ),
        (
            pattern_file(yarns=[{"colour": "A", "label": "Fell", "put_up": "0 g"}]),
            "$.yarns[0].put_up",
            "must be above 0",
        ),
        (pattern_file(yarn_allowance=-1), "$.yarn_allowance", ""),
        (
            pattern_file(pick_ups=[{"name": "p", "along": "row ends", "count": 4, "ratio": "3 to 4"}]),
            "$.pick_ups[0].ratio",
            "not a ratio",
        ),
    ],
)
def test_entries_of_the_wrong_form_are_refused_with_the_forms_that_fit(data, path, reason):
    place, says = refused(data)
    assert place.startswith(path)
    assert reason in says


@pytest.mark.parametrize(
    "entry",
    [
        {"name": "b", "kind": "length", "formula": "1 cm", "may_shrink": 1, "note": "x"},
        {"name": "b", "kind": "length", "formula": "1 cm\x00"},
        {"name": "a", "kind": "length", "formula": "1 cm"},
        {"name": "max", "kind": "length", "formula": "1 cm"},
        {"name": "B", "kind": "length", "formula": "1 cm"},
    ],
)
def test_what_is_new_beside_entries_read_before_is_refused_as_in_the_whole_file(entry):
    known = pattern_file(value("a", "1 cm"))
    whole = {**known, "values": [*known["values"], entry]}
    refused = []
    for unread in (None, {**known, "values": [entry]}):
        with pytest.raises(PatternFileError) as error:
            read_pattern(copy.deepcopy(whole), unread=unread)
        refused.append((error.value.path, error.value.reason))
    assert refused[0] == refused[1]


def test_more_entries_than_there_may_be_are_refused_though_all_but_one_were_read_before():
    known = pattern_file(value("a", "1 cm"))
    sizes = [f"{place}" for place in range(25)]
    with pytest.raises(PatternFileError, match="at most 24"):
        read_pattern({**known, "sizes": sizes}, unread={**known, "sizes": sizes[:1]})


def test_a_file_that_fit_before_is_known_again_and_nothing_else_is():
    known = pattern_file(value("a", "1 cm"))
    first = read_pattern(copy.deepcopy(known))
    assert read_pattern(copy.deepcopy(known)) == first
    wrongs: tuple[object, ...] = ("1 cm", True, [], 1)
    for wrong in wrongs:
        known["values"][0]["kind"] = wrong
        for _ in range(2):
            with pytest.raises(PatternFileError) as error:
                read_pattern(known)
            assert error.value.path == "$.values[0].kind"
