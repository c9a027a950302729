"""The cautions say what safety rules for children's clothing ask for."""

import pytest

from catalogue.editions.cautions import cautions_for
from tests.check_values import check_value

GROUP = "12-safety"
HAZARDS = ["cords", "ties", "buttons", "small parts", "loose blanket"]
# Where each of the subjects stands in our own words.
SAID = {
    "cords": "Cords and ties can strangle",
    "small parts": "Small parts can come off",
    "sleep": "sleeping baby",
    "local law": "where you live",
}


def words_for(**document):
    return " ".join(cautions_for(document))


@pytest.mark.parametrize("wearer", ["child", "baby"])
def test_each_subject_of_a_caution_is_there(wearer):
    said = words_for(wearer=wearer, hazards=HAZARDS)
    for subject in check_value(GROUP, "safety-wording"):  # summary of the rules below, our own words
        assert SAID[subject] in said


def test_small_parts_are_for_nobody_under_the_age_of_the_rule():
    known = check_value(GROUP, "us-small-parts")  # 16 CFR 1501; the cylinder from memory
    assert f"under {known['age']} years" in words_for(wearer="child", hazards=["buttons"])


def test_hood_and_neck_are_named_where_the_standard_forbids_cords():
    known = check_value(GROUP, "eu-cords")  # EN 14682:2014, scope and summary
    assert known["young_age"] < known["age_max"]
    said = words_for(wearer="child", hazards=["cords"])
    assert "hood" in said
    assert "neck" in said
    assert "Cords" not in words_for(wearer="adult", hazards=["cords"])
