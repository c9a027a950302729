"""Where one maker made a size, their gauge comes before the pattern if it explains what they measured."""

import json
import random

import pytest
from django.utils import timezone

from catalogue.site.benches.simulated_calls import Making, simulate_call
from testing.asked.figures import call_figures
from testing.assessment.gathering import gather, read_assessed_sheet
from testing.assessment.gauge_doubts import set_aside
from testing.assessment.lone_gauges import gauge_first, lone_gauges
from testing.assessment.results_files import read_results
from testing.assessment.verdicts import assess
from testing.models import Assessment
from testing.running.overview import overview_of
from testing.verdicts.sentences import MakerTally, cause_sentence, verdict_sentence
from tests.testing.builders import make_call, make_place

CALLS, FEW_LINES, SLIP = 40, 3, 1.11


def blamed(seed, slip):
    """Each line blamed in the size of one maker: whether it was planted, and whether the gauge comes first.

    Every size has one maker, who measured three widths alone; one of them has sent a gauge that is off.
    """
    call, truth = simulate_call(seed, Making(sizes=8, per_size=1, slips=0.0))
    sent = read_results(json.dumps(call))
    sheet = read_assessed_sheet(sent.ground, sent.lines)
    strength = gather(sheet, sent.garments).sensitivity[0, :, 0]
    kept = [line.name for line, hangs in zip(sheet.lines, abs(strength) > 0.6, strict=True) if hangs][
        :FEW_LINES
    ]
    slipped = random.Random(seed).choice(call["results"])
    slipped["gauge"]["main"]["stitches"] = round(slipped["gauge"]["main"]["stitches"] * slip, 2)
    for result in call["results"]:
        result["measured"] = {name: said for name, said in result["measured"].items() if name in kept}
    sent = read_results(json.dumps(call))
    sheet = read_assessed_sheet(sent.ground, sent.lines)
    evidence, _ = set_aside(sheet, sent.garments, gather(sheet, sent.garments))
    tester = [one.maker for one in sent.garments].index(slipped["maker"])
    lone = lone_gauges(evidence)
    for place, verdict in enumerate(assess(evidence).verdicts):
        if verdict.verdict == "sizes" and sheet.lines[place].name in kept:
            is_planted = truth.kinds[sheet.lines[place].name] == "sizes"
            if is_planted or evidence.size[tester] in verdict.sizes:
                yield is_planted, bool(gauge_first(place, verdict, lone, evidence))


@pytest.mark.any_database
def test_a_gauge_that_explains_it_comes_before_a_line_and_never_before_one_that_is_wrong():
    found = [one for seed in range(CALLS) for one in blamed(seed, SLIP)]
    wrongly = [is_first for is_planted, is_first in found if not is_planted]
    rightly = [is_first for is_planted, is_first in found if is_planted]
    assert len(rightly) >= 5
    assert not any(rightly)
    # What is left has an error of the pattern in the same garment as well: no gauge explains both.
    assert len(wrongly) >= 3
    assert sum(wrongly) > len(wrongly) / 2


GAUGE = {"size": "XL", "direction": "stitches", "change": -0.06, "lines": ["bust", "arm"]}
BUST = {"verdict": "sizes", "sizes": ["XL"], "error": [0, 0, 36], "is_width": True, "probability": 0.99,
        "suspects": ["bust_sts"], "gauge_first": [GAUGE]}  # fmt: skip
LABELS = {"bust": "Bust", "arm": "Upper arm", "bust_sts": "Bust stitches"}


def test_the_sentence_asks_for_the_gauge_before_it_leads_to_the_pattern():
    assert cause_sentence(BUST, LABELS) == (
        "Likely cause: the gauge of the only maker of XL. "
        "6 % fewer stitches than sent explain Bust and Upper arm. Ask for the gauge of the garment itself. "
        "If the gauge is right: a counting or typing error in XL. "
        "Look at “Bust stitches” and the steps that use them."
    )
    assert cause_sentence({**BUST, "gauge_first": []}, LABELS).startswith("Likely cause: a counting")


@pytest.mark.parametrize(
    ("held", "says"),
    [
        ((), "not sure, ask a second maker in XL."),
        ((1, 1, 1), "not sure, ask a second maker in XL."),
        ((1, 1, 2), "not sure, the second in XL has not measured it yet."),
    ],
)
def test_a_second_is_asked_for_only_where_nobody_else_has_a_place(held, says):
    tally = MakerTally((0, 0, 1), (1, 1, 0), 0, held)
    sentence = verdict_sentence("Bust", BUST, ["M", "L", "XL"], "cm", tally)
    assert sentence.endswith(f"1 maker of XL; {says}")


@pytest.mark.django_db
def test_the_page_of_the_call_needs_a_second_where_the_results_ask_for_one(studio):
    call = make_call()
    sizes = call_figures(call).pattern.sizes
    makers = [make_place(call, size=size, name=size, email=f"{size}@larkmoss.example".lower(), sizes=[size])
              for size in sizes]  # fmt: skip
    found = {"verdict": "sizes", "sizes": [sizes[-1]], "results": [1] * len(sizes)}
    Assessment.objects.create(call=call, fingerprint="", found={"measurements": {"chest": found}})
    asked, *_ = (row for row in overview_of(call, timezone.localdate()).seats if row.size == sizes[-1])
    assert asked.says.endswith("1 needed: the results ask for a second maker")
    others = [row for row in overview_of(call, timezone.localdate()).seats if row.size != sizes[-1]]
    assert len(others) == len(makers) - 1
    assert not any("second" in row.says for row in others)
    make_place(call, size=sizes[-1], name="Second", email="second@larkmoss.example", sizes=[sizes[-1]])
    assert not any("second" in row.says for row in overview_of(call, timezone.localdate()).seats)
