"""Yarn tables: one for each choice that changes the yarn, and a readable number of them."""

import json
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from catalogue.drafts.patterns import load_pattern
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import render_pdf
from catalogue.editions.needs import columns_note
from catalogue.editions.yarn_additions import length_within
from catalogue.editions.yarn_amounts import YarnColumn
from catalogue.editions.yarn_tables import MOST_IN_FULL, MOST_TABLES, yarn_blocks, yarn_groups, yarn_note
from grading.core.pattern.pattern import OptionEntry, PatternFile
from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.printing.size_rows import size_groups, sizes_across
from tests.catalogue.builders import make_record

GARMENTS = [
    path
    for path in sorted((Path(__file__).parents[2] / "data" / "garments").glob("*.json"))
    if not path.stem.startswith("mistaken")  # refused before they are printed
]


def pattern_with(*options):
    named = tuple(OptionEntry(name, name.capitalize(), choices, choices[0]) for name, choices in options)
    return PatternFile("Hat", "knitting", "cm", "UK", ("S", "M"), options=named)


def needs_of(options, weights):
    """Every combination with the weights that a function gives for each colour."""
    names = [name for name, _ in options]
    return [
        {"options": dict(zip(names, chosen, strict=True)), "colours": amounts(**weights(*chosen))}
        for chosen in product(*(choices for _, choices in options))
    ]


def amounts(**weights):
    return {
        letter: {"weight": [weight] * 2, "length": [weight and weight * 2] * 2, "balls": [weight and 1] * 2}
        for letter, weight in weights.items()
    }


def blocks_of(options, weights):
    pattern = replace(pattern_with(*options), wording=FIRST_WORDING)
    return list(yarn_blocks(needs_of(options, weights), pattern, "cm", [0, 1]))


def test_a_choice_that_changes_nothing_is_not_named():
    options = [("sleeves", ("long", "none")), ("collar", ("round", "flat"))]
    blocks = blocks_of(options, lambda sleeves, collar: {"A": 80.0 if sleeves == "long" else 50.0})
    assert [caption for caption, _ in blocks] == ["Sleeves: long", "Sleeves: none"]
    assert [row.label for row in blocks[0][1]] == ["A, balls", "A, g", "A, m"]
    assert [rows[1].texts for _, rows in blocks] == [("80", "80"), ("50", "50")]


def test_choices_that_need_the_same_are_named_together():
    options = [("brim", ("folded", "single", "rolled"))]
    blocks = blocks_of(options, lambda brim: {"A": 60.0 if brim == "folded" else 40.0})
    assert [caption for caption, _ in blocks] == ["Brim: folded", "Brim: single or rolled"]


def test_choices_are_not_alike_where_another_choice_tells_them_apart():
    options = [("brim", ("folded", "single")), ("top", ("plain", "tall"))]
    needs = needs_of(options, lambda brim, top: {"A": 70.0 if (brim, top) == ("folded", "tall") else 40.0})
    labels = [group.label for group in yarn_groups(needs, pattern_with(*options), ["A"])]
    assert len(labels) == 4
    assert labels[1] == "with folded brim and tall top"


def test_many_tables_are_gathered_by_colour():
    options = [("brim", ("a", "b", "c")), ("top", ("d", "e", "f"))]
    needed = {"a": 10.0, "b": 20.0, "c": 30.0, "d": 40.0, "e": 50.0, "f": 60.0}
    blocks = blocks_of(options, lambda brim, top: {"A": needed[brim], "B": needed[top]})
    assert len(options[0][1]) * len(options[1][1]) > MOST_TABLES
    assert [caption for caption, _ in blocks] == ["", ""]
    heads = [[row.label for row in rows if not row.texts] for _, rows in blocks]
    assert heads == [["Brim: a", "Brim: b", "Brim: c"], ["Top: d", "Top: e", "Top: f"]]
    assert [row.texts[0] for row in blocks[1][1] if row.label == "B, g"] == ["40", "50", "60"]


