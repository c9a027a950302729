"""What pages ask of a request."""

from django.http import HttpRequest
from django.views.decorators.http import require_http_methods

from catalogue.models import Person

form_page = require_http_methods(["GET", "HEAD", "POST"])


def whole_number(sent: str, *, otherwise: int) -> int:
    """A number that a page has sent, such as the revision it was made from."""
    return int(sent) if sent.isdecimal() and len(sent) < 10 else otherwise


def person_of(request: HttpRequest) -> Person | None:
    """Who is signed in."""
    return request.user if isinstance(request.user, Person) else None
