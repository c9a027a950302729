"""A maker's gauge that was mistyped is named as such; what they measured rightly is never blamed."""

import json
import random

import pytest

from catalogue.site.benches.simulated_calls import Making, simulate_call
from testing.assessment.assessment_json import assess_results
from testing.assessment.gauge_doubts import read_as
from testing.assessment.results_files import read_results
from testing.models.assessment import seen_number

pytestmark = pytest.mark.any_database

MAKERS = 200
CALLS = 12
SLIPS = {
    "inch": lambda stitches, rows: (stitches / 3.937, rows / 3.937),
    "point": lambda stitches, rows: (stitches / 10, rows / 10),
    "no_point": lambda stitches, rows: (stitches * 10, rows * 10),
    "half": lambda stitches, rows: (stitches / 2, rows / 2),
    "double": lambda stitches, rows: (stitches * 2, rows * 2),
    "swapped": lambda stitches, rows: (rows, stitches),
}
# Stitches and rows of a cloth: where both are about the same, one for the other does no harm.
APART = 1.25


def slipped_call(seed, most):
    """A call in which every third maker has mistyped their gauge, each in another way."""
    call, truth = simulate_call(seed, Making(sizes=10, per_size=6, slips=0.0))
    rng, slipped = random.Random(seed), {}
    fabric = call["pattern"]["fabrics"]["main"]
    apart = max(fabric["stitches"], fabric["rows"]) / min(fabric["stitches"], fabric["rows"])
    kinds = [kind for kind in SLIPS if kind != "swapped" or apart > APART]
    for result in rng.sample(call["results"], min(most, len(call["results"]) // 3)):
        kind, gauge = rng.choice(kinds), result["gauge"]["main"]
        stitches, rows = SLIPS[kind](gauge["stitches"], gauge["rows"])
        gauge |= {"stitches": round(stitches, 2), "rows": round(rows, 2)}
        slipped[result["maker"]] = kind
    return call, truth, slipped


@pytest.fixture(scope="module")
def judged():
    """Twelve calls with 200 mistyped gauges: what was planted, and what was said."""
    found, left = [], MAKERS
    for seed in range(CALLS):
        call, truth, slipped = slipped_call(seed, left)
        left -= len(slipped)
        found.append((truth, slipped, assess_results(read_results(json.dumps(call)))))
    assert left == 0
    return found


def test_a_mistyped_gauge_is_named_with_the_reading_that_heals_it(judged):
    named = [
        (slipped[maker], said.get(maker))
        for _, slipped, answer in judged
        for said in [{one["maker"]: one["looks_like"] for one in answer["gauges"]}]
        for maker in slipped
    ]
    right = [planted == said for planted, said in named]
    assert len(right) == MAKERS
    assert sum(right) / MAKERS >= 0.95, [pair for pair in named if pair[0] != pair[1]]


def test_no_right_gauge_is_doubted(judged):
    doubted = [
        one for _, slipped, answer in judged for one in answer["gauges"] if one["maker"] not in slipped
    ]
    assert doubted == []


def test_measurements_that_are_right_are_never_blamed_for_a_gauge(judged):
    blamed = [
        (one["maker"], one["measurement"], one["looks_like"], slipped[one["maker"]])
        for _, slipped, answer in judged
        for one in answer["doubtful"]
        if one["maker"] in slipped
    ]
    assert blamed == []


def test_verdicts_do_not_rest_on_what_hangs_on_a_doubtful_gauge(judged):
    for truth, slipped, answer in judged:
        for name, verdict in answer["measurements"].items():
            set_aside = {one["maker"] for one in answer["gauges"] if name in one["measurements"]}
            assert verdict["rests_on"] <= 60 - len(set_aside)
            if verdict["verdict"] not in ("holds", "undecided"):
                assert truth.kinds[name] != "holds", (name, slipped)


@pytest.mark.parametrize("kind", SLIPS)
def test_a_reading_brings_the_gauge_back(kind):
    stitches, rows = SLIPS[kind](0.20, 0.28)
    read = read_as(kind, {"stitches": stitches, "rows": rows}, {"stitches": 0.20, "rows": 0.28})
    assert read == pytest.approx({"stitches": 0.20, "rows": 0.28}, rel=0.01)


def test_what_is_no_reading_leaves_the_gauge_as_it_was_sent():
    sent = {"stitches": 0.21, "rows": 0.27}
    assert read_as("inch", sent, {"stitches": 0.20, "rows": 0.28}) == sent


def test_yarn_of_a_doubtful_gauge_is_not_counted():
    call, _, slipped = slipped_call(0, 4)
    pattern = call["pattern"]
    pattern["fabrics"]["main"]["swatch"] = {"stitches": 20, "rows": 20, "weight": "10 g"}
    pattern["yarns"] = [{"colour": "A", "label": "Larkmoss four-ply"}]
    part = {"name": "All", "fabric": "main", "worked": "100 stitches * 100 rows", "colour": "A"}
    pattern["yarn_sections"] = [part]
    for result in call["results"]:
        result["yarn"] = {"A": "400 g"}
    answer = assess_results(read_results(json.dumps(call)))
    doubted = {one["maker"] for one in answer["gauges"]}
    assert doubted >= set(slipped)
    assert answer["yarn"]["main"]["testers"] == len(call["results"]) - len(doubted)


def test_two_gauges_are_never_taken_for_the_same():
    one, other = ({"stitches": 0.20, "rows": 1.28}, {"stitches": 0.201, "rows": 0.28})
    assert seen_number(one) != seen_number(other)
    assert seen_number(one) == seen_number(dict(one))
