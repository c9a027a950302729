"""Stripe plans: stripes as worked, totals, letters beside colours, and neighbours that can be told apart."""

import json
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from catalogue.drawings.stripe_bars import WIDTH_MM
from catalogue.drawings.stripe_plans import stripe_work
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.pattern.wordings import NEWEST_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.yarn.colour import lab_of, parse_shade
from tests.grading.yarn_by_choice import coloured_by_choice
from tests.present import present

DEMO = Path(__file__).parents[3] / "catalogue" / "site" / "demo"
PEAT = {"yarn": "Larkmoss Skeinbury", "shade": "Peat", "srgb": "#4a3728"}
THISTLE = {"yarn": "Larkmoss Skeinbury", "shade": "Thistle", "srgb": "#8d6a9f"}
OAT = {"yarn": "Larkmoss Skeinbury", "shade": "Oat", "srgb": "#d9c7a3"}
SHADES = {"A": PEAT, "B": THISTLE, "C": OAT}


def waistcoat(**changes):
    document = json.loads((DEMO / "thistledrift_waistcoat.json").read_text("utf-8"))
    return {**document, **changes}


def work_of(document, shades=SHADES, kept=None, wording=NEWEST_WORDING):
    pattern = replace(read_pattern(document), wording=wording)
    facts = facts_of(pattern, grade(pattern))
    places = list(range(len(pattern.sizes))) if kept is None else kept
    return stripe_work(facts, shades, facts.voice(PrintForm(terms="US"), tuple(places)), places)


def heights(fill):
    """Lower and upper edge of each stripe of a colour, in mm of paper."""
    return [tuple(map(float, pair)) for pair in re.findall(r"M0 ([\d.]+)H[\d.]+V([\d.]+)", fill.d)]


def test_parts_with_the_same_stripes_over_the_same_rows_are_drawn_once():
    (sheet,) = work_of(waistcoat()).sheets
    assert sheet.parts == "Back and fronts, striped"
    assert sheet.when == "In striped colors"
    assert sheet.words == "6 rows A, 2 rows B, 2 rows A, 4 rows C, 2 rows B"


def test_parts_that_are_striped_for_one_choice_alone_are_drawn_for_that_choice():
    (sheet,) = work_of(coloured_by_choice(waistcoat())).sheets
    assert sheet.parts == "Back and Fronts"
    assert sheet.when == "In striped colors"
    (twice,) = work_of(waistcoat()).sheets
    assert sheet.bars == twice.bars
    other = {"option": "colours", "choice": "solid", "stripes": "narrow"}
    document = coloured_by_choice(waistcoat())
    document["stripes"].append({"name": "narrow", "sequence": [["A", 1], ["B", 1]]})
    for part in document["yarn_sections"][1:3]:
        part["by_choice"] = [other]
    assert [(one.when, one.words) for one in work_of(document).sheets] == [
        ("In striped colors", sheet.words), ("In solid colors", "1 row A, 1 row B"),
    ]  # fmt: skip


def test_each_size_has_its_own_rows_the_first_at_the_bottom():
    (sheet,) = work_of(waistcoat()).sheets
    # derived: back_rows of XS to 3X, as the sheet gives them
    assert [bar.rows for bar in sheet.bars] == [74, 76, 78, 80, 82, 84, 86]
    bar = sheet.bars[0]
    height = max(low for low, _ in heights(bar.fills[0]))
    low, high = max(heights(bar.fills[0]))
    assert low == height
    assert low - high == pytest.approx(6 * height / 74, abs=0.02)


def test_the_stripes_fill_the_piece_without_a_gap():
    bar = work_of(waistcoat()).sheets[0].bars[3]
    edges = sorted(pair for fill in bar.fills if not fill.dash for pair in heights(fill))
    assert edges[0][1] == 0
    assert all(one[0] == pytest.approx(after[1]) for one, after in pairwise(edges))


