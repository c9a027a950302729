"""Taking a pattern out of the public list, and back; whether visitors see one of its charts."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from catalogue.drafts.requests import pattern_or_404
from catalogue.publishing.retiring import offer_pattern, retire_pattern, set_chart_shown
from catalogue.studio.roles import publisher_required


@require_POST
@publisher_required
def pattern_retire(request: HttpRequest, slug: str) -> HttpResponse:
    """Offer it no longer."""
    retire_pattern(pattern=pattern_or_404(request, slug))
    messages.success(request, "The pattern is no longer offered; its corrections stay where they are.")
    return redirect("versions", slug=slug)


@require_POST
@publisher_required
def pattern_offer(request: HttpRequest, slug: str) -> HttpResponse:
    """Offer it again."""
    offer_pattern(pattern=pattern_or_404(request, slug))
    messages.success(request, "The pattern is offered again.")
    return redirect("versions", slug=slug)


@require_POST
@publisher_required
def pattern_chart(request: HttpRequest, slug: str) -> HttpResponse:
    """Show one small chart of the current release to visitors, or none."""
    pattern = pattern_or_404(request, slug)
    shows_chart = "shows_chart" in request.POST
    set_chart_shown(pattern=pattern, shows_chart=shows_chart)
    messages.success(
        request, "Visitors see one small chart now." if shows_chart else "Visitors see no chart now."
    )
    return redirect("versions", slug=slug)
