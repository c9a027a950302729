"""Pages of visitors may be kept, by browsers and servers between, that ask whether they still hold.

What a page says is compared by its content, so that whatever changes it is seen at once: a correction,
another release, the studio's name. Whoever is signed in gets pages of their own, which their cookie tells
apart and which are never kept (`private_pages`).
"""

import hashlib
import time
from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import cast

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.middleware.gzip import GZipMiddleware
from django.utils.cache import get_conditional_response
from django.utils.http import http_date

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
MOST_REMEMBERED = 4096

Answer = Callable[[HttpRequest], HttpResponse]


class VisitorPagesMiddleware:
    """Gives pages of visitors a mark of their content and the moment since which it is known to be so."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response
        self.seen = SeenPages()
        self.compress = GZipMiddleware(get_response)

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer with the page, or that it is still the same."""
        answer = self.get_response(request)
        if not _is_visited(request, answer):
            return answer
        marked: HttpResponse | None = answer
        if _is_same_for_all(request, answer):
            etag = f'"{hashlib.sha256(answer.content).hexdigest()[:32]}"'
            since = self.seen.since(request.get_full_path(), etag)
            answer["ETag"], answer["Last-Modified"] = etag, http_date(since)
            answer.setdefault("Cache-Control", ASK_AGAIN)
            marked = get_conditional_response(request, etag=etag, last_modified=since, response=answer)
        return cast("HttpResponse", self.compress.process_response(request, marked or answer))


class SeenPages:
    """Since when each address is known to say what it says, by the content that was last sent."""

    def __init__(self) -> None:
        self._pages: OrderedDict[str, tuple[str, int]] = OrderedDict()
        self._lock = Lock()

    def since(self, address: str, etag: str) -> int:
        """The moment at which this content was first seen there, in seconds."""
        with self._lock:
            known, since = self._pages.get(address, ("", 0))
            if known != etag:
                since = int(time.time())
                self._pages[address] = etag, since
            self._pages.move_to_end(address)
            while len(self._pages) > MOST_REMEMBERED:
                self._pages.popitem(last=False)
        return since


def _is_visited(request: HttpRequest, answer: HttpResponse) -> bool:
    """Whether this is a page of visitors, whole and as it should be."""
    name = request.resolver_match.url_name if request.resolver_match else None
    return name in VISITED and answer.status_code == 200 and not answer.streaming


def _is_same_for_all(request: HttpRequest, answer: HttpResponse) -> bool:
    """Whether nothing of a page is somebody's own: nobody is known, and nothing is set."""
    return settings.SESSION_COOKIE_NAME not in request.COOKIES and not answer.cookies
