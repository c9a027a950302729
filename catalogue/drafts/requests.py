"""What the pages of the catalogue have in common."""

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from catalogue.drafts.patterns import patterns_for
from catalogue.models import Pattern


def pattern_or_404(request: HttpRequest, slug: str) -> Pattern:
    """A pattern that the person may work on."""
    return get_object_or_404(patterns_for(request.user), slug=slug)
