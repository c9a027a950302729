"""The assessment of a results file as JSON and as lines to read; pure."""

from typing import Any

import numpy as np

from testing.asked.expected import complete_gauge
from testing.assessment.evidence import Floats
from testing.assessment.gathering import AssessedSheet, SentGarment, gather, read_assessed_sheet
from testing.assessment.gauge_doubts import GaugeDoubt, set_aside, without_doubted
from testing.assessment.readings import READINGS
from testing.assessment.results_files import SentResults
from testing.assessment.verdicts import Assessed, Doubt, Verdict, assess
from testing.assessment.yarn import YarnFactor, assess_yarn

OVER_MM = 100.0
NAMED = (*READINGS[1:], "neighbour")


def assess_results(sent: SentResults) -> dict[str, Any]:
    """Assess a results file; the answer as JSON."""
    sheet = read_assessed_sheet(sent.ground, sent.lines)
    found, gauges = None, list[GaugeDoubt]()
    if sent.garments and sent.lines:
        evidence, gauges = set_aside(sheet, sent.garments, gather(sheet, sent.garments))
        found = assess(evidence)
    yarn = assess_yarn(sent.graded.pattern, sent.graded.calculation, without_doubted(sent.uses, gauges))
    sizes = sent.graded.sizes
    return {
        "measurements": {
            line.name: _verdict_json(found.verdicts[place], sizes) if found else _nothing_json(sizes)
            for place, line in enumerate(sent.lines)
        },
        "doubtful": _doubts_json(found, sheet, sent.garments) if found else [],
        "gauges": [
            {
                "maker": sent.garments[doubt.tester].maker,
                "fabric": doubt.fabric,
                "looks_like": doubt.looks_like,
                "measurements": [sheet.lines[place].name for place in doubt.lines],
            }
            for doubt in gauges
        ],
        "testers": {
            garment.maker: _gauge_json(sheet, garment, found.factor[place] if found else None)
            for place, garment in enumerate(sent.garments)
        },
        "yarn": {fabric: _yarn_json(factor) for fabric, factor in yarn.factors.items()},
    }


def _verdict_json(verdict: Verdict, sizes: tuple[str, ...]) -> dict[str, Any]:
    """One verdict."""
    bounds = zip(verdict.low.tolist(), verdict.high.tolist(), strict=True)
    return {
        "verdict": verdict.verdict,
        "sizes": [sizes[place] for place in verdict.sizes] if verdict.verdict != "undecided" else [],
        "error": _rounded(verdict.error),
        "interval": [None if np.isnan(low) else [round(low, 2), round(high, 2)] for low, high in bounds],
        "rests_on": verdict.rests_on,
    }


def _nothing_json(sizes: tuple[str, ...]) -> dict[str, Any]:
    """Nothing was sent in."""
    return {
        "verdict": "undecided",
        "sizes": [],
        "error": [0.0] * len(sizes),
        "interval": [None] * len(sizes),
        "rests_on": 0,
    }


def _doubts_json(
    found: Assessed, sheet: AssessedSheet, garments: tuple[SentGarment, ...]
) -> list[dict[str, Any]]:
    """The doubtful entries for which there is a likely reading."""
    return [_doubt_json(doubt, sheet, garments) for doubt in found.doubts if doubt.looks_like in NAMED]


def _doubt_json(doubt: Doubt, sheet: AssessedSheet, garments: tuple[SentGarment, ...]) -> dict[str, Any]:
    """One doubtful entry."""
    return {
        "maker": garments[doubt.tester].maker,
        "measurement": sheet.lines[doubt.measurement].name,
        "looks_like": doubt.looks_like,
    }


def _gauge_json(
    sheet: AssessedSheet, garment: SentGarment, factor: Floats | None
) -> dict[str, dict[str, float]]:
    """The fitted gauge of a garment over 10 cm."""
    full, _ = complete_gauge(sheet.ground, garment.gauge)
    found: dict[str, dict[str, float]] = {}
    for place, (fabric, direction) in enumerate(sheet.gauges):
        stretch = 1.0 if factor is None else float(np.exp(factor[place]))
        found.setdefault(fabric, {})[direction] = round(full[fabric][direction] * OVER_MM * stretch, 2)
    return found


def _yarn_json(factor: YarnFactor) -> dict[str, Any]:
    """One factor of yarn."""
    interval = [round(bound, 4) for bound in factor.interval] if factor.interval else None
    return {"factor": round(factor.factor, 4), "interval": interval, "testers": factor.testers}


def _rounded(lengths_mm: Floats) -> list[float]:
    """Lengths to a hundredth of a millimetre; −0 is 0."""
    return [round(length, 2) + 0.0 for length in lengths_mm.tolist()]