def test_blended_rows_show_strands_of_the_next_colour_in_their_share():
    bars = work_of(waistcoat()).sheets[0].bars
    strands = [fill for fill in bars[0].fills if fill.dash]
    assert {fill.colour for fill in strands} == {"#4a3728", "#8d6a9f", "#d9c7a3"}
    # forward_share of the file is 0.46: the strands of the return pass take 54 % of the width
    on, off = map(float, strands[0].dash.split())
    assert on / (on + off) == pytest.approx(0.54, abs=0.005)
    hard = waistcoat()
    hard["stripes"][0]["change"] = "row start"
    sheet = work_of(hard).sheets[0]
    assert not sheet.blended
    assert not [fill for fill in sheet.bars[0].fills if fill.dash]


def test_every_stripe_has_its_letter_beside_it():
    bar = work_of(waistcoat()).sheets[0].bars[0]
    # derived: 74 rows are four repeats of 16 rows in five stripes, and 10 rows: A, B, A
    assert [mark.letter for mark in bar.marks] == [*"ABACB" * 4, *"ABA"]
    assert all(mark.x > WIDTH_MM for mark in bar.marks)
    assert "74 rows" in bar.frame.title
    assert "ends with 2 rows of A" in bar.frame.title


def test_totals_are_rows_and_shares_per_colour_and_size():
    rows = {row.label: row.texts for row in work_of(waistcoat()).sheets[0].rows}
    # derived: 4 × (6 + 2) + 6 + 2 rows of A, 4 × 4 + 2 of B, 4 × 4 of C
    assert (rows["A, rows begun in it"][0], rows["B, rows begun in it"][0]) == ("40", "18")
    assert rows["C, rows begun in it"][0] == "16"
    for place in range(7):
        assert sum(int(rows[f"{colour}, rows begun in it"][place]) for colour in "ABC") == int(
            rows["Rows in all"][place]
        )
        shares = [int(rows[f"{colour}, share of the yarn in %"][place]) for colour in "ABC"]
        assert sum(shares) == pytest.approx(100, abs=1)


def test_without_shades_greys_stand_for_colours_far_apart_in_lightness():
    work = work_of(waistcoat(), shades={})
    assert work.missing == ("A", "B", "C")
    assert (work.pairs, work.seen) == ((), ())
    greys = [lab_of(present(parse_shade(one.srgb))) for one in work.key]
    assert [round(float(grey[0])) for grey in greys] == [90, 60, 30]
    assert all(abs(grey[1]) < 0.5 and abs(grey[2]) < 0.5 for grey in greys)


def test_neighbours_that_are_alike_are_told_in_a_sentence():
    near = {**SHADES, "B": {**THISTLE, "srgb": "#d8c9a8"}}
    pairs = {(pair.one, pair.other): pair for pair in work_of(waistcoat(), shades=near).pairs}
    assert set(pairs) == {("A (Peat)", "B (Thistle)"), ("A (Peat)", "C (Oat)"), ("B (Thistle)", "C (Oat)")}
    assert pairs["A (Peat)", "C (Oat)"].enough
    alike = pairs["B (Thistle)", "C (Oat)"]
    assert not alike.enough
    assert "full colour eyes, red-blind eyes, green-blind eyes and blue-blind eyes" in alike.says
    assert alike.says.endswith("Choose a lighter or darker shade.")


def test_red_and_green_of_one_lightness_are_weak_even_though_their_hues_differ():
    # derived from CIE L*: #b03030 has L* 40, #2f6f2f has L* 42
    hues = {"A": {**PEAT, "srgb": "#b03030"}, "B": {**THISTLE, "srgb": "#2f6f2f"}, "C": OAT}
    first = work_of(waistcoat(), shades=hues).pairs[0]
    assert not first.enough
    assert dict(first.steps)["full colour"] in ("1", "2", "3")


