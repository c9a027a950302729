"""Sign-ins: who came in, when and with which kind of browser, which still hold, and ending all the others.

A session knows its sign-in by a number; no key of a session is kept anywhere else.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth import HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.models import Session
from django.http import HttpRequest
from django.utils import timezone

from catalogue.models import Person, SignIn

KEPT = timedelta(days=90)
MOST_SHOWN = 20
SIGN_IN = "sign_in"
# What a browser says of itself holds the names of others: the first that fits is its own.
BROWSERS = {
    r"Edg\w*/": "Edge",
    r"OPR/": "Opera",
    r"SamsungBrowser/": "Samsung Internet",
    r"Firefox/|FxiOS/": "Firefox",
    r"Chrom\w*/|CriOS/": "Chrome",
    r"Safari/": "Safari",
}
SYSTEMS = {
    r"Android": "Android",
    r"iPhone|iPad": "iOS",
    r"Windows": "Windows",
    r"Macintosh|Mac OS": "macOS",
    r"CrOS": "ChromeOS",
    r"Linux": "Linux",
}


@dataclass(frozen=True)
class ShownSignIn:
    """A sign-in as its person sees it: whether it still holds, and whether it is the one they look with."""

    at: datetime
    browser: str
    is_open: bool
    is_here: bool


def note_sign_in(request: HttpRequest, person: Person) -> None:
    """Write down that somebody has just signed in."""
    browser = browser_kind(request.headers.get("User-Agent", ""))
    request.session[SIGN_IN] = SignIn.objects.create(person=person, browser=browser).pk


def browser_kind(says: str) -> str:
    """The kind of a browser and its system by what it says of itself, like “Firefox on Linux”."""
    browser = _first(BROWSERS, says) or "Another browser"
    system = _first(SYSTEMS, says)
    return f"{browser} on {system}" if system else browser


def shown_sign_ins(request: HttpRequest, person: Person) -> list[ShownSignIn]:
    """The latest sign-ins of a person, newest first; two queries."""
    here = request.session.get(SIGN_IN)
    still = {known.get(SIGN_IN) for _, known in _sessions_of(person)}
    latest = SignIn.objects.filter(person=person).order_by("-at", "-pk")[:MOST_SHOWN]
    return [ShownSignIn(one.at, one.browser, one.pk in still, one.pk == here) for one in latest]


def end_sessions(person: Person, *, but: str | None = None) -> int:
    """Sign somebody out everywhere, but for the session of a key; return how many ended."""
    keys = [session.pk for session, _ in _sessions_of(person, valid=False) if session.pk != but]
    Session.objects.filter(pk__in=keys).delete()
    return len(keys)


def forget_old_sign_ins() -> int:
    """Delete sign-ins after their time, and sessions that hold no more; return how many sign-ins."""
    Session.objects.filter(expire_date__lt=timezone.now()).delete()
    return int(SignIn.objects.filter(at__lt=timezone.now() - KEPT).delete()[0])


def _sessions_of(person: Person, *, valid: bool = True) -> Iterator[tuple[Session, dict[str, Any]]]:
    """The sessions of a person with what they know; a valid one has not ended by a new password."""
    right = person.get_session_auth_hash()
    for session in Session.objects.filter(expire_date__gt=timezone.now()).iterator():
        known = session.get_decoded()
        if known.get(SESSION_KEY) == str(person.pk) and (not valid or known.get(HASH_SESSION_KEY) == right):
            yield session, known


def _first(kinds: dict[str, str], says: str) -> str:
    """The first kind whose mark stands in a text; nothing where there is none."""
    return next((kind for mark, kind in kinds.items() if re.search(mark, says)), "")
