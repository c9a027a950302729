"""How well and how fast results are judged, on simulated calls with planted errors."""

import json
from time import process_time

from catalogue.site.benches.ratios import BenchRatio, BenchResult
from catalogue.site.benches.simulated_calls import Document, Making, Truth, naive_answer, score, simulate_call
from testing.assessment.assessment_json import assess_results
from testing.assessment.results_files import read_results

CALLS = 100
KINDS = {
    "as testers are": Making(),
    "clean": Making(clean=True),
    "2 a size": Making(per_size=2),
    "1 a size": Making(per_size=1),
    "poor swatches, many slips": Making(slips=0.1, swatch_sd=0.03, tape_cm=0.8),
}
# The goals: at least for "found" and what ends in _found or _right, at most for the rest.
GOALS = {
    "as testers are": {
        "found": 0.95,
        "false_alarms": 0.02,
        "right_kind": 0.9,
        "slips_found": 0.97,
        "slips_right": 0.95,
        "undecided": 0.05,
        "median_mm": 1,
        "ninety_mm": 4,
    },
    "clean": {"false_alarms": 0.005},
    "2 a size": {"found": 0.9, "false_alarms": 0.02},
    "1 a size": {"false_alarms": 0.02},
    "poor swatches, many slips": {"found": 0.85, "false_alarms": 0.03},
}
AT_MOST = ("false_alarms", "undecided", "median_mm", "ninety_mm")
USUAL = Making(sizes=10, per_size=4, measurements=10)
LARGE = Making(sizes=24, per_size=20, measurements=10)


def measure() -> BenchResult:
    """Judge calls of every kind, and a table of means beside them."""
    scores = {kind: score([_judged(seed, making) for seed in range(CALLS)]) for kind, making in KINDS.items()}
    ratios = {
        f"{kind}: {name}": BenchRatio(scores[kind][name], goal, "at most" if name in AT_MOST else "at least")
        for kind, goals in GOALS.items()
        for name, goal in goals.items()
    }
    for kind, found in scores.items():
        ratios[f"{kind}: intervals hold, at least"] = BenchRatio(found["within"], 0.85, "at least")
        ratios[f"{kind}: intervals hold, at most"] = BenchRatio(found["within"], 0.95)
    ratios["s, 10 sizes x 4 testers x 10 measurements"] = BenchRatio(_seconds(USUAL), 0.3)
    ratios["s, 24 sizes x 20 testers x 30 measurements"] = BenchRatio(_seconds(LARGE, copies=3), 3)
    naive = score([_by_means(seed) for seed in range(CALLS)])
    notes = {"false alarms of a table of means": round(naive["false_alarms"], 3)}
    return BenchResult("assess", f"{CALLS} simulated calls of each kind", ratios, notes)


def _judged(seed: int, making: Making) -> tuple[Truth, Document]:
    """The truth of a call and what the assessment makes of it."""
    call, truth = simulate_call(seed, making)
    return truth, assess_results(read_results(json.dumps(call)))


def _by_means(seed: int) -> tuple[Truth, Document]:
    """The truth of a call and what a table of means makes of it."""
    call, truth = simulate_call(seed)
    return truth, naive_answer(call)


def _seconds(making: Making, *, copies: int = 1) -> float:
    """Processor time of one assessment, reading included."""
    text = json.dumps(widened(simulate_call(1, making)[0], copies))
    began = process_time()
    assess_results(read_results(text))
    return process_time() - began


def widened(call: Document, copies: int) -> Document:
    """The same call with every measurement several times under other names."""
    values, results = [], [{**result, "measured": {}} for result in call["results"]]
    for copy in "abcdefgh"[:copies]:
        for value in call["pattern"]["values"]:
            formula = value.get("formula", "").replace("_count", f"_count_{copy}")
            renamed = {"formula": formula} if formula else {}
            values.append({**value, **renamed, "name": f"{value['name']}_{copy}"})
        for result, before in zip(results, call["results"], strict=True):
            result["measured"] |= {f"{name}_{copy}": text for name, text in before["measured"].items()}
    return {**call, "pattern": {**call["pattern"], "values": values}, "results": results}
