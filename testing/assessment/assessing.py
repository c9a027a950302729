"""The stored assessment of a call: made by a task whenever a result comes in."""

from typing import Any

import numpy as np
from django.db import transaction
from django_tasks import task

from testing.access.selectors import all_calls
from testing.asked.expected import DIRECTIONS
from testing.assessment.evidence import Evidence
from testing.assessment.garment_entries import CallResults, call_results
from testing.assessment.gathering import AssessedSheet, gather, read_assessed_sheet
from testing.assessment.gauge_doubts import GaugeDoubt, set_aside, without_doubted
from testing.assessment.lacking import lacking_evidence
from testing.assessment.lone_gauges import gauge_first, lone_gauges
from testing.assessment.results_files import assessed_measurements
from testing.assessment.suspects import ruled_out, suspects
from testing.assessment.verdicts import Assessed, Doubt, Verdict, assess
from testing.assessment.yarn import YarnFactor, YarnFindings, assess_yarn, had_enough
from testing.models import Assessment, TestCall

MINIMUM_FOR_RANGE = 3


@task()
def refresh_assessment(*, call_id: int) -> None:
    """Assess a call again unless nothing has changed."""
    call = all_calls().filter(pk=call_id).first()
    if call is not None:
        store_assessment(call=call)


@transaction.atomic
def store_assessment(*, call: TestCall) -> Assessment:
    """Store the assessment of all that has come in, unless the stored one is fresh."""
    brought = call_results(call)
    stored = Assessment.objects.filter(call=call).first()
    if stored is not None and stored.fingerprint == brought.fingerprint:
        return stored
    made, _ = Assessment.objects.update_or_create(
        call=call, defaults={"fingerprint": brought.fingerprint, "found": assess_call(brought)}
    )
    return made


def standing_found(call: TestCall) -> dict[str, Any]:
    """What all that has come in comes to: as stored if that is fresh, else worked out now and not stored."""
    return found_in(call, call_results(call))


def found_in(call: TestCall, brought: CallResults) -> dict[str, Any]:
    """What results that were gathered come to: as stored if that is fresh, else worked out now."""
    stored: Assessment | None = getattr(call, "assessment", None)
    if stored is not None and stored.fingerprint == brought.fingerprint:
        found: dict[str, Any] = stored.found
        return found
    return assess_call(brought)


def assess_call(brought: CallResults) -> dict[str, Any]:
    """Assess what a call has brought in; everything that the page says, as JSON."""
    graded = brought.figures.graded
    lines = assessed_measurements(graded.pattern)
    if not lines or not brought.garments:
        yarn = _yarn_json(assess_yarn(graded.pattern, graded.calculation, brought.uses))
        nothing: dict[str, Any] = {"measurements": {}, "doubtful": [], "gauges": [], "expected": {}}
        return {**nothing, "yarn": yarn, "hours": _hours_json(brought)}
    sheet = read_assessed_sheet(brought.figures.ground(), lines)
    evidence, gauges = set_aside(sheet, brought.garments, gather(sheet, brought.garments))
    made = assess(evidence)
    yarn = _yarn_json(assess_yarn(graded.pattern, graded.calculation, without_doubted(brought.uses, gauges)))
    yarn["enough"] = list(had_enough(graded.pattern, graded.yarn, brought.uses))
    return {
        "measurements": _verdicts_json(brought, sheet, made, evidence),
        "doubtful": [_doubt_json(doubt, sheet, brought) for doubt in made.doubts],
        "gauges": [_gauge_json(doubt, sheet, brought) for doubt in gauges],
        "expected": _expected_json(brought, sheet, made),
        "yarn": yarn,
        "hours": _hours_json(brought),
    }


def _verdicts_json(
    brought: CallResults, sheet: AssessedSheet, made: Assessed, evidence: Evidence
) -> dict[str, Any]:
    """All verdicts, with the counts that may be at fault, and the gauges that would explain them."""
    graded, lone = brought.figures.graded, lone_gauges(evidence)
    pairs = list(zip(sheet.lines, made.verdicts, strict=True))
    said = {line.name: verdict.verdict for line, verdict in pairs}
    behind, cleared = suspects(graded.pattern, said), ruled_out(graded.pattern, said)
    return {
        line.name: {
            **_verdict_json(verdict, line.tolerance_mm, graded.sizes),
            "is_width": _is_width(sheet, place),
            "suspects": list(behind.get(line.name, ())),
            "ruled_out": [list(pair) for pair in cleared.get(line.name, ())],
            "gauge_first": [
                {
                    "size": graded.sizes[int(evidence.size[one.tester])],
                    "fabric": sheet.gauges[one.column][0],
                    "direction": sheet.gauges[one.column][1],
                    "change": round(float(np.expm1(one.change)), 4),
                    "lines": [sheet.lines[at].name for at in one.lines],
                }
                for one in gauge_first(place, verdict, lone, evidence)
            ],
        }
        for place, (line, verdict) in enumerate(pairs)
    }


