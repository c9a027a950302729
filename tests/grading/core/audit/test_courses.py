"""The course of a count: each row in which it changes, with what runs at the same time in one account."""

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value

PARTS = {
    "shapings": [
        {"name": "waist", "from": 40, "to": 34, "over": 9, "each": 2},
        {"name": "vee", "from": 36, "to": 33, "over": 6, "each": 1},
    ],
    "curves": [{"name": "scoop", "width": 4, "depth": 2, "shape": "straight", "every": 2}],
}


def audited(*steps, sizes=("M",), gap=(None,), **more):
    data = pattern_file(
        value("gap", kind="stitches", list=list(gap)),
        sizes=list(sizes),
        sections=[{"title": "Front", "steps": list(steps)}],
        **PARTS,
        **more,
    )
    pattern = read_pattern(data)
    return audit_pattern(facts_of(pattern, grade(pattern)))


def course(line):
    return [(stage.row, stage.stitches) for stage in line.sizes[0].course]


def test_a_shaping_printed_by_reference_is_worked_row_by_row():
    line = audited("Cast on 40 sts. Knit 4 rows.", "{waist} (34 sts)")[-1]
    # 3 rows of 2 sts in 9 rows: rows 3, 6 and 9, after 4 rows worked before.
    assert course(line) == [(7, 38), (10, 36), (13, 34)]
    assert (line.sizes[0].rows_before, line.sizes[0].rows) == (4, 13)


def test_a_shaping_in_reverse_begins_where_the_first_ended():
    line = audited("Cast on 34 sts. Knit 4 rows.", "{waist reversed} (40 sts)")[-1]
    # Rows 3, 6 and 9 of 9 are mirrored by rows 8, 5 and 2.
    assert course(line) == [(6, 36), (9, 38), (12, 40)]
    assert line.sizes[0].verdict == "agrees"


def test_a_curve_is_worked_row_by_row():
    line = audited("Cast on 40 sts. Knit 4 rows.", "{scoop at start}")[-1]
    assert course(line) == [(5, 38), (7, 36)]
    assert line.sizes[0].rows == 8


@pytest.mark.parametrize(
    ("craft", "stages"),
    [("crochet", [(5, 36), (7, 32)]), ("knitting", [(5, 38), (6, 36), (7, 34), (8, 32)])],
)
def test_a_curve_at_both_ends_is_worked_at_both_in_the_rows_it_prints(craft, stages):
    line = audited("Cast on 40 sts. Knit 4 rows.", "{scoop at both ends} (32 sts)", craft=craft)[-1]
    assert course(line) == stages
    assert line.sizes[0].rows == 8
    assert line.sizes[0].verdict == "agrees"


def test_what_is_worked_at_the_same_time_runs_in_the_same_rows():
    lines = audited(
        "Cast on 40 sts. Knit 4 rows.", "Armhole: {scoop at end}", "At the same time the V: {vee} (33 sts)"
    )
    # The curve takes 2 in rows 5 and 7, the V 1 in rows 6, 8 and 10 of the section.
    assert course(lines[-1]) == [(5, 38), (6, 37), (7, 35), (8, 34), (10, 33)]
    assert (lines[-1].sizes[0].rows_before, lines[-1].sizes[0].rows) == (4, 10)


def test_two_shapings_merged_in_one_list_take_the_rows_of_the_longer():
    line = audited("Cast on 40 sts. Knit 4 rows.", "{waist with vee}")[-1]
    assert line.sizes[0].rows == 13


@pytest.mark.parametrize(
    ("steps", "rows"),
    [
        (["Cast on 40 sts. Knit 4 rows. Mark one end.", "Work until there are 9 rows above the marker."], 13),
        (["Cast on 40 sts. Work 6 rows of rib.", "Work straight until there are 10 rows above the rib."], 16),
        (["Cast on 40 sts.", "Dec 1 st at each end of next 4 rows. (32 sts)"], 4),
    ],
)  # fmt: skip
def test_rows_are_counted_from_where_the_words_say(steps, rows):
    line = audited(*steps)[-1]
    assert (line.verdict, line.sizes[0].rows) == ("agrees", rows)


@pytest.mark.parametrize(
    "steps",
    [
        ["Cast on 40 sts.", "Work straight until there are 9 rows above the markers."],
        ["Cast on 40 sts.", "Dec 1 st at each end of every 4th row 3 times.", "There are now 12 rows."],
    ],
)
def test_rows_that_are_not_known_are_not_said_to_be_wrong(steps):
    assert audited(*steps)[-1].verdict == "unreadable"


@pytest.mark.parametrize("step", ["K to end. ({gap} sts)", "{waist} ({gap} sts)"])
def test_a_closing_count_that_a_size_has_not_is_not_passed_over(step):
    line = audited("Cast on 40 sts.", step, sizes=("S", "M"), gap=(34 if "waist" in step else 40, None))[-1]
    assert [size.verdict for size in line.sizes] == ["agrees", "unreadable"]
    assert line.sizes[1].audited.says == "the closing count has no value here"
    assert line.sizes[1].stitches == line.sizes[0].stitches


YARN = {"label": "Larkmoss Orrendale", "length_per_100g": "220 m", "put_up": "50 g"}
YARNS = [{**YARN, "colour": role} for role in "AB"]


def colours(*steps):
    data = pattern_file(
        sizes=["M"],
        yarns=YARNS,
        stripes=[{"name": "bands", "sequence": [["A", 2], ["B", 1]]}],
        sections=[{"title": "Front", "steps": list(steps)}],
    )
    pattern = read_pattern(data)
    return [line.sizes[0].colours for line in audit_pattern(facts_of(pattern, grade(pattern)))]


def test_the_colour_of_a_row_is_the_yarn_that_was_named_last():
    assert colours("With A, cast on 20 sts.", "Knit 2 rows.", "Change to B. Knit 2 rows.") == [
        ("A",),
        ("A",),
        ("B",),
    ]


def test_stripes_printed_by_reference_give_each_row_its_colour():
    found = colours(
        "With A, cast on 20 sts.", "Stripes: {bands}", "Knit 2 rows.", "Knit 1 row.", "Knit 3 rows."
    )
    assert found == [("A",), ("A",), ("B",), ("A", "B")]
