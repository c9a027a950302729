"""What the pages of the catalogue have in common."""

from typing import Any

from django.http import HttpRequest
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods

from catalogue.draft_glances import Since
from catalogue.models import Pattern, Person
from catalogue.patterns import patterns_for
from catalogue.printed_changes import number_rows

form_page = require_http_methods(["GET", "HEAD", "POST"])


def pattern_or_404(request: HttpRequest, slug: str) -> Pattern:
    """A pattern that the person may work on."""
    return get_object_or_404(patterns_for(request.user), slug=slug)


def person_of(request: HttpRequest) -> Person | None:
    """Who is signed in."""
    return request.user if isinstance(request.user, Person) else None


def since_page(since: Since | None) -> dict[str, Any]:
    """What a page prints of a draft that was changed after its form was opened."""
    rows = number_rows(since.changes, "both") if since else []
    return {"since": since, "since_rows": rows}
