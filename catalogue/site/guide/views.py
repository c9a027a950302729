"""Pages of the guide, open to everybody."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.site.guide.contents import context_of
from catalogue.site.guide.parts import PARTS, grouped_parts, next_part
from catalogue.site.guide.search import search_guide

LONGEST_SEARCH = 100


@require_safe
def guide(request: HttpRequest) -> HttpResponse:
    """All parts, and what was looked for in them."""
    wanted = request.GET.get("q", "").strip()[:LONGEST_SEARCH]
    context = {"groups": grouped_parts(), "wanted": wanted, "found": search_guide(wanted)}
    return render(request, "guide/guide.html", context)


@require_safe
def guide_part(request: HttpRequest, name: str) -> HttpResponse:
    """One part of the guide."""
    if name not in PARTS:
        raise Http404
    context = {
        **context_of(PARTS[name]),
        "groups": grouped_parts(),
        "next": next_part(PARTS[name]),
        "wanted": "",
    }
    return render(request, "guide/part.html", context)
