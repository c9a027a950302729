"""Mistakes planted in the samples, one at a time: each is found, and the samples as they are have none."""

import json
from functools import cache
from pathlib import Path

import pytest

from catalogue.site.demo_begun import BEGUN, begun_sample
from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.instructions.missing_words import missing_words
from grading.core.instructions.sides import unmarked_sides
from grading.core.pattern.file import read_pattern

SAMPLES = Path(__file__).resolve().parents[4] / "catalogue" / "site" / "demo"
MISTAKES = json.loads(
    (Path(__file__).resolve().parents[3] / "data" / "planted_mistakes.json").read_text("utf-8")
)
NAMES = sorted({one["sample"] for one in MISTAKES})


@cache
def text_of(sample):
    return (SAMPLES / f"{sample}.json").read_text(encoding="utf-8")


def planted(mistake):
    """The sample with a mistake wherever its words stand."""
    text = text_of(mistake["sample"])
    assert mistake["stands"] in text
    return read_pattern(json.loads(text.replace(mistake["stands"], mistake["planted"])))


def noticed(pattern):
    """Where something is noticed in the words and at the joins."""
    graded = grade(pattern)
    found = [*graded.findings, *missing_words(pattern), *unmarked_sides(pattern)]
    return {one.where for one in found if not one.where.startswith(("values.", "checks."))}


def miscounted(pattern):
    """The steps whose stitches disagree with what they say."""
    lines = audit_pattern(facts_of(pattern, grade(pattern)))
    return {f"sections[{line.section}].steps[{line.step}]" for line in lines if line.verdict == "disagrees"}


@pytest.mark.parametrize("sample", NAMES)
def test_the_samples_as_they_are_have_none(sample):
    assert noticed(read_pattern(json.loads(text_of(sample)))) == set()


@pytest.mark.parametrize("name", BEGUN)
def test_the_beginnings_of_the_demo_have_none(name):
    assert noticed(read_pattern(begun_sample(name))) == set()


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda one: f"{one['kind']} at {one['found']}")
def test_a_planted_mistake_is_found_where_it_stands(mistake):
    find = miscounted if mistake["kind"] == "a count after shaping" else noticed
    assert mistake["found"] in find(planted(mistake))


def test_forty_mistakes_and_more_are_planted_in_all_samples():
    assert len(MISTAKES) >= 40
    assert len(NAMES) == len(list(SAMPLES.glob("*.json")))
