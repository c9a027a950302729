"""Addresses for mails."""

from django.conf import settings
from django.urls import reverse


def absolute(name: str, *args: object) -> str:
    """The whole address of a page, under the studio's public address."""
    return f"{settings.STUDIO_URL}{reverse(name, args=args)}"
