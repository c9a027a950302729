"""Whether visitors may download the PDFs of a pattern."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from catalogue.drafts.requests import pattern_or_404
from catalogue.publishing.downloads import set_downloads
from catalogue.studio.roles import publisher_required


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
