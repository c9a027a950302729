"""Marks of what was erased on request: they outlive the restoring of an older backup and name nobody."""

import hashlib
from datetime import datetime
from functools import partial

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils.crypto import salted_hmac

from catalogue.file_cabinet import listed

FOLDER = "erasures"


def mark_erased(mark: str) -> None:
    """Remember, once the edit around this is kept, that a row must not come back."""
    transaction.on_commit(partial(_write_mark, mark))


def _write_mark(mark: str) -> None:
    name = f"{FOLDER}/{mark}"
    if not default_storage.exists(name):
        default_storage.save(name, ContentFile(b"erased\n"))


def forget_mark(mark: str) -> None:
    """Take a mark away: the person wants it otherwise again."""
    default_storage.delete(f"{FOLDER}/{mark}")


def marks() -> frozenset[str]:
    """All marks that there are."""
    return frozenset(listed(FOLDER)[1])


def mark_of_address(email: str) -> str:
    """The mark of an address that wants no letters at all, which nobody can guess it from."""
    return salted_hmac("catalogue.erasures", email.strip().lower(), algorithm="sha256").hexdigest()


def mark_of(kind: str, key: int, since: datetime) -> str:
    """The mark of a row, as a hash; its first moment tells it from a later one with its key."""
    return hashlib.sha256(f"{kind} {key} {since.timestamp():.6f}".encode()).hexdigest()
