"""The studio's page of one garment: what it measures beside what was planned, and all that its maker sent."""

from dataclasses import dataclass
from math import isfinite
from typing import cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from catalogue.models import Person
from catalogue.studio.roles import studio_required
from testing.access.requests import call_or_404
from testing.access.selectors import results_of
from testing.asked.figures import version_figures
from testing.assessment.assessing import standing_found
from testing.models import Result, TestCall
from testing.places.returning import may_return_until
from testing.results.answers import gauges_off
from testing.results.sent_things import maker_of, things_sent
from testing.verdicts.judging import DeviationRow, judge_call


@dataclass(frozen=True)
class MeasuredRow:
    """A measurement of a garment, with what its size was planned to have: mm, none where that is unknown."""

    row: DeviationRow
    planned_mm: float | None


@require_safe
@studio_required
def call_garment(request: HttpRequest, slug: str, pk: int, result: int) -> HttpResponse:
    """Everything that was sent of one garment, in order of time; photos for all of the studio alone."""
    call = call_or_404(request, slug, pk)
    found = get_object_or_404(results_of(call).prefetch_related("photos", "remarks"), pk=result)
    person = cast("Person", request.user)
    page = {
        "pattern": call.pattern,
        "tab": "calls",
        "call": call,
        "result": found,
        "maker": maker_of(found),
        "gauges_off": gauges_off(found.placement, version_figures(found.version).fabrics, person.units)
        if found.placement
        else [],
        "things": [thing for thing in things_sent(found) if call.names_testers or not thing.photo],
        "units": person.units,
        "ended": found.placement if found.placement and found.placement.ended_at else None,
        "may_return_until": may_return_until(found.placement) if found.placement else None,
        "measured": _measured(call, found, person.units),
    }
    return render(request, "testing/call_garment.html", page)


def _measured(call: TestCall, result: Result, units: str) -> list[MeasuredRow]:
    """What a garment measures beside what was planned, and what its counts give at either gauge."""
    found = standing_found(call)
    figures = version_figures(result.version)
    rows = [row for row in judge_call(call, found, units).rows if row.result.pk == result.pk]
    values, place = figures.graded.values, figures.pattern.sizes.index(result.size)
    planned = [float(values[row.line.name].worked[place]) for row in rows]
    return [MeasuredRow(row, one if isfinite(one) else None) for row, one in zip(rows, planned, strict=True)]
