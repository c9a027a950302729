"""Pages of visitors may be kept, by browsers and servers between, that ask whether they still hold.

What a page says is compared by its content, so that whatever changes it is seen at once: a correction,
another release, the studio's name. A moment would tell less: two changes of one second look the same.
Whoever is signed in gets pages of their own, which their cookie tells apart and which are never kept
(`private_pages`).
"""

import hashlib
from collections.abc import Callable
from typing import cast

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.middleware.gzip import GZipMiddleware
from django.utils.cache import get_conditional_response

from catalogue.site.private_pages import MESSAGES

# No token stands in them that the length of a compressed page could tell of.
VISITED = {
    "catalogue",
    "pattern_page",
    "needs",
    "which",
    "corrections",
    "corrections_file",
    "sitemap",
    "robots",
}
ASK_AGAIN = "public, no-cache"
# Each may hold what is shown to one person alone.
OWN_COOKIES = {settings.SESSION_COOKIE_NAME, MESSAGES}

Answer = Callable[[HttpRequest], HttpResponse]


class VisitorPagesMiddleware:
    """Gives pages of visitors a mark of their content."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response
        self.compress = GZipMiddleware(get_response)

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer with the page, or that it is still the same."""
        answer = self.get_response(request)
        if not _is_visited(request, answer):
            return answer
        marked: HttpResponse | None = answer
        if _is_same_for_all(request, answer):
            etag = f'"{hashlib.sha256(answer.content).hexdigest()[:32]}"'
            answer["ETag"] = etag
            answer.setdefault("Cache-Control", ASK_AGAIN)
            marked = get_conditional_response(request, etag=etag, response=answer)
        return cast("HttpResponse", self.compress.process_response(request, marked or answer))


def _is_visited(request: HttpRequest, answer: HttpResponse) -> bool:
    """Whether this is a page of visitors, whole and as it should be."""
    name = request.resolver_match.url_name if request.resolver_match else None
    return name in VISITED and answer.status_code == 200 and not answer.streaming


def _is_same_for_all(request: HttpRequest, answer: HttpResponse) -> bool:
    """Whether nothing of a page is somebody's own: nobody is known, and nothing is set."""
    return not OWN_COOKIES & request.COOKIES.keys() and not answer.cookies
