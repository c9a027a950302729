"""The page of a help, as the short link in a PDF leads to it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from catalogue.helps.showing import shown_help
from catalogue.models import Help


@require_safe
def help_page(request: HttpRequest, code: str) -> HttpResponse:
    """How a technique is done, in the words of today, with a plain link to its video."""
    found = get_object_or_404(Help.objects.prefetch_related("pictures"), code=code)
    answer = render(request, "catalogue/helps/page.html", {"help": shown_help(found)})
    answer["X-Robots-Tag"] = "noindex"
    return answer
