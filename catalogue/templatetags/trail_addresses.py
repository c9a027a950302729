"""Where a line on the trail of a number is edited."""

from django import template
from django.urls import reverse

from grading.grid.trails import Trail

register = template.Library()


@register.simple_tag
def trail_address(slug: str, one: Trail) -> str:
    """The page of a value, of the words, or of any other entry."""
    if one.part == "values":
        return reverse("value", args=[slug, one.name])
    if one.part == "sections":
        return reverse("words", args=[slug])
    return reverse("entry", args=[slug, one.part, one.place])
