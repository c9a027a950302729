"""Forty generated verdicts in words beside their data, as read and approved: none claims more than its table.

`tests/data/verdict_sentences.json` holds them. After a change of the words call `write` in
`manage.py shell`, read every sentence beside its table, and keep the file.
"""

import json
import re
from pathlib import Path

import numpy as np
import pytest

from catalogue.site.benches.simulated_calls import Making, simulate_call
from testing.assessment.assessing import _is_width, _verdict_json
from testing.assessment.gathering import gather, read_assessed_sheet
from testing.assessment.results_files import read_results
from testing.assessment.verdicts import assess
from testing.verdicts.sentences import ALIKE_MM, MakerTally, verdict_sentence

pytestmark = pytest.mark.any_database

APPROVED = Path(__file__).resolve().parents[2] / "data" / "verdict_sentences.json"
# Seed, makers, and the sizes that nobody made.
CALLS = (
    (1, Making(per_size=1, sizes=6), ()),
    (2, Making(per_size=1, sizes=8), ("2", "3")),
    (3, Making(per_size=2, sizes=7), ()),
    (4, Making(per_size=2, sizes=9), ("1", "5", "9")),
    (5, Making(sizes=8), ()),
    (6, Making(sizes=6, slips=0.1), ("6",)),
    (7, Making(per_size=4, sizes=5), ()),
    (8, Making(sizes=10, slips=0.1, swatch_sd=0.03, tape_cm=0.8), ("4",)),
)
OF_EACH = 5


def generated():
    """Five verdicts of each call, those that say something is wrong first."""
    return [one for seed, making, unmade in CALLS for one in verdicts_of(seed, making, unmade)[:OF_EACH]]


def verdicts_of(seed, making, unmade):
    call, _ = simulate_call(seed, making)
    call["results"] = [one for one in call["results"] if one["size"] not in unmade]
    sent = read_results(json.dumps(call))
    sheet = read_assessed_sheet(sent.ground, sent.lines)
    evidence = gather(sheet, sent.garments)
    made, sizes = assess(evidence), sent.graded.sizes
    doubtful = {(one.tester, one.measurement) for one in made.doubts}
    found = []
    for place, line in enumerate(sheet.lines):
        tally = tally_of(evidence, made, doubtful, place)
        verdict = {
            **_verdict_json(made.verdicts[place], line.tolerance_mm, sizes),
            "is_width": _is_width(sheet, place),
        }
        units = "cm" if seed % 2 else "in"
        found.append(
            {
                "call": seed,
                "verdict": verdict["verdict"],
                "of": verdict["sizes"],
                "probability": verdict["probability"],
                "units": units,
                "doubtful": tally.doubtful,
                "table": table_of(sizes, verdict, tally),
                "sentence": verdict_sentence(line.label, verdict, sizes, units, tally),
            }
        )
    return sorted(found, key=lambda one: (one["verdict"] in ("holds", "undecided"), one["verdict"]))


def tally_of(evidence, made, doubtful, place):
    """How makers lie, counted anew from what they measured."""
    sizes = len(evidence.planned)
    beyond, within, left_out = [0] * sizes, [0] * sizes, 0
    for tester, size in enumerate(evidence.size.tolist()):
        measured = evidence.measured[tester, place]
        if np.isnan(measured):
            continue
        if (tester, place) in doubtful:
            left_out += 1
        elif abs(measured - made.predicted[tester, place]) > evidence.tolerance[place]:
            beyond[size] += 1
        else:
            within[size] += 1
    return MakerTally(tuple(beyond), tuple(within), left_out)


def table_of(sizes, verdict, tally):
    rows = zip(sizes, tally.makers, tally.beyond, verdict["error"], verdict["interval"], strict=True)
    return [
        {"size": size, "makers": makers, "beyond": beyond, "error_mm": error, "interval_mm": interval}
        for size, makers, beyond, error, interval in rows
    ]


CASES = json.loads(APPROVED.read_text("utf-8")) if APPROVED.exists() else []


def test_the_sentences_are_those_that_were_approved():
    assert len(CASES) == 40
    assert [one["sentence"] for one in generated()] == [one["sentence"] for one in CASES]


def holds_nought(row):
    """Whether the 90 % interval of a size holds no error too."""
    return bool(row["interval_mm"]) and row["interval_mm"][0] <= 0 <= row["interval_mm"][1]


def rows_of(case):
    """The rows of the table that a verdict speaks of."""
    return [row for row in case["table"] if row["size"] in case["of"] or not case["of"]]


