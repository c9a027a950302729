"""Yarn to buy: one line a colour, what a choice adds, equal choices merged, never pages of tables."""

import re
from itertools import product

import pytest

from catalogue.editions.yarn_amounts import MOST_COLUMNS, yarn_columns
from grading.core.grade.grade import grade
from grading.core.instructions.choice_words import choice_words
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import OptionEntry, PatternFile, YarnEntry
from grading.core.pattern.wordings import NEWEST_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.numbers import DASH, print_grams_to_buy, print_metres_to_buy
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
        "A": ("5 balls · 240 g (8½ oz) · 530 m (580 yd)", "1 ball · 50 g (1¾ oz) · 110 m (120 yd)")
    }


def test_us_editions_put_ounces_and_yards_first():
    found = columns_of([], lambda: {"A": (240.0, 50.0)}, units="both", terms="US")
    assert found["A"][0] == "5 balls · 8½ oz (240 g) · 580 yd (530 m)"


def test_a_belt_is_told_by_what_it_adds():
    belt = [("belt", ("no", "yes"))]
    found = columns_of(belt, lambda with_belt: {"A": (240.0, 230.0) if with_belt == "no" else (275.0, 245.0)})
    assert found == {
        "A": ("5 balls · 240 g · 530 m", "5 balls · 230 g · 510 m"),
        # 35 g of a ball of 50 g and 110 m are 77 m, 15 g are 33 m; 275 g are 6 balls, 245 g are 5.
        "Add to A for belt": ("35 g · 77 m", "15 g · 33 m"),
        "A with belt": ("6 balls · 275 g · 610 m", "5 balls · 245 g · 540 m"),
    }


def test_a_colour_says_which_sleeves_it_is_for_where_longer_ones_add_to_it():
    sleeves = [("sleeves", ("short", "long"))]
    found = columns_of(
        sleeves, lambda one: {"A": (300.0 if one == "short" else 360.0,) * 2, "B": (40.0,) * 2}
    )
    assert list(found) == [
        "A with short sleeves",
        "B",
        "Add to A for long sleeves",
        "A with long sleeves",
    ]


def test_balls_of_several_additions_are_rounded_once_for_each_whole_combination():
    """A body of 305 g, sleeves of 160 g and a belt of 55 g: 7, 4 and 2 balls apart, but 520 g are 11."""
    options = [("belt", ("no", "yes")), ("sleeves", ("none", "long"))]

    def weights(belt, sleeves):
        return {"A": (305.0 + 55.0 * (belt == "yes") + 160.0 * (sleeves == "long"),) * 2}

    found = {head: texts[0] for head, texts in columns_of(options, weights).items()}
    assert found == {
        "A": "7 balls · 305 g · 680 m",
        "Add to A for belt": "55 g · 121 m",
        "Add to A for long sleeves": "160 g · 352 m",
        "A with long sleeves": "10 balls · 465 g · 1030 m",
        "A with belt": "8 balls · 360 g · 800 m",
        "A with belt and long sleeves": "11 balls · 520 g · 1150 m",
    }


def test_ounces_are_never_more_than_the_balls_beside_them_hold():
    """A ball of 50 g is 1¾ oz: 15 of them are 26¼ oz, though 745 g are 26.3."""
    found = columns_of([], lambda: {"A": (745.0, 90.0)}, units="in")
    assert found["A"] == ("15 balls · 26¼ oz · 1800 yd", "2 balls · 3¼ oz · 220 yd")


def test_what_a_choice_adds_does_not_hang_on_what_it_is_added_to():
    """The rounded amounts of 251 g, 233 g and 22 g more differ by 25 and 20 g; what is added is the same."""
    pocket = [("pocket", ("no", "yes"))]
    found = columns_of(pocket, lambda one: {"A": (251.0, 233.0) if one == "no" else (273.0, 255.0)})
    assert found["Add to A for pocket"] == ("25 g · 55 m",) * 2


BUY = re.compile(r"(?:(\d+) balls? · )?(\d+) g · (\d+) m")


