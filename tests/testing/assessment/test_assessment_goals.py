"""How well results are judged, on simulated calls with planted errors; 200 of each kind with --full."""

import json
from functools import partial

import pytest

from catalogue.site.benches.assess import widened
from catalogue.site.benches.simulated_calls import Making, score, simulate_call
from testing.assessment.assessment_json import assess_results
from testing.assessment.results_files import read_results
from tests.pace import fewest_seconds, slowness

pytestmark = pytest.mark.any_database

HARD = Making(slips=0.1, swatch_sd=0.03, tape_cm=0.8)
GENTLE = Making(gauge_sd=0.02, swatch_sd=0.01, tape_cm=0.3, tape_share=0.001, slips=0.02)


def judge(calls, making):
    pairs = []
    for seed in range(calls):
        call, truth = simulate_call(seed, making)
        pairs.append((truth, assess_results(read_results(json.dumps(call)))))
    return score(pairs)


@pytest.fixture
def calls(request):
    return 200 if request.config.getoption("--full") else 24


# Shares of few calls stray: the bounds are wider by about two standard errors where only 24 are judged.
def bound(calls, goal, few):
    return goal if calls == 200 else few


def test_planted_errors_are_found_and_sound_lines_left_alone(calls):
    seen = judge(calls, Making())
    assert seen["found"] >= bound(calls, 0.95, 0.92)
    assert seen["right_kind"] >= bound(calls, 0.90, 0.86)
    assert seen["false_alarms"] <= bound(calls, 0.02, 0.03)
    assert seen["undecided"] <= 0.05
    assert seen["slips_found"] >= 0.97
    assert seen["slips_right"] >= 0.95
    assert seen["median_mm"] < 1
    assert seen["ninety_mm"] < 4


def test_nine_in_ten_intervals_hold_the_true_error(calls):
    for making in (Making(), Making(clean=True), HARD):
        assert bound(calls, 0.85, 0.82) <= judge(calls, making)["within"] <= bound(calls, 0.95, 0.97)


def test_a_clean_call_raises_no_alarm(calls):
    assert judge(calls, Making(clean=True))["false_alarms"] <= bound(calls, 0.005, 0.01)


def test_two_testers_a_size_are_enough(calls):
    seen = judge(calls, Making(per_size=2))
    assert seen["found"] >= bound(calls, 0.90, 0.86)
    assert seen["false_alarms"] <= bound(calls, 0.02, 0.03)


def test_one_tester_a_size_may_leave_it_open_but_raises_no_alarm(calls):
    assert judge(calls, Making(per_size=1))["false_alarms"] <= bound(calls, 0.02, 0.03)


def test_poor_swatches_and_many_slips_still_show_the_errors(calls):
    seen = judge(calls, HARD)
    assert seen["found"] >= bound(calls, 0.85, 0.80)
    assert seen["false_alarms"] <= bound(calls, 0.03, 0.04)


def test_careful_testers_are_judged_as_well(calls):
    seen = judge(calls, GENTLE)
    assert seen["found"] >= bound(calls, 0.97, 0.94)
    assert seen["false_alarms"] <= 0.02


def test_a_usual_call_takes_a_blink_and_a_large_one_seconds():
    usual, _ = simulate_call(1, Making(sizes=10, per_size=4, measurements=10))
    large, _ = simulate_call(2, Making(sizes=24, per_size=20, measurements=10))
    for call, most_s in ((usual, 0.3), (widened(large, 3), 3.0)):
        sent = read_results(json.dumps(call))
        took = fewest_seconds(partial(assess_results, sent), most_s)
        assert took < most_s * slowness()
