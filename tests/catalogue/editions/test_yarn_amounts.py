"""Yarn to buy: one line a colour, what a choice adds, equal choices merged, never pages of tables."""

import re
from itertools import product

import pytest

from catalogue.editions.yarn_amounts import MOST_COLUMNS, yarn_columns
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import OptionEntry, PatternFile, YarnEntry
from grading.core.pattern.wordings import FIRST_WORDING, NEWEST_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.numbers import print_grams_to_buy, print_metres_to_buy
from tests.builders import sample
from tests.present import present

# A ball of 50 g and 110 m; what is told is derived from the weights by hand.
BALL_G, METRES_A_GRAM = 50.0, 2.2


def columns_of(options, weights, units="cm", terms="UK", kept=(0, 1), wording=NEWEST_WORDING):
    """The columns of a hat in two sizes, from the weights that a function gives for each choice."""
    named = tuple(OptionEntry(name, name.capitalize(), choices, choices[0]) for name, choices in options)
    yarns = tuple(
        YarnEntry(colour, "Wool", put_up_g=BALL_G, length_per_100g_m=220.0) for colour in ("A", "B")
    )
    pattern = PatternFile(
        "Hat", "knitting", "cm", "UK", ("S", "M"), options=named, yarns=yarns, wording=wording
    )
    needs = [
        {
            "options": dict(zip((name for name, _ in options), chosen, strict=True)),
            "colours": {letter: amounts(row) for letter, row in weights(*chosen).items()},
        }
        for chosen in product(*(choices for _, choices in options))
    ]
    return {
        one.head: one.texts
        for one in yarn_columns(needs, pattern, PrintForm(units=units, terms=terms), list(kept))
    }


