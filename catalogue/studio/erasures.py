"""Marks of what was erased on request: they outlive the restoring of an older backup and name nobody."""

import hashlib
import logging
from datetime import datetime
from functools import partial

from django.core.files.storage import default_storage
from django.db import transaction
from django.utils.crypto import salted_hmac

from catalogue.models import ErasureMark
from catalogue.studio.chores import do_each
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.storage import UNFINISHED, keep_file, listed

logger = logging.getLogger(__name__)
FOLDER = "erasures"


def mark_erased(mark: str) -> None:
    """Remember that a row must not come back: with the edit around this, then beside the files.

    A mark that can't be written beside the files at once waits in the database for the chore that does it.
    """
    ErasureMark.objects.get_or_create(mark=mark)
    transaction.on_commit(partial(_keep_or_wait, mark))


def keep_marks() -> int:
    """Write the marks that wait beside the files; return how many.

    Raises:
        FilesOutOfReach: They can't be written.
    """
    return do_each(list(ErasureMark.objects.values_list("mark", flat=True)), _keep)


def forget_mark(mark: str) -> None:
    """Take a mark away: the person wants it otherwise again."""
    ErasureMark.objects.filter(mark=mark).delete()
    default_storage.delete(f"{FOLDER}/{mark}")


def marks() -> frozenset[str]:
    """All marks that there are."""
    kept = (name for name in listed(FOLDER)[1] if not name.endswith(UNFINISHED))
    return frozenset(kept) | frozenset(ErasureMark.objects.values_list("mark", flat=True))


def _keep(mark: str) -> int:
    """Write a mark beside the files; it waits no more then."""
    keep_file(f"{FOLDER}/{mark}", b"erased\n")
    ErasureMark.objects.filter(mark=mark).delete()
    return 1


def _keep_or_wait(mark: str) -> None:
    """Write a mark beside the files, or leave it to the chore."""
    try:
        _keep(mark)
    except FilesOutOfReach as problem:
        logger.warning("A mark of what was erased waits: %s.", problem.why)


def mark_of_address(email: str) -> str:
    """The mark of an address that wants no letters at all, which nobody can guess it from."""
    return salted_hmac("catalogue.erasures", email.strip().lower(), algorithm="sha256").hexdigest()


def mark_of(kind: str, key: int, since: datetime) -> str:
    """The mark of a row, as a hash; its first moment tells it from a later one with its key."""
    return hashlib.sha256(f"{kind} {key} {since.timestamp():.6f}".encode()).hexdigest()