def test_each_kind_of_eyes_sees_one_repeat():
    seen = work_of(waistcoat()).seen
    assert [one.eyes for one in seen] == [
        "Full colour",
        "Red-blind eyes",
        "Green-blind eyes",
        "Blue-blind eyes",
    ]
    assert {one.bar.rows for one in seen} == {16}
    assert seen[0].bar.fills[0].colour == "#4a3728"
    assert seen[1].bar.fills[0].colour != "#4a3728"


def test_one_size_is_drawn_alone():
    (sheet,) = work_of(waistcoat(), kept=[2]).sheets
    assert [bar.size for bar in sheet.bars] == ["M"]
    assert sheet.rows[0].texts == ("78",)


def test_a_pattern_without_stripes_has_no_plan():
    document = json.loads((DEMO / "brackenmere_pullover.json").read_text("utf-8"))
    assert work_of(document) is None


def test_rows_that_make_no_sense_are_said_and_not_drawn():
    document = waistcoat()
    for value in document["values"]:
        if value["name"] == "back_rows":
            value["formula"] = "side_rows - side_rows"
    (sheet,) = work_of(document, kept=[0, 1]).sheets
    assert sheet.bars == ()
    assert sheet.problems[0].startswith("Size XS: “rows” must be 1 or more")
    assert sheet.rows[0].texts == ("–", "–")


def test_names_of_the_sheet_never_head_the_stripes():
    document = waistcoat()
    back, fronts = [part for part in document["yarn_sections"] if "stripes" in part]
    back["name"], fronts["name"] = "back", "fronts_striped"
    (sheet,) = work_of(document).sheets
    assert sheet.parts == "Back and Fronts striped"


@pytest.mark.parametrize(
    ("direction", "says"),
    [
        ("bottom to top", "Row 1 is at the bottom."),
        ("top to bottom", "Row 1 is at the bottom of the drawing, and at the top of the piece."),
        ("left to right", "Row 1 is at the bottom of the drawing, and at the left edge of the piece."),
        (None, "Row 1 is at the bottom of the drawing."),
    ],
)
def test_where_row_1_lies_follows_the_direction_of_the_pieces(direction, says):
    document = waistcoat()
    for piece in document["pieces"]:
        piece.pop("direction", None)
        piece.update({"direction": direction} if direction else {})
    (sheet,) = work_of(document).sheets
    assert sheet.first_row == says


def test_parts_in_the_same_stripes_over_other_rows_share_one_drawing_of_the_longest():
    document = waistcoat()
    document["yarn_sections"][4]["rows"] = "armhole_rows"
    (sheet,) = work_of(document).sheets
    assert sheet.parts == "Back and fronts, striped"
    assert [bar.rows for bar in sheet.bars] == [74, 76, 78, 80, 82, 84, 86]
    assert [row.label for row in sheet.ends] == [
        "Back, striped: rows in all", "Back, striped: last stripe, rows and color",
        "Fronts, striped: rows in all", "Fronts, striped: last stripe, rows and color",
    ]  # fmt: skip
    assert [row.label for row in sheet.rows][:2] == [
        "Back, striped: rows in all",
        "Back, striped: A, rows begun in it",
    ]
    earlier = work_of(document, wording=2)
    assert [one.parts for one in earlier.sheets] == ["Back, striped", "Fronts, striped"]


def test_stripes_of_a_garment_in_rounds_are_rounds():
    document = waistcoat()
    document["shapings"] = [{**one, "rounds": True} for one in document["shapings"]]
    (flat,) = work_of(document).sheets
    assert flat.words.startswith("6 rows A, 2 rows B")  # only some shaping is worked in rounds
    name = document["stripes"][0]["name"]
    steps = [f"Join in the round. Work in rounds: {{{name}}}."]
    document |= {"curves": [], "pieces": [], "joins": [], "sections": [{"title": "Body", "steps": steps}]}
    (sheet,) = work_of(document).sheets
    assert sheet.words == "6 rounds A, 2 rounds B, 2 rounds A, 4 rounds C, 2 rounds B"
    assert sheet.ends[0].label == "Rounds in all"
