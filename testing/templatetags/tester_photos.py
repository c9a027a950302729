"""Testers' photos on the public page of a pattern."""

from typing import Any

from django import template

from catalogue.models import Pattern
from testing.photo_uses import photos_on_page

register = template.Library()


@register.inclusion_tag("testing/_shared_photos.html")
def tester_photos(pattern: Pattern) -> dict[str, Any]:
    """The photos that testers let everybody see, each with the name that stands beside it."""
    return {"shown": photos_on_page(pattern)}
