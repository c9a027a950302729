"""Addresses for mails."""

from django.urls import reverse

from catalogue.studio.public_address import link_address


def absolute(name: str, *args: object) -> str:
    """The whole address of a page, where the studio is found."""
    return f"{link_address()}{reverse(name, args=args)}"
