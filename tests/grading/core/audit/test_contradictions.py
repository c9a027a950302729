"""What a step prints by reference is compared with the words before it, and with the row that is described.

Source: common practice: a decrease row that is described once is worked in the rows that the list names.
"""

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value

DECREASE_ROW = "The decrease row, worked only where the next step says so"
STEPS = [
    "Cast on {back} sts.",
    f"{DECREASE_ROW}: k1, k2tog, k to the last 3 sts, ssk, k1. (2 sts fewer)",
    "Work {long_rows} rows in all, with these decrease rows: {taper} ({top} sts)",
    "Neck, at the {side end} of the rows: {neck at end} ({rest} sts)",
    "Leave the last {left} sts unworked. ({rest_less} sts)",
]
LINES = [
    value("back", kind="stitches", list=[60, 64]),
    value("top", kind="stitches", list=[48, 52]),
    value("rest", kind="stitches", list=[40, 44]),
    value("left", kind="stitches", list=[5, 6]),
    value("rest_less", "rest - left", kind="stitches"),
    value("long_rows", kind="rows", list=[60, 60]),
    value("short_rows", kind="rows", list=[40, 40]),
]


def found(old="", new="", each=2, verdict="disagrees"):
    taper = {"name": "taper", "from": "back", "to": "top", "over": "long_rows", "each": each}
    later = {"name": "later", "from": "top", "to": "rest", "over": 16, "each": 4}
    shapings = [taper, later, {**later, "name": "told", "words": "decrease 2 sts at each end"}]
    pattern = read_pattern(
        pattern_file(
            *LINES,
            sizes=["S", "M"],
            shapings=shapings,
            curves=[{"name": "neck", "width": 8, "depth": 4, "shape": "straight"}],
            sections=[{"title": "Back", "steps": [step.replace(old, new) for step in STEPS]}],
        )
    )
    lines = audit_pattern(facts_of(pattern, grade(pattern)))
    firsts = [line.sizes[0].audited for line in lines if line.verdict == verdict]
    return [first.says for first in firsts if first is not None]


def test_words_that_go_with_what_is_printed_come_out():
    assert found() == []


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"each": 4}, "it changes 4 sts at a time, and the row that is described changes 2"),
        (
            {"old": "{long_rows}", "new": "{short_rows}"},
            "it is shaped over 60 rows, and the words before it say 40",
        ),
        (
            {"old": "{neck at end}", "new": "{neck at start}"},
            "the words before it say the end of the rows, and it is for their start",
        ),
        ({"old": "Leave the last {left} sts", "new": "Leave the last {left + 1} sts"}, "says 35, worked 34"),
    ],
)
def test_what_is_printed_against_the_words_is_found(change, says):
    assert found(**change) == [says]


ONE_FEWER = f"{DECREASE_ROW}: k1, k2tog, k to the end. (1 st fewer)"
LED_TO = {"old": STEPS[3], "new": "Now decrease 2 sts at each end: {told} ({rest} sts)"}
SHAPE = "Decrease on RS rows: k1, k2tog, k to the last 3 sts, ssk, k1. Work these decreases on both sides: "
TOP = {"old": STEPS[3], "new": "Top: {later} ({rest} sts)"}
TOLD_FIRST = {"old": STEPS[3], "new": SHAPE + TOP["new"][5:]}
BOTH_EDGES = {"old": STEPS[1], "new": f"{ONE_FEWER} Work it at the left edge, its mirror at the right."}


@pytest.mark.parametrize(
    "change",
    [
        TOP,
        LED_TO,
        TOLD_FIRST,
        {"old": STEPS[3], "new": f"{STEPS[1]} Top: {{told}} ({{rest}} sts)"},
        BOTH_EDGES,
    ],
)
def test_a_row_that_is_described_for_other_work_is_no_contradiction(change):
    assert found(**change) == []
    assert found(STEPS[1], ONE_FEWER) == [
        "it changes 2 sts at a time, and the row that is described changes 1"
    ]


def test_of_several_rows_that_are_described_none_is_sure():
    rows = f"{STEPS[1]} {ONE_FEWER}"
    assert found(STEPS[1], rows, each=4) == []
    (doubt,) = found(STEPS[1], rows, each=4, verdict="unreadable")
    assert doubt == "it changes 4 sts at a time, and the row that is described changes 1 or 2"


# {taper}: 12 sts are taken off by 2, so 6 times.
@pytest.mark.parametrize(
    ("words", "says"),
    [
        (
            "Work {long_rows} rows, decreasing 2 sts every 10th row 5 times:",
            "it is shaped 6 times, and the words before it say 5",
        ),
        ("Work {long_rows} rows, decreasing 2 sts every 10th row six times:", None),
    ],
)
def test_how_often_is_told_before_a_list_is_compared_with_it(words, says):
    lead = STEPS[2].partition(" {taper}")[0]
    assert (says in "; ".join(found(lead, words))) if says else found(lead, words) == []


@pytest.mark.parametrize(
    ("after", "says"),
    [
        ("Each time the back shrinks by 4 sts.", "it changes 2 sts at a time, and the words after it say 4"),
        ("Each decrease row narrows it by two sts.", None),
        (
            "These are 4 sts on each of the two pieces.",
            "it changes 2 sts at a time, and the words after it say 4",
        ),
    ],
)
def test_how_many_are_told_after_a_list_is_compared_with_it(after, says):
    step = STEPS[2]
    assert (
        (says in "; ".join(found(step, f"{step} {after}"))) if says else found(step, f"{step} {after}") == []
    )
