"""The stop of the demo's tour that a page shows."""

from typing import Any

from django import template
from django.conf import settings

from catalogue.site.tour import STOPS, stop_shown

register = template.Library()


@register.inclusion_tag("site/_tour.html", takes_context=True)
def tour(context: dict[str, Any]) -> dict[str, Any]:
    """The stop, with the way to the next one; nothing outside the demo and for those who left."""
    request = context.get("request")
    number = stop_shown(request) if settings.IS_DEMO and request is not None else None
    if number is None:
        return {"stop": None, "number": 0, "count": 0}
    return {
        "stop": STOPS[number - 1],
        "number": number,
        "count": len(STOPS),
        "csrf_token": context.get("csrf_token", ""),
    }
