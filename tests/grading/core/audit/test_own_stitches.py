"""Special stitches of a pattern are read by the bracket of their method; what makes more or fewer is found.

A V-stitch is two double crochets with a chain between them in one place: yoke and sleeve of such V-stitches
are worked in the chain space of each, and grow by two in one space (common practice).
"""

from dataclasses import replace

import pytest

from grading.core.audit.own_stitches import own_stitches
from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import SpecialStitchEntry
from grading.core.pattern.wordings import WIDE_WORDING
from tests.grading.core.sheets import pattern_file, value

V_STITCH = {
    "name": "v_stitch",
    "label": "V stitch",
    "short": "V-st",
    "method": "Work (1 dc, ch 1, 1 dc) in the same place. It counts as 3 sts.",
}
ROUND_1 = "Round 1: ch 1 (does not count as a stitch), 1 sc in each ch, join. ({neck} sts)"
CHAIN = "ch {underarm} (counts as {underarm} sts), skip the next {sleeve} V-sts"
BACK = "V-st in each of the next {back} V-sts"
YOKE = [
    f"Ch {{neck}} and join with a sl st to form a ring. {ROUND_1}",
    "Round 2: *skip 1 st, V-st in the next st, skip 1 st; repeat from * to the end, join. ({neck} sts)",
    "Round 3: V-st in the ch-1 space of each V-st to the end, join. ({neck} sts)",
    "{growth} ({yoke} sts)",
    "Work 3 rounds straight.",
    f"Next round: {BACK}, {CHAIN}, {BACK}, {CHAIN}, join. ({{body}} sts)",
]
TAKE_UP = "Go back to the {sleeve_stitches} sts of one sleeve with the larger hook."
ONE_FEWER = "1 dc in the next ch-1 space, ch 1, 1 dc in the next ch-1 space"
SLEEVE = [f"{TAKE_UP} Round 1: V-st in each V-st to the last 2 V-sts, {ONE_FEWER}, join. (3 sts fewer)"]
GROWTH = {"name": "growth", "change": "more_vs", "in": "neck_vs", "of": "V-st", "each": 3}
LINES = [
    value("neck", kind="stitches", list=[72, 84]),
    value("neck_vs", kind="count", formula="neck / (3 stitches)"),
    value("more_vs", kind="count", list=[8, 10]),
    value("yoke", kind="stitches", formula="neck + more_vs * 3 stitches"),
    value("back", kind="count", list=[10, 12]),
    value("sleeve", kind="count", list=[6, 7]),
    value("sleeve_stitches", kind="stitches", formula="sleeve * 3 stitches"),
    value("underarm", kind="stitches", list=[6, 6]),
    value("body", kind="stitches", formula="2 * (back * 3 stitches + underarm)"),
]


def verdicts(**change):
    sections = [{"title": "Yoke", "steps": YOKE}, {"title": "Sleeves", "steps": SLEEVE}]
    for old, new in change.values():
        for section in sections:
            section["steps"] = [step.replace(old, new) for step in section["steps"]]
    data = pattern_file(
        *LINES,
        sizes=["S", "M"],
        craft="crochet",
        home_terms="US",
        special_stitches=[V_STITCH],
        spreads=[GROWTH],
        sections=sections,
    )
    pattern = read_pattern(data)
    return [line.verdict for line in audit_pattern(facts_of(pattern, grade(pattern)))]


def test_a_yoke_of_v_stitches_comes_out_in_every_row():
    assert set(verdicts()) == {"agrees"}


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("*skip 1 st, V-st in the next st, skip 1 st;", "*skip 1 st, V-st in the next st;"),
        ("each V-st to the end, join", "each V-st to the end, 2 V-st in the next V-st, join"),
        ("{growth} ({yoke} sts)", "{growth} ({yoke - 2} sts)"),
        ("next {sleeve} V-sts, V-st", "next {sleeve + 1} V-sts, V-st"),
        ("V-st in each of the next {back} V-sts, ch", "V-st in each of the next {back - 1} V-sts, ch"),
        ("last 2 V-sts, 1 dc", "last 3 V-sts, 1 dc"),
        ("(3 sts fewer)", "(2 sts fewer)"),
    ],
)
def test_a_slip_in_v_stitches_is_found(old, new):
    assert "disagrees" in verdicts(slip=(old, new))


@pytest.mark.parametrize(
    ("method", "group"),
    [
        ("Work (2 dc) in the same st, then 1 dc in the following st.", []),
        ("Work (2 dc) in the same st. Work 1 dc in the following st.", []),
        ("Skip 1 st, work (1 dc) in the next st, then (1 dc) in the skipped st.", []),
        ("Work (2 dc) in the same st 3 times.", []),
        ("Shell: work (2 dc, ch 1, 2 dc) all in the same\nspace. It counts as 5 sts.", ["2 dc, ch 1, 2 dc"]),
        ("(2 dc) in one ch-1 sp. The edge is scalloped.", ["2 dc"]),
    ],
)
def test_a_method_is_read_where_it_is_one_bracket_in_one_place_alone(method, group):
    assert [one.group for one in own_stitches([SpecialStitchEntry("s", "Shell", "sh", method)])] == group


@pytest.mark.parametrize(
    ("of", "noun"),
    [
        ("V-sts", "V-st"),
        ("repeats ", "repeat"),
        ("cross", "cross"),
        ("lotus", "lotus"),
        ("s", "s"),
    ],
)
def test_what_a_spread_counts_may_be_typed_as_one_or_several(of, noun):
    pattern = read_pattern(pattern_file(*LINES, sizes=["S", "M"], spreads=[{**GROWTH, "of": of}]))
    graded = grade(pattern)
    assert facts_of(pattern, graded).spread("growth")[1] == noun
    frozen = facts_of(replace(pattern, wording=WIDE_WORDING), graded)
    assert frozen.spread("growth")[1] == of  # printed as it was
