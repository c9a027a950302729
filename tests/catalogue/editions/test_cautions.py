"""Cautions: due where a child wears it and something is dangerous, and for loose blankets."""

import pytest

from catalogue.editions.cautions import cautions_for
from grading.core.grade.cautions import is_under_three


def words_for(**document):
    return " ".join(cautions_for(document))


@pytest.mark.parametrize("wearer", ["child", "baby"])
@pytest.mark.parametrize(
    ("hazard", "words"),
    [("cords", "strangle"), ("ties", "strangle"), ("buttons", "choke"), ("small parts", "choke")],
)
def test_children_are_kept_from_cords_and_small_parts(wearer, hazard, words):
    said = words_for(wearer=wearer, hazards=[hazard])
    assert words in said
    assert "Check those that apply where you live" in said


@pytest.mark.parametrize(
    ("size", "young"),
    [
        *((size, True) for size in ("2y", "1½ y", "2-4 y", "0-3 m", "24 months", "2T", "newborn")),
        *((size, True) for size in ("3 to 6 months", "6 mo", "12 to 18 mths", "2 to 4 years")),
        *((size, False) for size in ("4y", "3 years", "36 m", "4 to 6 years", "M", "2X")),
    ],
)
def test_sizes_for_children_under_three_are_known_by_their_labels(size, young):
    assert is_under_three(size) is young


def test_the_caution_for_small_parts_names_the_sizes_that_are_too_young():
    child = {"wearer": "child", "hazards": ["buttons"]}
    assert "Size 2y is for children under 3 years: use no buttons for it." in words_for(
        **child, sizes=["2y", "4y"]
    )
    assert "Sizes 1y and 2y are for children under 3 years" in words_for(**child, sizes=["1y", "2y", "4y"])
    assert "use no buttons for children under 3 years" in words_for(**child, sizes=["1y", "2y"])
    assert "keep the garment from children under 3" in words_for(**child, sizes=["4y", "6y"])


def test_babies_sizes_in_months_are_told_to_use_no_small_parts():
    said = words_for(wearer="baby", hazards=["buttons"], sizes=["3 to 6 months", "6 to 12 months"])
    assert "use no buttons for children under 3 years" in said


@pytest.mark.parametrize("step", ["Work 3 rows of artichoke stitch.", "A chokehold is not meant."])
def test_other_words_warn_of_nothing(step):
    sections = [{"title": "Back", "steps": [step]}]
    assert "can come off and choke" in words_for(wearer="baby", hazards=["buttons"], sections=sections)
    warned = [{"title": "Back", "steps": ["Choking: sew the buttons on firmly."]}]
    assert "can come off" not in words_for(wearer="baby", hazards=["buttons"], sections=warned)


def test_what_the_steps_warn_of_does_not_stand_twice():
    steps = [{"title": "Safety", "steps": ["Cords can strangle and buttons can choke."]}]
    child = {"wearer": "child", "hazards": ["buttons", "cords"], "sections": steps}
    assert "strangle" not in words_for(**child)
    assert "choke" not in words_for(**child)
    assert "where you live" in words_for(**child)


def test_records_of_the_first_wording_keep_their_cautions():
    (first, *_) = cautions_for({"wearer": "child", "hazards": ["buttons"], "sizes": ["2y", "4y"]}, 1)
    assert first.endswith("check them often, and use none for children under 3 years.")


@pytest.mark.parametrize(
    ("wording", "ends"), [(2, "off, check them often."), (3, "off, and check them often.")]
)
def test_two_things_to_do_with_small_parts_are_joined_by_and_since_the_third_wording(wording, ends):
    (first, *_) = cautions_for({"wearer": "child", "hazards": ["buttons"], "sizes": ["2y", "4y"]}, wording)
    assert first.split(" Size 2y")[0].endswith(ends)


def test_grown_ups_are_not_warned_of_buttons():
    assert "choke" not in words_for(wearer="adult", hazards=["buttons"])
    assert "choke" not in words_for()


@pytest.mark.parametrize("wearer", ["adult", "child", "baby", None])
def test_a_loose_blanket_is_kept_from_a_cot_whoever_it_is_for(wearer):
    assert (
        "never leave a loose blanket in a cot or crib"
        in words_for(wearer=wearer, hazards=["loose blanket"]).lower()
    )


def test_every_pattern_speaks_of_rest_and_dye_lots():
    said = words_for()
    assert "stop when something hurts" in said
    assert "one dye lot" in said
