"""All joins of a pattern, in one table."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.drafts.drafts import open_draft
from catalogue.drafts.patterns import graded
from catalogue.studio.roles import studio_required
from grading.grid.join_tables import USUAL_TOLERANCE, join_table


@studio_required
@require_safe
def joins(request: HttpRequest, slug: str) -> HttpResponse:
    """Both edges of every join in every size, and by how much they differ."""
    draft, units = open_draft(request.user, slug), getattr(request.user, "units", "cm")
    page = {
        "pattern": draft.pattern,
        "tab": "sheet",
        "sizes": draft.document["sizes"],
        "joins": join_table(draft.document, graded(draft.pattern), units),
        "units": units,
        "usual": USUAL_TOLERANCE,
    }
    return render(request, "catalogue/joins.html", page)
