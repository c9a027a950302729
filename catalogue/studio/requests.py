"""What pages ask of a request."""

from django.http import HttpRequest
from django.views.decorators.http import require_http_methods

from catalogue.models import Person

form_page = require_http_methods(["GET", "HEAD", "POST"])


def person_of(request: HttpRequest) -> Person | None:
    """Who is signed in."""
    return request.user if isinstance(request.user, Person) else None
