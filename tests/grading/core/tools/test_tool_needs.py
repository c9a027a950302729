"""What must hold the rows of a pattern is told fabric by fabric."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from catalogue.site.demo_begun import begun_sample
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.core.printing.wording import Voice
from grading.core.tools.needs import smaller_need, tool_needs, tool_sentence
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
    typed = json.loads((SAMPLES / "cinderfell_raglan.json").read_text("utf-8").replace(' in the round"', '"'))
    for section in typed["sections"]:
        if not section["title"].startswith("Sleeves"):
            section["steps"] = [re.sub(r"\bround(s?)\b", r"row\1", step) for step in section["steps"]]
    pattern = read_pattern(typed)
    worked = {name: value.worked for name, value in grade(pattern).values.items()}
    need = next(one for one in tool_needs(pattern, worked) if one.fabric.name == "main")
    kinds = [one.kind for one in need.advice[0]]
    assert kinds == [CIRCULAR_FLAT, SMALL_ROUND]
    old = next(one for one in tool_needs(replace(pattern, wording=2), worked) if one.fabric.name == "main")
    assert SMALL_ROUND not in [one.kind for one in old.advice[0]]


def pullover(*neckband, tool="smaller needle"):
    """Worked flat at 20 sts to 10 cm: a back of 110 sts = 55 cm, a neckband of 96 sts = 48 cm."""
    values = [
        {"name": "back_stitches", "kind": "stitches", "list": [110, 130]},
        {"name": "neckband_stitches", "kind": "stitches", "list": [96, 104]},
        {"name": "neckband_rounds", "kind": "rows", "list": [8, 8]},
    ]
    back = [f"With the {tool} cast on {{back_stitches}} sts. Work 8 rows of rib.", "Work 80 rows."]
    yarn = [("Back", "back_stitches * 88 rows"), ("Neckband", "neckband_stitches * neckband_rounds")]
    typed = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Bank pullover",
        "craft": "knitting",
        "home_units": "cm",
        "home_terms": "UK",
        "sizes": ["S", "L"],
        "fabrics": {"main": {"label": "Plain", "stitches": 20, "rows": 28, "over": "10 cm", "tool_mm": 4}},
        "values": values,
        "sections": [{"title": "Back", "steps": back}, {"title": "Neckband", "steps": list(neckband)}],
        "yarns": [{"colour": "A", "label": "Yarn A"}],
        "yarn_sections": [{"name": name, "fabric": "main", "worked": of, "colour": "A"} for name, of in yarn],
    }
    pattern = read_pattern(typed)
    return pattern, {name: value.worked for name, value in grade(pattern).values.items()}


ROUNDS = "pick up {neckband_stitches} sts, join in the round. Work {neckband_rounds} rounds of rib."


def test_a_neckband_in_rounds_on_a_piece_in_rows_has_a_short_needle_of_its_own():
    """Common practice: 48 cm go round on 40 cm; 55 and 65 cm are turned on 60 cm."""
    pattern, worked = pullover(f"With the 4 mm needle {ROUNDS}", tool="4 mm needle")
    (need,) = tool_needs(pattern, worked)
    assert said(pattern, need, terms="UK") == (
        "4 mm: a circular needle of 60 cm to work back and forth "
        "and a circular needle of 40 cm for the neckband."
    )
    old = replace(pattern, wording=2)
    assert "neckband" not in said(old, tool_needs(old, worked)[0], wording=2)


def test_what_the_smaller_needle_holds_is_told_of_it_alone():
    pattern, worked = pullover(f"With the smaller needle {ROUNDS}")
    (need,) = tool_needs(pattern, worked)
    assert said(pattern, need, terms="UK") == "4 mm: a circular needle of 60 cm to work back and forth."
    assert said(pattern, smaller_need(pattern, worked, 3.5), terms="UK") == (
        "3.5 mm: a circular needle of 60 cm to work back and forth "
        "and a circular needle of 40 cm for the neckband."
    )


def test_a_neckband_in_rows_needs_no_round():
    pattern, worked = pullover("Pick up {neckband_stitches} sts. Work {neckband_rounds} rows of rib.")
    assert "neckband" not in said(pattern, tool_needs(pattern, worked)[0])


def test_where_stitches_of_the_smaller_needle_are_not_told_no_length_is():
    pattern, worked = pullover(f"With the smaller needle {ROUNDS}")
    hem = replace(pattern.sections[0], steps=("Change to the smaller needle. Work 8 rows of rib.",))
    untold = replace(pattern, sections=(hem, *pattern.sections[1:]))
    assert said(untold, smaller_need(untold, worked, 3.5), terms="UK") == "3.5 mm needles."
