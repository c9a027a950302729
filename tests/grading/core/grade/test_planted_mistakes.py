"""Mistakes planted in the samples, one at a time: each is found, and the samples as they are have none."""

import json
from functools import cache
from pathlib import Path

import pytest

from catalogue.site.demo_begun import BEGUN, begun_sample
from grading.beginnings.begun_patterns import BegunSwatch, Start, begun_document
from grading.beginnings.constructions import constructions, lacking
from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.grade.worked_pieces import worked_piece_findings
from grading.core.instructions.facts import facts_of
from grading.core.instructions.missing_words import missing_words
from grading.core.instructions.sides import unmarked_sides
from grading.core.pattern.file import read_pattern
from grading.sizes.tables import published_tables

SAMPLES = Path(__file__).resolve().parents[4] / "catalogue" / "site" / "demo"
MISTAKES = json.loads(
    (Path(__file__).resolve().parents[3] / "data" / "planted_mistakes.json").read_text("utf-8")
)
NAMES = sorted({one["sample"] for one in MISTAKES})


@cache
def text_of(sample):
    if sample in BEGUN:
        return json.dumps(begun_sample(sample), ensure_ascii=False)
    return (SAMPLES / f"{sample}.json").read_text(encoding="utf-8")


def planted(mistake):
    """The sample with a mistake wherever its words stand, or without a section or step."""
    text = text_of(mistake["sample"])
    if "without" in mistake:
        return read_pattern(without(json.loads(text), mistake["without"]))
    assert mistake["stands"] in text
    return read_pattern(json.loads(text.replace(mistake["stands"], mistake["planted"])))


def without(document, gone):
    """A pattern without the section of a title, or without a step by the places of its section and itself."""
    if isinstance(gone, list):
        section, step = gone
        del document["sections"][section]["steps"][step]
        return document
    kept = [one for one in document["sections"] if one["title"] != gone]
    assert len(kept) == len(document["sections"]) - 1
    return {**document, "sections": kept}


def noticed(pattern):
    """Where something is noticed in the words and at the joins."""
    graded = grade(pattern)
    worked = worked_piece_findings(audit_pattern(facts_of(pattern, graded)), graded)
    found = [*graded.findings, *missing_words(pattern), *unmarked_sides(pattern), *worked]
    return {one.where for one in found if not one.where.startswith(("values.", "checks."))}


def miscounted(pattern):
    """The steps whose stitches disagree with what they say."""
    lines = audit_pattern(facts_of(pattern, grade(pattern)))
    return {f"sections[{line.section}].steps[{line.step}]" for line in lines if line.verdict == "disagrees"}


@pytest.mark.parametrize("sample", NAMES)
def test_the_samples_as_they_are_have_none(sample):
    pattern = read_pattern(json.loads(text_of(sample)))
    assert noticed(pattern) == miscounted(pattern) == set()


@pytest.mark.parametrize("key", constructions())
def test_what_is_begun_from_any_construction_has_none_but_yarn_and_tool_to_be_chosen(key):
    construction = constructions()[key]
    table = next(of for of in published_tables().values() if not lacking(construction, of))
    for fabric in construction.fabrics:
        rows = {"garter": 28, "single": 16}.get(fabric, 18)  # beside 14 stitches: common practice
        start = Start(
            title=construction.name,
            fabric=fabric,
            table=table,
            sizes=table.sizes,
            swatch=BegunSwatch(14, rows, 14, 14, rows),
            ease=construction.eases[construction.ease][0],
            sample=table.sizes[0],
            home_units="cm",
            options=frozenset(one["name"] for one in construction.options),
        )
        pattern = read_pattern(begun_document(construction, start))
        assert noticed(pattern) - {"yarns.A", "fabrics.main"} == miscounted(pattern) == set(), fabric


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda one: f"{one['kind']} at {one['found']}")
def test_a_planted_mistake_is_found_where_it_stands(mistake):
    find = miscounted if mistake["kind"] == "a count after shaping" else noticed
    assert mistake["found"] in find(planted(mistake))


def test_a_hundred_mistakes_and_more_are_planted_in_all_samples():
    assert len(MISTAKES) >= 100
    assert len(NAMES) == len(list(SAMPLES.glob("*.json"))) + len(BEGUN)
