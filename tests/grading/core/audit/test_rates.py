"""Written rates are worked along the counted edge: a rate that does not give its stitches is found."""

import json

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.builders import sample


def found(data):
    """What the audit says of each size that has something to say of a rate."""
    pattern = read_pattern(data)
    lines = audit_pattern(facts_of(pattern, grade(pattern)))
    return {
        label: (counted.verdict, counted.audited.says)
        for line in lines
        for label, counted in zip(pattern.sizes, line.sizes, strict=True)
        if counted.audited and ("are stated" in counted.audited.says or "compared" in counted.audited.says)
    }


def planted(name, right, wrong):
    text = json.dumps(sample(name))
    assert right in text
    return json.loads(text.replace(right, wrong))


@pytest.mark.parametrize("name", ["brackenmere_pullover", "thistledrift_waistcoat", "puffinbay_child"])
def test_the_rates_of_a_sample_give_its_stitches(name):
    assert found(sample(name)) == {}


# 16, 18 and 24 row ends, counted by hand: 6 in every 5 gives 18 and 1 more, 18 and 3 or 4, 24 and 4 or 5.
def test_a_rate_that_gives_too_few_is_found_in_every_size_where_it_does():
    says = found(planted("brackenmere_pullover", "7 in every 5 row ends", "6 in every 5 row ends"))
    assert says["XS"] == (
        "disagrees",
        "“6 in every 5 row ends” gives 19 sts along 16 row ends, 22 are stated",
    )
    assert says["S"] == ("disagrees", "“6 in every 5 row ends” gives 22 sts along 18 row ends, 25 are stated")
    assert {*says} == {"XS", "S", "M", "L", "XL", "2X", "3X", "4X", "5X"}


# 34 sts with every 9th skipped: 3 are skipped, 31 are left; 36 leave 32 and 38 leave 34, as is stated.
def test_a_skipped_stitch_is_counted_along_the_edge_that_was_named_before():
    wrong = "Along the back neck skip every 9th st."
    says = found(planted("thistledrift_waistcoat", "Along the back neck: {neck_band_back in words}", wrong))
    assert says["XS"] == ("disagrees", "“skip every 9th st” gives 31 sts along 34 sts, 30 are stated")
    assert {*says} == {"XS", "S"}


def test_a_rate_along_an_edge_that_is_not_counted_is_said_to_be_unchecked():
    data = sample("brackenmere_pullover")
    step = "With the smaller hook work {neck_stitches} sc along the hem, 3 in every 2 row ends, turn."
    data["sections"].append({"title": "Hem edging", "steps": [step]})
    says = "“3 in every 2 row ends” can’t be compared: write the stitches as the name of a pick-up"
    assert found(data)["M"] == ("unreadable", says)
