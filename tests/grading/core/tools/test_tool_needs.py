"""What must hold the rows of a pattern is told fabric by fabric."""

from dataclasses import replace
from pathlib import Path

import pytest

from catalogue.site.demo_begun import begun_sample
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.core.printing.wording import Voice
from grading.core.tools.needs import tool_needs, tool_sentence
from grading.core.tools.tools import CIRCULAR_FLAT, SMALL_ROUND

SAMPLES = Path(__file__).parents[4] / "catalogue" / "site" / "demo"


def needs(name):
    pattern = read_pattern((SAMPLES / f"{name}.json").read_text("utf-8"))
    worked = {name: value.worked for name, value in grade(pattern).values.items()}
    return pattern, {need.fabric.name: need for need in tool_needs(pattern, worked)}


def said(pattern, need, **more):
    return tool_sentence(need, Voice(pattern.sizes, pattern.craft, **more))


def test_tunisian_pieces_wider_than_a_hook_need_a_cord():
    pattern, found = needs("thistledrift_waistcoat")
    # derived: the back of 3X is (53 in + 10 cm) / 2 = 72.3 cm wide, of XS (29 in + 9 cm) / 2 = 41.3 cm
    assert said(pattern, found["main"]) == (
        "5.5 mm (US I-9): XS: a straight Tunisian hook of 35 cm; "
        "S to 3X: a Tunisian hook with a cord of 60 cm."
    )
    assert tool_sentence(found["main"], Voice(pattern.sizes, "tunisian", kept=(6,)), "in") == (
        "US I-9 (5.5 mm): a Tunisian hook with a cord of 24 in."
    )
    assert said(pattern, found["main"], kept=(0,)) == "5.5 mm (US I-9): a straight Tunisian hook of 35 cm."


def test_a_band_of_ordinary_crochet_on_tunisian_work_needs_a_hook_and_nothing_more():
    pattern, found = needs("thistledrift_waistcoat")
    assert said(pattern, found["band"]) == "4.5 mm (US 7) hook."


def test_rounds_need_a_shorter_needle_and_double_points():
    pattern, found = needs("cinderfell_raglan")
    first = said(pattern, found["main"], kept=(0,), terms="UK")
    # derived: 2XS has 176 sts = 80 cm round the body, 45.5 cm round the neck, 18.2 cm round the
    # wrist and 125.5 cm round the end of the yoke
    assert first == (
        "4 mm: circular needles of 40 cm and 80 cm, "
        "and double-pointed needles (or the 80 cm circular needle for a long loop)."
    )


def test_the_sizes_of_a_garment_share_few_needles():
    pattern, found = needs("cinderfell_raglan")
    assert said(pattern, found["main"], terms="UK") == (
        "4 mm: circular needles of 40 cm and 80 cm, and double-pointed needles (or the 80 cm circular needle "
        "for a long loop); for 2X to 4X also a circular needle of 100 cm; "
        "for 5X to 7X also a circular needle of 120 cm."
    )
    # derived: the last round of the yoke, 404 sts = 184 cm in 2X, is 2.3 times as long as 80 cm; as frozen
    # with the second wording it had no longer needle
    worked = {name: value.worked for name, value in grade(pattern).values.items()}
    old = next(need for need in tool_needs(replace(pattern, wording=2), worked) if need.fabric.name == "main")
    assert {one.length.cm for one in old.advice[6]} == {"40 cm", "80 cm"}


@pytest.mark.parametrize("terms", ["US", "UK"])
def test_crochet_needs_a_hook_only(terms):
    pattern, found = needs("brackenmere_pullover")
    assert (
        said(pattern, found["main"], terms=terms) == {"US": "5 mm (US H-8) hook.", "UK": "5 mm hook."}[terms]
    )


def test_a_round_much_longer_than_a_short_needle_has_a_longer_one():
    pattern, found = needs("cinderfell_raglan")
    # derived: the hem of 2XS has 176 sts of rib = 73 cm, which crowd on 40 cm
    assert "circular needles of 40 cm and 60 cm" in said(pattern, found["rib"], kept=(0,), terms="UK")


def test_a_hat_whose_steps_are_all_rounds_is_worked_on_rounds_down_to_its_top():
    """A needle of 40 cm for the side, and double points for the 6 sts of the top; none back and forth."""
    pattern = read_pattern(begun_sample("plovermire_hat"))
    worked = {name: value.worked for name, value in grade(pattern).values.items()}
    main = next(need for need in tool_needs(pattern, worked) if need.fabric.name == "main")
    told = said(pattern, main, kept=(len(pattern.sizes) - 1,), terms="UK")
    assert told == (
        "4 mm: double-pointed needles (or a circular needle of 80 cm for a long loop) "
        "and a circular needle of 40 cm."
    )
    old = replace(pattern, wording=2)
    flat = next(need for need in tool_needs(old, worked) if need.fabric.name == "main")
    assert "to and fro" in said(old, flat, terms="UK", wording=2)


def test_sleeves_in_the_round_below_a_body_in_rows_need_a_tool_of_their_own():
    """Common practice: a tube of 18.2 to 30 cm is worked on double points or with a long loop."""
    text = (SAMPLES / "cinderfell_raglan.json").read_text("utf-8").replace(' in the round"', '"')
    pattern = read_pattern(text)
    worked = {name: value.worked for name, value in grade(pattern).values.items()}
    need = next(one for one in tool_needs(pattern, worked) if one.fabric.name == "main")
    kinds = [one.kind for one in need.advice[0]]
    assert kinds == [CIRCULAR_FLAT, SMALL_ROUND]
    old = next(one for one in tool_needs(replace(pattern, wording=2), worked) if one.fabric.name == "main")
    assert SMALL_ROUND not in [one.kind for one in old.advice[0]]
