"""Devices on which somebody has signed in before: a stranger's wrong passwords do not lock them out.

A signed cookie says so, set when somebody has signed in and sent back to the sign-in pages alone. It opens
nothing: tries on a known device are counted like all others, only apart from those of strangers.
"""

import secrets
from typing import Any

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponseBase

from catalogue.models import Person
from catalogue.studio.erasures import mark_of

COOKIE = "known_device"
PATH = "/account/"
KEPT_SECONDS = 365 * 24 * 3600
MOST_PEOPLE = 5  # who share a device
_SALT = "catalogue.known_devices"


def remember_device(request: HttpRequest, response: HttpResponseBase, person: Person) -> None:
    """Have the device tell next time that this person has signed in on it."""
    known = _read(request)
    own = _mark(person)
    people = [own, *(mark for mark in known["people"] if mark != own)][:MOST_PEOPLE]
    value = signing.dumps(
        {"device": known["device"] or secrets.token_urlsafe(12), "people": people}, salt=_SALT
    )
    response.set_cookie(
        COOKIE,
        value,
        max_age=KEPT_SECONDS,
        path=PATH,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def device_of(request: HttpRequest, address: str) -> str:
    """The name of the device, where the person of an address has signed in on it; else nothing."""
    known = _read(request)
    person = Person.objects.filter(email__iexact=address).first()
    is_known = person is not None and _mark(person) in known["people"]
    return str(known["device"]) if is_known else ""


def _mark(person: Person) -> str:
    """What a person is known by, which nobody else has who comes to their key later."""
    return mark_of("person", person.pk, person.joined_at)


def _read(request: HttpRequest) -> dict[str, Any]:
    """What the cookie says, unless it is altered or old."""
    try:
        found = signing.loads(request.COOKIES.get(COOKIE, ""), salt=_SALT, max_age=KEPT_SECONDS)
    except signing.BadSignature:
        found = {"device": "", "people": []}
    return dict(found)
