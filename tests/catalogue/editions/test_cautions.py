"""Cautions: due where a child wears it and something is dangerous, and for loose blankets."""

import pytest

from catalogue.editions.cautions import cautions_for


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
    assert "Check those that hold where you live" in said


def test_grown_ups_are_not_warned_of_buttons():
    assert "choke" not in words_for(wearer="adult", hazards=["buttons"])
    assert "choke" not in words_for()


@pytest.mark.parametrize("wearer", ["adult", "child", "baby", None])
def test_a_loose_blanket_is_kept_from_a_cot_whoever_it_is_for(wearer):
    assert (
        "never leave a loose blanket in a cot" in words_for(wearer=wearer, hazards=["loose blanket"]).lower()
    )


def test_every_pattern_speaks_of_rest_and_dye_lots():
    said = words_for()
    assert "stop when something hurts" in said
    assert "one dye lot" in said