@pytest.mark.parametrize("case", CASES, ids=[str(number) for number in range(1, len(CASES) + 1)])
def test_no_sentence_claims_more_than_its_table(case):
    says, rows = case["sentence"], rows_of(case)
    said = says.partition(": ")[2].partition(";")[0].rstrip(".")
    counted = re.findall(r"(\d+) makers?(?: each)? of (.+?)(?=, \d+ makers?|$)", said)
    if case["verdict"] in ("holds", "undecided"):
        rows = case["table"]
    makers = {row["size"]: row["makers"] for row in rows if row["makers"]}
    told = {size: int(number) for number, named in counted for size in re.split(r", | and ", named)}
    if shared := re.fullmatch(r"(\d+) of (\d+) makers are beyond the tolerance", said):
        beyond = sum(row["beyond"] for row in rows)
        assert [int(number) for number in shared.groups()] == [beyond, sum(makers.values())]
        assert beyond < sum(makers.values())
    else:
        assert told == makers
    if says.endswith("; sure."):
        made = [row["makers"] for row in rows if row["makers"]]
        assert made
        assert min(made) >= 2
        assert case["probability"] >= 0.95
        assert not any(holds_nought(row) for row in rows), "an interval holds no error too"
    elif case["verdict"] not in ("holds", "undecided"):
        assert says.endswith("; likely.") or "; not sure, " in says
    untested = sum(row["makers"] == 0 for row in case["table"])
    if case["verdict"] != "undecided":
        assert (f"; {untested} size" in says) == (untested > 0)
    if untested:
        assert "in every size:" not in says
    assert says.startswith(("No error seen in", "No clear error in")) == (case["verdict"] == "holds")
    assert ("doubtful" in says) == (case["doubtful"] > 0)


@pytest.mark.parametrize("case", CASES, ids=[str(number) for number in range(1, len(CASES) + 1)])
def test_no_error_seen_is_said_only_where_nothing_speaks_against_it(case):
    if case["sentence"].startswith("No error seen in"):
        for row in case["table"]:
            assert row["makers"] < 2 or row["beyond"] < row["makers"]
            assert not row["interval_mm"] or holds_nought(row)


@pytest.mark.parametrize("case", CASES, ids=[str(number) for number in range(1, len(CASES) + 1)])
def test_an_end_of_a_growing_error_that_may_be_right_is_given_no_amount(case):
    if case["verdict"] == "slope":
        made = [row for row in case["table"] if row["makers"]]
        said = case["sentence"].partition(" goes from ")[2].partition(":")[0]
        ends = zip((made[0], made[-1]), said.split(" to "), strict=True)
        assert all(words.startswith("right in ") == holds_nought(row) for row, words in ends)


@pytest.mark.parametrize("case", CASES, ids=[str(number) for number in range(1, len(CASES) + 1)])
def test_every_amount_is_one_of_the_table(case):
    per = 10 if case["units"] == "cm" else 25.4
    errors = [row["error_mm"] for row in rows_of(case)]
    alike = case["verdict"] == "shift" or max(errors) - min(errors) < ALIKE_MM
    means = [sum(errors) / len(errors)] if alike else []
    known = {f"{abs(mm) / per:.{1 if per == 10 else 2}f}" for mm in (*errors, *means)}
    made = [row["error_mm"] for row in case["table"] if row["makers"]]
    ends = [made[0], made[-1]]
    known |= {f"{abs(mm) / per:.{1 if per == 10 else 2}f}" for mm in ends if case["verdict"] == "slope"}
    assert set(re.findall(r"(\d+\.\d+) (?:cm|in) too", case["sentence"])) <= known


@pytest.mark.parametrize("case", CASES, ids=[str(number) for number in range(1, len(CASES) + 1)])
def test_who_lies_otherwise_stands_in_the_sentence(case):
    if case["verdict"] == "undecided":
        return
    wrong = case["verdict"] != "holds"
    for row in case["table"]:
        of_it = wrong and (row["size"] in case["of"] or not case["of"])
        others = row["makers"] - row["beyond"] if of_it else row["beyond"]
        if others:
            but = case["sentence"].partition("; but ")[2] + case["sentence"].partition("; but ")[0]
            assert re.search(rf"(?:maker|makers) of {row['size']}\b", but), (row, case["sentence"])


def test_calls_with_one_maker_a_size_are_never_sure():
    for seed in range(12):
        for one in verdicts_of(seed, Making(per_size=1), ()):
            assert not one["sentence"].endswith("; sure."), one["sentence"]


def write():
    """Write the file anew, to be read."""
    lines = ",\n".join(json.dumps(one, ensure_ascii=False) for one in generated())
    APPROVED.write_text(f"[\n{lines}\n]\n", "utf-8")
