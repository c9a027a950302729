"""Taking a pattern out of the public list, and back; whether visitors may download its PDFs."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from catalogue.drafts.requests import pattern_or_404
from catalogue.publishing.retiring import offer_pattern, retire_pattern, set_downloads
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
def pattern_downloads(request: HttpRequest, slug: str) -> HttpResponse:
    """Let visitors download the PDFs of released versions, or let them no longer."""
    pattern = pattern_or_404(request, slug)
    is_free = "is_free" in request.POST
    set_downloads(pattern=pattern, is_free=is_free)
    says = "Visitors may download the PDFs now." if is_free else "Visitors can’t download the PDFs now."
    messages.success(request, says)
    return redirect("versions", slug=slug)
