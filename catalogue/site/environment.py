"""The environment variables of a studio; what can't be used is refused in one sentence that names it."""

import os

from django.core.exceptions import ImproperlyConfigured

from catalogue.web_addresses import read_web_address


def read_own_address(name: str) -> str:
    """The address that a variable gives the studio; empty when it is not set."""
    text = os.environ.get(name, "").strip()
    try:
        return read_web_address(text) if text else ""
    except ValueError as problem:
        raise ImproperlyConfigured(f"{name} can't be used. {problem}") from None