def test_where_choices_are_very_many_the_weight_alone_is_told():
    options = [("brim", tuple("abcdefgh")), ("top", tuple("ijkl"))]
    weights = {pair: 10.0 * number for number, pair in enumerate(product("abcdefgh", "ijkl"), 1)}
    ((_, rows),) = blocks_of(options, lambda brim, top: {"A": weights[brim, top]})
    assert len(weights) > MOST_IN_FULL
    assert {row.label for row in rows if row.texts} == {"A, g"}
    assert [row.texts[0] for row in rows if row.texts] == [f"{weight:g}" for weight in weights.values()]


def test_an_unknown_amount_is_told_and_an_unused_colour_is_not():
    ((_, rows),) = blocks_of([], lambda: {"A": 40.0, "B": None, "C": 0.0})
    assert [row.label for row in rows][-1] == "B, amount not known"
    assert not any(row.label.startswith("C") for row in rows)


def test_sizes_with_long_names_stand_in_more_tables():
    short, long = [str(at) for at in range(24)], [f"medium {at}" for at in range(24)]
    assert sizes_across(short, 12) == 12
    assert sizes_across(long, 12) == 10
    assert sizes_across(long, 5) == 4
    assert [group.stop - group.start for group in size_groups(long, 10)] == [8, 8, 8]


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
@pytest.mark.django_db
@pytest.mark.parametrize("path", GARMENTS, ids=lambda path: path.stem)
@pytest.mark.parametrize("printed", ["screen", "large"])
def test_garments_of_every_kind_can_be_printed(path, printed):
    """Up to 24 sizes and 256 combinations of choices."""
    record = make_record(load_pattern(document=json.loads(path.read_text()), by=None))
    pdf = render_pdf(record=record, choices={**home_choices(record), "print": printed})
    assert 3 <= pdf.pages <= 60


@pytest.mark.parametrize(
    ("share", "says"),
    [
        (0.0, "These amounts are estimates. Buy enough of one dye lot."),
        (
            0.075,
            "These amounts are estimates and include an allowance of 7.5 %. Buy enough of one dye lot.",
        ),
    ],
)
def test_an_allowance_is_told_in_per_cent_and_only_where_there_is_one(share, says):
    assert yarn_note(replace(pattern_with(), yarn_allowance=share)) == says


SUMS = "Totals are rounded only once, so they can differ slightly from the sum of their parts."


def addition(*names):
    return YarnColumn("Add to A", (), "A", frozenset((name, "yes") for name in names))


def total(*names):
    return replace(addition(*names), is_sum=True)


def noted(*columns, units="cm"):
    """What stands below these columns."""
    return columns_note(pattern_with(), units, [[YarnColumn("A", (), "A"), *columns]])


def test_a_maker_is_told_to_add_only_what_no_sum_tells():
    """40 g and 15 g more make 55 g, and the column beside them tells 50: the rule would contradict it."""
    both = noted(addition("brim"), total("brim"))
    assert SUMS in both
    assert "To add a choice" not in both
    # Of two additions without a sum for each, a maker of one still adds.
    some = noted(addition("belt"), addition("hood"), total("belt", "hood"))
    assert "To add a choice, add its grams first" in some
    assert SUMS in some
    assert SUMS not in noted(addition("belt"))
    assert "add its ounces first" in noted(addition("belt"), units="in")
    assert noted() == yarn_note(pattern_with())
    # The sum of one group of sizes says nothing to another.
    assert "To add" in columns_note(
        pattern_with(), "cm", [[addition("belt")], [addition("belt"), total("belt")]]
    )


def test_metres_never_go_beyond_the_balls_beside_them():
    # 101 m of a ball of 105 m; two such balls hold 210.
    assert length_within(101, 10, 105) == 105
    assert length_within(106, 10, 210) == 110
    assert length_within(101, 10, None) == 110