@pytest.mark.parametrize("name", ["puffinbay_child", "thistledrift_waistcoat"])
def test_what_is_bought_with_an_addition_is_that_of_the_whole_combination(name):
    graded = grade(read_pattern(sample(name)))
    needs, kept = graded.as_json()["yarn"], list(range(len(graded.sizes)))
    columns = yarn_columns(needs, graded.pattern, PrintForm(), kept)
    assert any(one.added and not one.is_sum for one in columns)
    whole = [one for one in columns if one.is_sum]
    assert whole
    for column in whole:
        head = column.head
        chosen = {
            option.name: choice
            for option in graded.pattern.options
            for choice in option.choices
            if choice_words([(option.name, [choice])], graded.pattern) in head
        }
        assert column.added <= set(chosen.items())
        of = next(one["colours"][head[0]] for one in needs if chosen.items() <= one["options"].items())
        for at, text in enumerate(column.texts):
            if text == DASH:  # what is chosen adds nothing in this size
                assert (name, at, head) == ("puffinbay_child", 0, "B with buttons and ties")
                continue
            balls, grams, metres = (int(one) for one in present(BUY.fullmatch(text)).groups())
            assert balls == of["balls"][at], (head, at)
            assert grams == int(print_grams_to_buy(of["weight"][at])), (head, at)
            ball_m = of["length"][at] / of["weight"][at] * 50  # all of these yarns are sold by 50 g
            wanted = min(int(print_metres_to_buy(of["length"][at])), round(balls * ball_m))
            assert metres == wanted, (head, at)


def test_what_is_added_to_buttons_leaves_the_colour_without_a_choice_in_its_name():
    """A size that has neither buttons nor ties takes the same colour: it is not said to be with buttons."""
    graded = grade(read_pattern(sample("puffinbay_child")))
    columns = yarn_columns(graded.as_json()["yarn"], graded.pattern, PrintForm(), range(len(graded.sizes)))
    assert [one.head for one in columns] == ["A", "B", "Add to B for ties", "B with buttons and ties"]


def test_where_the_usual_choice_is_not_the_least_each_choice_is_told_in_all():
    found = columns_of(
        [("sleeves", ("long", "none"))], lambda one: {"A": (80.0, 90.0) if one == "long" else (50.0, 60.0)}
    )
    assert list(found) == ["A with long sleeves", "A without sleeves"]


def test_choices_that_need_the_same_are_merged_and_idle_options_not_named():
    options = [("brim", ("folded", "single", "rolled")), ("label", ("left", "right"))]
    found = columns_of(options, lambda brim, _: {"A": (60.0, 60.0) if brim == "folded" else (40.0, 40.0)})
    assert list(found) == ["A with folded brim", "A with single or rolled brim"]


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
        "A in solid colours", "A in striped colours", "B in striped colours",
        "Add to A for pockets",
        "A in solid colours with pockets", "A in striped colours with pockets",
    ]  # fmt: skip
    assert found["A in striped colours"][0] == "3 balls · 120 g · 270 m"


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


def test_what_adds_nothing_is_a_dash_and_never_an_empty_cell():
    belt = [("belt", ("no", "yes"))]
    found = columns_of(belt, lambda one: {"A": (240.2, 230.0) if one == "no" else (240.2, 260.0)})
    assert found["Add to A for belt"] == ("–", "30 g · 66 m")


@pytest.mark.parametrize(
    ("units", "terms", "text"),
    # 10 g are 22 m; 0.35 oz to the next quarter ¼, 24.06 yd.
    [("cm", "UK", "10 g · 22 m"), ("in", "US", "¼ oz · 24 yd"), ("both", "US", "¼ oz (10 g) · 24 yd (22 m)")],
)
def test_an_addition_is_one_number_converted(units, terms, text):
    belt = [("belt", ("no", "yes"))]
    grams = {"no": (201.0, 201.0), "yes": (210.0, 230.0)}
    found = columns_of(belt, lambda one: {"A": grams[one]}, units=units, terms=terms)
    assert found["Add to A for belt"][0] == text


def test_the_second_wording_tells_what_is_added_as_it_did():
    belt = [("belt", ("no", "yes"))]
    found = columns_of(
        belt, lambda one: {"A": (201.0, 201.0) if one == "no" else (204.0, 230.0)}, units="both", wording=2
    )
    assert found["Add to A for Belt: yes"][0] == "no more balls · 0 m (10 yd)"