def amounts(weights):
    return {
        "weight": list(weights),
        "length": [one and one * METRES_A_GRAM for one in weights],
        "balls": [None if one is None else -(-one // BALL_G) for one in weights],
    }


def test_a_colour_takes_one_line_with_balls_weight_and_length():
    found = columns_of([], lambda: {"A": (240.0, 260.0)})
    assert found == {"A": ("5 balls · 240 g · 530 m", "6 balls · 260 g · 580 m")}


def test_both_units_share_the_line():
    found = columns_of([], lambda: {"A": (240.0, 50.0)}, units="both")
    assert found == {
        "A": ("5 balls · 240 g (8½ oz) · 530 m (580 yd)", "1 ball · 50 g (2 oz) · 110 m (130 yd)")
    }


def test_us_editions_put_ounces_and_yards_first():
    found = columns_of([], lambda: {"A": (240.0, 50.0)}, units="both", terms="US")
    assert found["A"][0] == "5 balls · 8½ oz (240 g) · 580 yd (530 m)"


def test_a_belt_is_told_by_what_it_adds():
    belt = [("belt", ("no", "yes"))]
    found = columns_of(belt, lambda with_belt: {"A": (240.0, 230.0) if with_belt == "no" else (275.0, 245.0)})
    assert found == {
        "A": ("5 balls · 240 g · 530 m", "5 balls · 230 g · 510 m"),
        "Add to A for Belt: yes": ("1 more ball · 35 g · 80 m", "no more balls · 15 g · 30 m"),
    }


def test_balls_that_several_choices_add_do_for_all_of_them_together():
    options = [("belt", ("no", "yes")), ("hood", ("no", "yes"))]

    def weights(belt, hood):
        more = 28.0 * (belt == "yes") + 28.0 * (hood == "yes")
        return {"A": (210.0 + more, 210.0 + more)}

    found = columns_of(options, weights)
    # 210 g are 5 balls and leave 40 g: either fits in these, both together don't.
    assert found["Add to A for Belt: yes"][0].startswith("1 ball · 30 g")
    assert found["Add to A for Hood: yes"][0].startswith("1 ball · 30 g")


def test_what_a_choice_adds_to_several_amounts_is_told_for_each():
    options = [("colours", ("plain", "deep")), ("pocket", ("no", "yes"))]

    def weights(colours, pocket):
        # The deep one takes other colours too, so that neither choice only adds to the other.
        rest = {"B": (0.0, 0.0)} if colours == "plain" else {"B": (20.0, 20.0)}
        grams = (210.0 if colours == "deep" else 240.0) + 30.0 * (pocket == "yes")
        return {"A": (grams, grams), **rest}

    found = columns_of(options, weights)
    # 210 g and 30 g are in the 5 balls of 210 g; 240 g and 30 g are 6 balls, and 240 g are 5.
    assert found["Add to A (Colours: deep) for Pocket: yes"][0] == "no more balls · 30 g · 60 m"
    assert found["Add to A (Colours: plain) for Pocket: yes"][0] == "1 more ball · 30 g · 70 m"


BUY = re.compile(r"(?:(no|\d+)(?: more)? balls? · )?(\d+) g · (\d+) m")


@pytest.mark.parametrize("name", ["puffinbay_child", "thistledrift_waistcoat"])
def test_what_is_added_and_what_it_is_added_to_make_what_is_bought(name):
    graded = grade(read_pattern(sample(name)))
    needs, kept = graded.as_json()["yarn"], list(range(len(graded.sizes)))
    columns = {one.head: one.texts for one in yarn_columns(needs, graded.pattern, PrintForm(), kept)}
    added = {head: texts for head, texts in columns.items() if head.startswith("Add to")}
    assert added
    for head, texts in added.items():
        to, choice = present(re.fullmatch(r"Add to (.+?) for (.+)", head)).groups()
        option = next(one for one in graded.pattern.options if choice.startswith(f"{one.label}: "))
        chosen = {option.name: choice.removeprefix(f"{option.label}: ")}
        for other in graded.pattern.options:  # what it is added to, as its head says
            if f"({other.label}: " in to:
                chosen[other.name] = to.partition(": ")[2].rstrip(")")
        of = next(one["colours"][to[0]] for one in needs if chosen.items() <= one["options"].items())
        for at, text in enumerate(texts):
            if text == "–":
                continue
            parts = [present(BUY.fullmatch(one)).groups() for one in (columns[to][at], text)]
            balls, grams, metres = (sum(int(one[k].replace("no", "0")) for one in parts) for k in range(3))
            assert balls == of["balls"][at], (head, at)
            assert grams == int(print_grams_to_buy(of["weight"][at])), (head, at)
            assert metres == int(print_metres_to_buy(of["length"][at])), (head, at)


def test_where_the_usual_choice_is_not_the_least_each_choice_is_told_in_all():
    found = columns_of(
        [("sleeves", ("long", "none"))], lambda one: {"A": (80.0, 90.0) if one == "long" else (50.0, 60.0)}
    )
    assert list(found) == ["A (Sleeves: long)", "A (Sleeves: none)"]


def test_choices_that_need_the_same_are_merged_and_idle_options_not_named():
    options = [("brim", ("folded", "single", "rolled")), ("label", ("left", "right"))]
    found = columns_of(options, lambda brim, _: {"A": (60.0, 60.0) if brim == "folded" else (40.0, 40.0)})
    assert list(found) == ["A (Brim: folded)", "A (Brim: single or rolled)"]


def test_a_colour_that_changes_places_stands_for_each_choice():
    options = [("colours", ("solid", "striped")), ("pockets", ("yes", "no"))]

    def weights(colours, pockets):
        pocket = 20.0 if pockets == "yes" else 0.0
        return {
            "A": ((200.0 if colours == "solid" else 120.0) + pocket,) * 2,
            "B": ((0.0, 70.0)[colours == "striped"],) * 2,
        }

    found = columns_of(options, weights)
    assert list(found) == [
        "A (Colours: solid)", "A (Colours: striped)", "B (Colours: striped)",
        "Add to A (Colours: solid) for Pockets: yes", "Add to A (Colours: striped) for Pockets: yes",
    ]  # fmt: skip
    assert found["A (Colours: striped)"][0] == "3 balls · 120 g · 270 m"


def test_many_choices_that_hang_together_are_told_by_the_least_and_the_most():
    options = [("yoke", tuple("abcdef")), ("hem", tuple("ghi"))]

    def weights(yoke, hem):
        return {"A": (100.0 + 7 * "abcdef".index(yoke) * (1 + "ghi".index(hem)),) * 2}

    found = columns_of(options, weights)
    assert len(found) <= MOST_COLUMNS
    assert found["A, least by choice"][0] == "2 balls · 100 g · 220 m"
    assert found["A, most by choice"][0] == "5 balls · 205 g · 460 m"


@pytest.mark.parametrize(("weight", "text"), [(None, "–"), (0.0, "–")])
def test_an_amount_that_is_not_known_or_none_is_a_dash(weight, text):
    assert columns_of([], lambda: {"A": (weight, 50.0)})["A"][0] == text


def test_a_colour_that_no_kept_size_uses_is_left_out():
    assert list(columns_of([], lambda: {"A": (50.0, 50.0), "B": (0.0, 20.0)}, kept=(0,))) == ["A"]


def test_of_choices_to_which_the_same_is_added_each_is_named():
    options = [("colours", ("plain", "striped", "deep")), ("pocket", ("no", "yes"))]
    base = {"plain": (210.0, 10.0), "striped": (120.0, 100.0), "deep": (240.0, 5.0)}

    def weights(colours, pocket):
        grams, other = base[colours]
        return {"A": (grams + 30.0 * (pocket == "yes"),) * 2, "B": (other,) * 2}

    found = {head: texts for head, texts in columns_of(options, weights).items() if head.startswith("Add")}
    # 210 g and 120 g leave room for 30 g in their 5 and 3 balls; 240 g need a sixth.
    plain, striped, deep = "Colours: plain", "Colours: striped", "Colours: deep"
    assert found == {
        f"Add to A ({plain} or {striped}) for Pocket: yes": ("no more balls · 30 g · 60 m",) * 2,
        f"Add to A ({deep}) for Pocket: yes": ("1 more ball · 30 g · 70 m",) * 2,
    }


def test_what_adds_nothing_that_is_printed_is_a_dash_and_never_an_empty_cell(monkeypatch):
    nothing = {"balls": [None, None], "length": [None, None]}
    monkeypatch.setitem(columns_of.__globals__, "amounts", lambda row: {"weight": list(row), **nothing})
    belt = [("belt", ("no", "yes"))]
    found = columns_of(belt, lambda one: {"A": (240.2, 230.0) if one == "no" else (240.4, 260.0)})
    assert found["Add to A for Belt: yes"] == ("–", "30 g")


@pytest.mark.parametrize(
    ("wording", "text"),
    [(FIRST_WORDING, "no more balls · 0 m (10 yd)"), (NEWEST_WORDING, "no more balls · 10 yd")],
)
def test_of_two_units_only_those_that_change_are_told_of_what_is_added(wording, text):
    found = columns_of(
        [("belt", ("no", "yes"))],
        lambda one: {"A": (201.0, 201.0) if one == "no" else (204.0, 230.0)},
        units="both",
        wording=wording,
    )
    assert found["Add to A for Belt: yes"][0].replace(" · 0 g (¼ oz)", "") == text


@pytest.mark.parametrize(("wording", "is_there"), [(FIRST_WORDING, True), (NEWEST_WORDING, False)])
def test_what_adds_nothing_that_is_printed_in_any_size_has_no_column(monkeypatch, wording, is_there):
    nothing = {"balls": [None, None], "length": [None, None]}
    monkeypatch.setitem(columns_of.__globals__, "amounts", lambda row: {"weight": list(row), **nothing})
    belt = [("belt", ("no", "yes"))]
    found = columns_of(
        belt, lambda one: {"A": (240.2, 240.2) if one == "no" else (240.4, 240.4)}, wording=wording
    )
    assert ("Add to A for Belt: yes" in found) is is_there


@pytest.mark.parametrize(("units", "text"), [("cm", "no more balls"), ("in", "no more balls · 10 yd")])
def test_only_what_an_edition_prints_is_told_of_what_is_added(units, text):
    found = columns_of(
        [("belt", ("no", "yes"))],
        lambda one: {"A": (201.0, 201.0) if one == "no" else (204.0, 230.0)},
        units=units,
    )
    # 201 and 204 g are 450 m to buy; in yards they are 490 and 500.
    assert found["Add to A for Belt: yes"][0] == text
