"""Answers that take as long for an address that somebody has as for one that nobody has."""

import time
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase

View = Callable[..., HttpResponseBase]


def evenly_timed(view: View) -> View:
    """Hold back the answer to what was sent until a fixed time has passed.

    Making a code or a link and storing its e-mail takes a few milliseconds more than finding nobody.
    """

    @wraps(view)
    def timed(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        start = time.monotonic()
        answer = view(request, *args, **kwargs)
        if request.method == "POST":
            time.sleep(max(0.0, settings.EVEN_ANSWER_SECONDS - (time.monotonic() - start)))
        return answer

    return timed
