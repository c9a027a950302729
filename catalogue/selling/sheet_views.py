"""Pages to print and to copy: the shooting list and the promotion sheet of a pattern."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.drafts.requests import pattern_or_404
from catalogue.selling.promotion import promotion_sheet
from catalogue.selling.shooting_list import shooting_list, shooting_text
from catalogue.studio.roles import whole_studio_required

TAB = "selling"


@require_safe
@whole_studio_required
def shooting(request: HttpRequest, slug: str) -> HttpResponse:
    """The steps without a help that most people found hard."""
    pattern = pattern_or_404(request, slug)
    found = shooting_list(pattern)
    page = {"pattern": pattern, "tab": TAB, "list": found, "text": shooting_text(pattern, found)}
    return render(request, "catalogue/selling/shooting.html", page)


@require_safe
@whole_studio_required
def promotion(request: HttpRequest, slug: str) -> HttpResponse:
    """What a shop or a post needs of a pattern."""
    pattern = pattern_or_404(request, slug)
    page = {"pattern": pattern, "tab": TAB, "sheet": promotion_sheet(pattern)}
    return render(request, "catalogue/selling/promotion.html", page)


@require_safe
@whole_studio_required
def promotion_file(request: HttpRequest, slug: str) -> HttpResponse:
    """The same as a text file."""
    sheet = promotion_sheet(pattern_or_404(request, slug))
    headers = {"Content-Disposition": f'attachment; filename="{slug}.txt"'}
    return HttpResponse(sheet.text, content_type="text/plain; charset=utf-8", headers=headers)
