"""What makes the links of a row its own: keys are used again after a backup was put into a fresh folder."""

import secrets

from django.db.models import Model


def new_token() -> str:
    """A token that no other row has, fit for an address and for the name of an e-mail."""
    return secrets.token_urlsafe(12)


def own_name(row: Model, token: str) -> str:
    """What a link is signed with: the key of a row and the token; the key alone in links from before."""
    return f"{row.pk}-{token}" if token else str(row.pk)


def read_own_name(name: str) -> tuple[int, str]:
    """The key and the token of a link.

    Raises:
        ValueError: There is no key in it.
    """
    key, _, token = name.partition("-")
    return int(key), token
