"""Files of rows: what fits is answered row by row, and what does not is refused with its place."""

import json

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.audit.row_files import audit_rows, line_json
from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value


def row(**more):
    return {"craft": "knitting", "before": 20, "text": "K to end. (20 sts)", **more}


def test_each_row_is_answered_under_its_own_name():
    rows = [{"id": "a", "text": "Cast on 20 sts."}, {"row": 2, "text": "K1, k2tog, k to end. (20 sts)"}]
    answers = audit_rows([row(id=7), {"id": "list", "craft": "knitting", "rows": rows}])
    assert answers[0] == {
        "id": 7,
        "takes": 20,
        "unworked": 0,
        "leaves": 20,
        "left_over": 0,
        "said": 20,
        "verdict": "agrees",
        "says": "",
    }
    assert answers[1]["id"] == "list"
    assert [(one["id"], one["leaves"], one["verdict"]) for one in answers[1]["rows"]] == [
        ("a", 20, "agrees"),
        (2, 19, "disagrees"),
    ]
    assert answers[1]["rows"][1]["says"] == "says 20, worked 19"


@pytest.mark.parametrize(
    ("data", "path", "reason"),
    [
        ({}, "$", "is no list"),
        ([], "$", "too few entries"),
        ([row(craft="weaving")], "$[0].craft", "is none of"),
        ([row(before=-1)], "$[0].before", "less than 0"),
        ([row(before=100_001)], "$[0].before", "more than 100000"),
        ([row(text="")], "$[0].text", "must not be empty"),
        ([row(text="k" * 20_001)], "$[0].text", "longer than 20000 characters"),
        ([row(), {"text": "K to end."}], "$[1]", "“craft” is missing"),
        ([{"craft": "knitting"}], "$[0]", "Exactly one of “text” or “rows” is needed."),
        ([{"craft": "knitting", "rows": []}], "$[0].rows", "too few entries"),
        ([{"craft": "knitting", "rows": [{}]}], "$[0].rows[0]", "“text” is missing"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_place(data, path, reason):
    with pytest.raises(PatternFileError) as error:
        audit_rows(data)
    assert error.value.path == path
    assert reason in error.value.reason


HOSTILE = [
    "(" * 500,
    "*" * 5_000,
    "k1, " * 300,
    "9" * 20_000,
    "((k1) 5000 times) 5000 times",
    "\u202e k2",
    "{" * 300,
]


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: text[:10])
def test_a_hostile_row_is_answered_in_words_and_never_agrees(text):
    answer = audit_rows([row(text=text)])[0]
    assert answer["verdict"] in ("unreadable", "disagrees")
    assert answer["says"]
    json.dumps(answer, allow_nan=False)


def test_repeats_inside_repeats_are_not_worked_without_end():
    says = audit_rows([row(text="((K1) 5000 times) 5000 times.")])[0]["says"]
    assert says == "more than 5,000 repeats are more than any row has"


def test_a_line_of_a_pattern_is_answered_for_each_size_that_has_it():
    steps = ["Cast on {front} sts. Row 1: *K2, p2; repeat from * to the end. ({front} sts)"]
    data = pattern_file(
        value("front", kind="stitches", list=[60, 64, 66]), sections=[{"title": "Front", "steps": steps}]
    )
    pattern = read_pattern(data)
    line = audit_pattern(facts_of(pattern, grade(pattern)))[-1]
    answers = line_json(line, pattern)
    kept = ("section", "step", "row", "size", "takes", "leaves", "stitches", "rows", "verdict", "says")
    assert [tuple(answer[name] for name in kept) for answer in answers] == [
        ("Front", 1, "1", "S", 60, 60, 60, 1, "agrees", ""),
        ("Front", 1, "1", "M", 64, 64, 64, 1, "agrees", ""),
        ("Front", 1, "1", "L", 64, 64, 64, 1, "disagrees", "2 left over; says 66, worked 64"),
    ]
