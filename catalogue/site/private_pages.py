"""Which pages a browser or a server between may not keep.

Those of people, those that a key opens, and any that tells somebody how something they did went.
"""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from catalogue.site.keyed_addresses import KEYED

KEEP_NOWHERE = "private, no-store"
# What was said to one person, who may not be signed in, and is shown on the next page.
MESSAGES = "messages"
# Pages that anybody opens who has the key in their address, and those of signing in.
OPENED_BY_KEY = (*KEYED, "account/")
# The desk's own work, where nothing tells of a person: a form that is left and come back to keeps what was
# typed, which browsers see to only where they may keep the page.
OWN_WORK = (
    "desk/<slug:slug>/sheet/",
    "desk/<slug:slug>/parts/",
    "desk/<slug:slug>/add/",
    "desk/<slug:slug>/sizes/",
    "desk/<slug:slug>/body/",
    "desk/<slug:slug>/facts/",
    "desk/<slug:slug>/words/",
    "desk/<slug:slug>/yarn/",
)


class PrivatePagesMiddleware:
    """Says of every page that it may not be kept, unless the page says something itself or is nobody's own.

    Whoever is signed in gets pages of their own: all are private but those of the desk's own work.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, and say whether the answer may be kept."""
        answer = self.get_response(request)
        if not answer.has_header("Cache-Control") and _is_private(request):
            answer["Cache-Control"] = KEEP_NOWHERE
        return answer


def _is_private(request: HttpRequest) -> bool:
    """Whether a page tells of a person; who asks is looked up only where a cookie can tell."""
    route = request.resolver_match.route if request.resolver_match else ""
    if route.startswith(OPENED_BY_KEY):
        return True
    if route.startswith(OWN_WORK):
        return False
    if MESSAGES in request.COOKIES:
        return True
    return settings.SESSION_COOKIE_NAME in request.COOKIES and request.user.is_authenticated
