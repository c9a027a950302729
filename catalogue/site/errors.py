"""Pages for what went wrong."""

import logging
import sys

from django.conf import settings
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from catalogue.studio.out_of_reach import FilesOutOfReach
from testing.access.requests import ApplicationGone, PlaceOver, QuestionGone
from testing.places.returning import may_return_until

logger = logging.getLogger(__name__)
_BUSY_WORDS = ("database is locked", "database table is locked", "lock timeout", "deadlock detected")
# SQLite and PostgreSQL.
_FULL_WORDS = ("database or disk is full", "No space left on device", "disk quota exceeded")
_BARE: dict[str, object] = {
    "studio": None,
    "messages": [],
    "is_studio": False,
    "is_pattern_editor": False,
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
    """404: not there, or not for this person; who once had what they ask for is told what became of it."""
    if isinstance(exception, PlaceOver):
        place = exception.placement
        page = {"placement": place, "until": may_return_until(place)}
        return render(request, "testing/place_over.html", page, status=404)
    if isinstance(exception, QuestionGone):
        page = {"placement": exception.placement}
        return render(request, "testing/question_gone.html", page, status=404)
    if isinstance(exception, ApplicationGone):
        return render(request, "testing/application_gone.html", status=404)
    return render(request, "404.html", {"says": ""}, status=404)


def not_allowed(request: HttpRequest, answer: HttpResponse) -> HttpResponse:
    """405: the address of a button was opened as a page; its methods are told as they were."""
    page = render(request, "405.html", {"says": ""}, status=405)
    page["Allow"] = answer["Allow"]
    return page


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: the form did not come from one of our pages."""
    return render(request, "403_csrf.html", {"says": ""}, status=403)


def server_error(request: HttpRequest) -> HttpResponse:
    """500: a mistake of ours; or 503 where it happened after the view, as a session was stored."""
    answer = told(request, sys.exc_info()[1])
    return answer or HttpResponse(render_to_string("500.html", _BARE), status=500)


def told(request: HttpRequest, error: BaseException | None) -> HttpResponse | None:
    """503 for a database that is busy or full and for files out of reach; None for a mistake of ours."""
    if isinstance(error, FilesOutOfReach):
        logger.error("%s", error)
        return _later(request, "503_files.html", seconds=300)
    if not isinstance(error, OperationalError):
        return None
    words = str(error)
    if any(known in words for known in _BUSY_WORDS):
        return _later(request, "503.html", seconds=60)
    if any(known in words for known in _FULL_WORDS):
        logger.error("The disk of the database is full (%s): make room there.", settings.DATA_DIR)
        return _later(request, "503_full.html", seconds=300)
    return None


def too_large() -> HttpResponse:
    """413: more than any form takes."""
    return HttpResponse(render_to_string("413.html", _BARE), status=413)


def _later(request: HttpRequest, name: str, *, seconds: int) -> HttpResponse:
    """A page that asks to come again, with what was typed; it asks nothing of the database."""
    sent = request.POST.lists() if request.method == "POST" else ()
    typed = [(field, value) for field, values in sent for value in values]
    return HttpResponse(
        render_to_string(name, {**_BARE, "typed": typed, "had_files": bool(typed and request.FILES)}),
        status=503,
        headers={"Retry-After": str(seconds), "Cache-Control": "no-store"},
    )
