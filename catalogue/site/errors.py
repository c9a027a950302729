"""Pages for what went wrong; the last two ask nothing of the database."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

_BARE: dict[str, object] = {
    "studio": None,
    "messages": [],
    "is_studio": False,
    "is_designer": False,
    "says": "",
}


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400: the request cannot be read."""
    return HttpResponse(render_to_string("400.html", _BARE), status=400)


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403: known, but not allowed."""
    return render(request, "403.html", {"says": ""}, status=403)


def page_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404: not there, or not for this person."""
    return render(request, "404.html", {"says": ""}, status=404)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: the form did not come from one of our pages."""
    return render(request, "403_csrf.html", {"says": ""}, status=403)


def server_error(request: HttpRequest) -> HttpResponse:
    """500: a mistake of ours."""
    return HttpResponse(render_to_string("500.html", _BARE), status=500)


def busy(request: HttpRequest) -> HttpResponse:
    """503: the database is locked by other work."""
    return HttpResponse(
        render_to_string("503.html", _BARE),
        status=503,
        headers={"Retry-After": "60", "Cache-Control": "no-store"},
    )
