"""What every request passes through."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from catalogue.models import Studio
from catalogue.site.errors import not_allowed, told
from catalogue.studio.clock import zone_of

# It says whether the database answers, so nothing may be asked of it before.
HEALTH = "/health/"

Answer = Callable[[HttpRequest], HttpResponse]


class StudioMiddleware:
    """Reads the studio once per request and shows times in its time zone."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer with the studio at hand."""
        is_watch = request.path_info == HEALTH
        request.studio = None if is_watch else Studio.objects.first()  # type: ignore[attr-defined]
        with timezone.override(zone_of(request.studio)):  # type: ignore[attr-defined]
            return self.get_response(request)


class NotAllowedMiddleware:
    """Answers 405 with a page where a browser asks for the address of a button."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer; only what a view refused without a word gets ours."""
        answer = self.get_response(request)
        if answer.status_code != 405 or answer.content or request.method != "GET":
            return answer
        return not_allowed(request, answer)


class OutOfReachMiddleware:
    """Answers 503 with a clear sentence when the database is busy or full, or files can't be reached."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer; errors come by the other way."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """The page that says so, or None for every other error."""
        return told(request, error)
