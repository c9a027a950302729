"""What testers tell of their garments reaches the assessment."""

import pytest

from testing.assessment.assessing import standing_found
from testing.assessment.garment_entries import call_results
from testing.models import Entry
from testing.privacy.erasing import erase_person
from testing.results.results import save_entry
from testing.verdicts.judging import judge_call
from tests.testing.builders import make_call, make_pattern, make_place
from tests.testing.results.test_extras_pages import OPTIONS

TOLD = [
    ("garment_gauge", "main", {"stitches": 0.19, "rows": 0.27}),
    ("worked", "chest_stitches", {"count": 190.0}),
    ("altered", "body_length", {}),
    ("metres", "A", {"m": 230.0}),
    ("option", "neck", {"choice": "deep"}),
    ("fit", "bust", {"fit": "tight", "on": "me"}),
    ("tool", "", {}),
]


@pytest.fixture
def call(studio):
    return make_call(pattern=make_pattern(options=OPTIONS))


@pytest.fixture
def place(call):
    place = make_place(call)
    sent = [
        ("gauge", "main", {"stitches": 0.2, "rows": 0.28}),
        ("gauge", "rib", {"stitches": 0.22, "rows": 0.30}),
        ("measured", "chest", {"mm": 950.0}),
        ("measured", "body_length", {"mm": 700.0}),
        ("yarn", "A", {"g": 300.0}),
    ]
    for part, name, meant in sent:
        tell(place, part, name, meant)
    return place


def tell(place, part, name, meant):
    save_entry(placement=place, part=part, name=name, typed={}, meant=meant)


def test_everything_told_reaches_the_garment_and_its_yarn(call, place):
    for one in TOLD:
        tell(place, *one)
    found = call_results(call)
    (garment,), (use,) = found.garments, found.uses
    assert garment.gauge["main"] == {"stitches": 0.2, "rows": 0.28}
    assert garment.garment_gauge == {"main": {"stitches": 0.19, "rows": 0.27}}
    assert garment.worked == {"chest_stitches": 190.0}
    assert garment.altered == {"body_length"}
    assert use.length_per_100g_m == {"A": 230.0}
    assert use.options == {"neck": "deep"}


def test_a_choice_the_version_does_not_offer_is_left_out(call, place):
    tell(place, "option", "neck", {"choice": "square"})
    tell(place, "option", "sleeve", {"choice": "long"})
    assert call_results(call).uses[0].options == {}


@pytest.mark.parametrize("one", TOLD[:5])
def test_what_the_assessment_rests_on_makes_it_anew(call, place, one):
    before = call_results(call).fingerprint
    tell(place, *one)
    assert call_results(call).fingerprint != before


@pytest.mark.parametrize("one", TOLD[5:])
def test_fit_and_tool_have_no_part_in_it(call, place, one):
    before = call_results(call).fingerprint
    tell(place, *one)
    assert call_results(call).fingerprint == before


def test_a_garment_is_judged_by_its_own_counts(call, place):
    # 200 stitches at 2 to the cm are 100 cm, 190 are 95 cm (derived)
    assert standing_found(call)["expected"][str(place.result.pk)]["chest"] == pytest.approx(1000, abs=30)
    tell(place, "worked", "chest_stitches", {"count": 190.0})
    assert standing_found(call)["expected"][str(place.result.pk)]["chest"] == pytest.approx(950, abs=1)


def test_what_was_altered_on_purpose_is_judged_nowhere(call, place):
    shown = {row.line.name for row in judge_call(call, standing_found(call)).rows}
    assert shown == {"chest", "body_length"}
    tell(place, "altered", "body_length", {})
    found = standing_found(call)
    assert {row.line.name for row in judge_call(call, found).rows} == {"chest"}
    assert found["measurements"]["body_length"]["rests_on"] == 0


def test_own_yarn_is_compared_in_metres(call, place):
    """A thicker yarn of half the metres weighs twice as much for the same length."""
    before = call_results(call).uses[0]
    tell(place, "yarn", "A", {"g": 600.0})
    tell(place, "metres", "A", {"m": 110.0})
    after = call_results(call).uses[0]
    # 300 g of 220 m are as long as 600 g of 110 m (derived)
    assert before.grams["A"] * 220 == after.grams["A"] * after.length_per_100g_m["A"]


def test_erasing_keeps_the_figures_of_the_garment_alone(place):
    for one in TOLD:
        tell(place, *one)
    erase_person(person=place.person)
    kept = set(Entry.objects.values_list("part", flat=True))
    assert kept == {"gauge", "measured", "yarn", "garment_gauge", "worked", "altered", "metres", "option"}
