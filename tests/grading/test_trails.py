"""The trail of a number and the grade of finished measurements: who names whom, and the numbers of a size."""

from typing import Any

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.grid.grade_lines import grade_lines
from grading.grid.origins import users_of
from grading.grid.trails import MOST_DEEP, layers_of, links_of, trail_map
from tests.builders import sample
from tests.catalogue.desk_work import small_document


def trails(document=None, size=0, units="cm"):
    document = document or small_document()
    return trail_map(document, grade(read_pattern(document)).as_json(), size, units)


def told(trail):
    return [trail.label, trail.number, *[told(one) for one in trail.branches]]


def test_a_number_is_followed_down_to_the_body_and_the_gauge():
    # by hand: 84 + 8 = 92 cm; 46 cm at 14 stitches to 10 cm are 64.4, so 64
    assert told(trails().sources_of(("values", "back"))) == [
        "Back, stitches", "64 sts",
        ["Chest wanted", "92 cm", ["Bust girth", "84 cm"], ["Ease", "8 cm"]],
        ["Trebles", ""],
    ]  # fmt: skip


def test_a_number_is_followed_up_to_checks_and_steps_in_the_size_that_is_chosen():
    # by hand: 100 + 9 = 109 cm in L; 54.5 cm are 76.3 stitches, so 76
    assert told(trails(size=2).users_of(("values", "ease"))) == [
        "Ease", "9 cm",
        [
            "Chest wanted", "109 cm",
            ["Back, stitches", "76 sts", ["Back, step 1", ""]],
            ["wide enough", "holds"],
        ],
    ]  # fmt: skip


def test_what_uses_a_value_is_named_in_words():
    # the check has no label of its own
    assert [one.label for one in users_of(small_document(), "chest")] == [
        "Back, stitches",
        "wide enough",
    ]


def test_a_line_that_was_shown_is_not_unfolded_again():
    document = small_document(
        values=[
            {"name": "a", "label": "A", "kind": "length", "formula": "bust"},
            {"name": "b", "label": "B", "kind": "length", "formula": "a + a"},
            {"name": "c", "label": "C", "kind": "length", "formula": "b + a"},
        ],
        checks=[],
        sections=[],
    )
    top = trails(document).sources_of(("values", "c"))
    first, second = top.branches
    assert [one.name for one in first.branches] == ["a"]
    assert (second.name, second.again, second.branches) == ("a", True, ())
    assert layers_of(top) == {
        ("values", "c"): 0,
        ("values", "b"): 1,
        ("values", "a"): 2,
        ("body", "bust"): 3,
    }


def test_a_circle_and_a_long_chain_end():
    circle = [
        {"name": "a", "label": "A", "kind": "length", "formula": "b"},
        {"name": "b", "label": "B", "kind": "length", "formula": "a"},
    ]
    around = trails(small_document(values=circle, checks=[], sections=[])).sources_of(("values", "a"))
    assert [(one.label, other.label) for one, other in links_of(around)] == [("A", "B"), ("B", "A")]
    chain = [{"name": "v0", "label": "V0", "kind": "length", "formula": "bust"}]
    chain += [
        {"name": f"v{at}", "label": f"V{at}", "kind": "length", "formula": f"v{at - 1}"}
        for at in range(1, 300)
    ]
    long = trails(small_document(values=chain, checks=[], sections=[])).sources_of(("values", "v299"))
    assert max(layers_of(long).values()) == MOST_DEEP


def test_words_for_people_and_kinds_name_nothing():
    document = small_document(
        values=[
            {"name": "length", "label": "Length", "kind": "length", "list": ["1 cm"] * 3},
            {
                "name": "wide",
                "label": "Of the length",
                "kind": "length",
                "list": ["1 cm"] * 3,
                "note": "length",
            },
        ],
        checks=[],
        sections=[{"title": "length", "steps": ["The length."]}],
    )
    assert trails(document).users_of(("values", "length")).branches == ()


def test_a_finished_measurement_stands_beside_its_body_with_steps_and_rounding():
    document = small_document(
        values=[
            {"name": "ease", "label": "Ease", "kind": "length", "list": ["8 cm", "8 cm", None]},
            {"name": "back", "label": "Back", "kind": "stitches",
             "formula": "(bust + ease) / 2 * main.stitches"},
            {"name": "chest", "label": "Chest", "kind": "length", "formula": "2 * back / main.stitches",
             "measured": {"how": "Round the body.", "tolerance": "2 cm", "around": True}},
        ],
        checks=[], sections=[],
    )  # fmt: skip
    line: Any
    (line,) = grade_lines(document, grade(read_pattern(document)).as_json())
    # by hand: 92 cm want 64.4 stitches a half, 64 are made: 2 × 64 / 1.4 = 91.43 cm; 100 cm want 70, exactly
    assert (line.label, line.body_label, line.tolerance_mm) == ("Chest", "Bust girth", 20.0)
    assert line.finished == (pytest.approx(914.2857, abs=1e-3), pytest.approx(1000), None)
    assert line.rounding == (pytest.approx(-5.7143, abs=1e-3), pytest.approx(0), None)
    assert line.steps == (None, pytest.approx(85.7143, abs=1e-3), None)
    assert line.body_steps == (None, 80.0, 80.0)
    assert line.ease == (pytest.approx(74.2857, abs=1e-3), pytest.approx(80), None)


def test_a_length_made_of_a_girth_does_not_stand_beside_it():
    document = sample("brackenmere_pullover")
    lines = grade_lines(document, grade(read_pattern(document)).as_json())
    beside = {line.label: line.body_label for line in lines}
    assert beside["Chest"] == "Bust girth"
    assert beside["Sleeve width at the top"] == "Upper arm girth"
    assert beside["Armhole depth"] == ""


def test_the_body_that_is_named_for_comparing_goes_before_the_one_it_is_made_of():
    document = sample("brackenmere_pullover")
    lines = grade_lines(document, grade(read_pattern(document)).as_json())
    named = [one["name"] for one in document["values"] if "measured" in one]
    assert [one.name for one in lines] == named
    compared = {
        one["name"]: one["measured"].get("compares_to") for one in document["values"] if "measured" in one
    }
    for line in lines:
        if compared[line.name]:
            assert line.body_label == document["body"][compared[line.name]]["label"]
