"""The studio's page of one garment: everything that its maker sent."""

from typing import cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from catalogue.models import Person
from catalogue.studio.roles import studio_required
from testing.access.requests import call_or_404
from testing.access.selectors import results_of
from testing.asked.figures import version_figures
from testing.results.answers import gauges_off
from testing.results.sent_things import maker_of, things_sent


@require_safe
@studio_required
def call_garment(request: HttpRequest, slug: str, pk: int, result: int) -> HttpResponse:
    """Everything that was sent of one garment, in order of time, with its photos."""
    call = call_or_404(slug, pk)
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
        "things": things_sent(found),
    }
    return render(request, "testing/call_garment.html", page)
