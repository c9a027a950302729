"""A fabric without a hook or needle size, a yarn without name or length: a finding each."""

import pytest

from catalogue.site.demo_begun import BEGUN, begun_sample
from grading.core.grade.grade import grade
from grading.core.grade.missing_facts import missing_facts
from grading.core.pattern.file import read_pattern
from tests.builders import sample

SAMPLES = ("brackenmere_pullover", "cinderfell_raglan", "puffinbay_child", "thistledrift_waistcoat")


def found(typed):
    return [(one.weight, one.where, one.says) for one in missing_facts(read_pattern(typed))]


@pytest.mark.parametrize(
    "typed", [*map(sample, SAMPLES), *map(begun_sample, BEGUN)], ids=lambda one: one["title"]
)
def test_every_pattern_of_the_demo_says_what_to_buy(typed):
    assert found(typed) == []


def test_each_fact_that_is_missing_is_a_finding_of_the_sheet():
    typed = sample("brackenmere_pullover")
    del typed["fabrics"]["rib"]["tool_mm"]
    typed["yarns"] = [{"colour": "A", "label": "Yarn A"}]
    rib = "Half double crochet in the back loop, worked sideways"
    wanted = [
        ("warn", "fabrics.rib", f"“{rib}” has no hook size: enter it in mm."),
        ("warn", "yarns.A", "Yarn A has no name: enter what it is called, and of which fibre it is."),
        ("warn", "yarns.A", "Yarn A has no length: enter the metres or yards of a ball."),
    ]
    assert found(typed) == wanted
    graded = grade(read_pattern(typed))
    assert {says for _, _, says in wanted} <= {one.says for one in graded.findings}


def test_a_pattern_without_steps_is_not_asked_yet():
    typed = sample("brackenmere_pullover")
    del typed["fabrics"]["rib"]["tool_mm"]
    assert found({**typed, "sections": []}) == []


def test_a_colour_that_no_part_takes_is_found():
    typed = sample("thistledrift_waistcoat")
    typed["yarns"] = [*typed["yarns"], {**typed["yarns"][0], "colour": "D"}]
    assert found(typed) == [
        ("warn", "yarns.D", "No part uses yarn D, so makers are not told how much to buy: add a part in it.")
    ]