def _expected_json(brought: CallResults, sheet: AssessedSheet, made: Assessed) -> dict[str, Any]:
    """What each garment should measure at the gauge that its other measurements tell, mm by result."""
    names = [line.name for line in sheet.lines]
    return {
        str(result.pk): {name: mm for name, mm in zip(names, row, strict=True) if np.isfinite(mm) and mm > 1}
        for result, row in zip(brought.results, made.predicted.round(2).tolist(), strict=True)
    }


def _verdict_json(verdict: Verdict, tolerance_mm: float, sizes: tuple[str, ...]) -> dict[str, Any]:
    """One verdict with what it rests on and what it lacks."""
    lacking = lacking_evidence(verdict, tolerance_mm)
    bounds = zip(verdict.low.tolist(), verdict.high.tolist(), strict=True)
    return {
        "verdict": verdict.verdict,
        "likely": verdict.likely,
        "sizes": [sizes[place] for place in verdict.sizes],
        "error": [round(mm, 2) + 0.0 for mm in verdict.error.tolist()],
        "interval": [None if np.isnan(low) else [round(low, 2), round(high, 2)] for low, high in bounds],
        "results": list(verdict.results),
        "rests_on": verdict.rests_on,
        "probability": round(verdict.probability, 4),
        "lacking": lacking.results if lacking else 0,
        "lacking_sizes": [sizes[place] for place in lacking.sizes] if lacking else [],
    }


def _is_width(sheet: AssessedSheet, column: int) -> bool:
    """Whether a measurement hangs on stitches more than on rows: then it is too wide, not too long."""
    strength = np.abs(np.nan_to_num(sheet.sensitivity[:, column])).mean(axis=0)
    return bool(len(strength)) and sheet.gauges[int(strength.argmax())][1] == "stitches"


def _doubt_json(doubt: Doubt, sheet: AssessedSheet, brought: CallResults) -> dict[str, Any]:
    """One doubtful entry."""
    neighbour = sheet.lines[doubt.neighbour].name if doubt.neighbour is not None else ""
    return {
        "result": brought.results[doubt.tester].pk,
        "measurement": sheet.lines[doubt.measurement].name,
        "looks_like": doubt.looks_like,
        "meant_mm": None if np.isnan(doubt.meant_mm) else round(doubt.meant_mm, 2),
        "neighbour": neighbour,
    }


def _gauge_json(doubt: GaugeDoubt, sheet: AssessedSheet, brought: CallResults) -> dict[str, Any]:
    """One doubtful gauge, what it would be per mm, and what is not counted because of it."""
    return {
        "result": brought.results[doubt.tester].pk,
        "fabric": doubt.fabric,
        "looks_like": doubt.looks_like,
        "would_be": dict(zip(DIRECTIONS, doubt.would_be, strict=True)),
        "measurements": [sheet.lines[place].name for place in doubt.lines],
    }


def _yarn_json(yarn: YarnFindings) -> dict[str, Any]:
    """What the weighed yarn says: each fabric apart, and all together."""
    return {
        "factors": {fabric: _factor_json(found) for fabric, found in yarn.factors.items()},
        "testers": yarn.testers,
        "allowance": _rounded(yarn.allowance),
        "together": _factor_json(yarn.together) if yarn.together else None,
        "allowance_together": _rounded(yarn.allowance_together),
    }


def _factor_json(found: YarnFactor) -> dict[str, Any]:
    """One factor of yarn."""
    return {
        "factor": round(found.factor, 4),
        "interval": [round(bound, 4) for bound in found.interval] if found.interval else None,
        "testers": found.testers,
    }


def _rounded(share: float | None) -> float | None:
    """A share to a hundredth of a percent."""
    return None if share is None else round(share, 4)


def _hours_json(brought: CallResults) -> dict[str, Any]:
    """Hours as a plain range."""
    hours = [number for _, number in brought.hours]
    if len(hours) < MINIMUM_FOR_RANGE:
        return {"testers": len(hours)}
    return {
        "testers": len(hours),
        "least": min(hours),
        "most": max(hours),
        "middle": float(np.median(hours)),
    }
