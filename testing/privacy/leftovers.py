"""Files that no row knows: pictures sent in while a result was erased, or left by a kill in between; e-mails.

Every round looks at the results that are gone, and now and then at every file.
"""

import email
import email.policy
import time
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from email.message import EmailMessage
from email.utils import getaddresses
from pathlib import Path

from allauth.account.models import EmailAddress
from django.conf import settings
from django.core.files.storage import default_storage
from django.db.models import Model
from django.utils import timezone

from catalogue.models import Holder, Invitation, Letter, Person
from catalogue.photos.intake import PHOTOS
from catalogue.photos.photos import PICTURE_ROWS
from catalogue.studio.letters import about_of
from catalogue.studio.out_of_reach import told_of
from catalogue.studio.storage import listed
from testing.models import Application, ResultPhoto
from testing.results.results import PICTURES

# Younger ones may belong to a row that is being saved.
LEFTOVER_AFTER = timedelta(hours=1)
# To list every file of an object store takes its time.
ALL_SECONDS = 24 * 3600.0
_LOOKED_AT: dict[str, float] = {}
_KNOW_ADDRESSES: tuple[type[Model], ...] = (Person, Application, Holder, Invitation, EmailAddress)
_ARE_ABOUT: tuple[type[Model], ...] = (Application, Holder)


def sweep_pictures() -> int:
    """Take away the pictures of results that have none; return how many files that were."""
    count = 0
    for folder in _folders_of_nobody():
        count += _sweep_below(folder, frozenset())
        _remove_empty(folder)
    return count


def sweep_all_pictures() -> int:
    """Now and then, take away every picture that no row knows; return how many files that were."""
    last = _LOOKED_AT.get("pictures")
    if last is not None and time.monotonic() - last < ALL_SECONDS:
        return 0
    count = sum(_sweep_below(f"{PICTURES}/{key}", _known(ResultPhoto)) for key in listed(PICTURES)[0])
    count += _sweep_below(PHOTOS, frozenset().union(*(_known(model) for model in PICTURE_ROWS)))
    _LOOKED_AT["pictures"] = time.monotonic()
    return count


def sweep_mails() -> int:
    """Take away e-mails of the folder to addresses, or about rows, that are gone; return how many that were.

    Raises:
        FilesOutOfReach: A file can't be read or deleted.
    """
    folder, count = Path(settings.MAIL_DIR), 0
    before = timezone.now() - LEFTOVER_AFTER
    addresses, rows = _known_addresses(), _known_rows()
    with told_of(folder):
        for path in folder.glob("*.eml"):
            with suppress(FileNotFoundError):  # somebody else was faster
                if datetime.fromtimestamp(path.stat().st_mtime, UTC) < before:
                    parsed = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
                    if not _is_known(parsed, addresses, rows):
                        path.unlink()
                        count += 1
    return count


def _folders_of_nobody() -> Iterator[str]:
    """The folders of results that have no picture, or are gone."""
    found = set(listed(PICTURES)[0])
    kept = {str(key) for key in ResultPhoto.objects.values_list("result", flat=True).distinct()}
    return (f"{PICTURES}/{key}" for key in sorted(found - kept))


def _known(model: type[Model]) -> frozenset[str]:
    """The names of the files that the rows of a table know."""
    kept = model._default_manager.values_list("files", flat=True).iterator()  # noqa: SLF001 of any of them
    return frozenset(str(one["name"]) for files in kept for one in files)


def _known_addresses() -> frozenset[str]:
    """Every address that some row has."""
    letters = Letter.objects.values_list("to", "reply_to")
    found = {str(one).lower() for pair in letters for one in pair if one}
    for model in _KNOW_ADDRESSES:
        found |= {str(one).lower() for one in model._default_manager.values_list("email", flat=True)}  # noqa: SLF001
    return frozenset(found)


def _known_rows() -> frozenset[str]:
    """What e-mails call the rows that they are about."""
    return frozenset(
        about_of(row)
        for model in _ARE_ABOUT
        for row in model._default_manager.only("pk")  # noqa: SLF001
    )


def _is_known(parsed: EmailMessage, addresses: frozenset[str], rows: frozenset[str]) -> bool:
    """Whether an e-mail went to an address that is known, and is not about a row that is gone."""
    about = str(parsed.get("Message-ID", "")).strip("<").partition(".")[0]
    kind = about.partition("-")[0]
    if kind in {model._meta.model_name for model in _ARE_ABOUT} and about not in rows:  # noqa: SLF001
        return False
    receivers = getaddresses([str(value) for value in parsed.get_all("To", [])])
    return any(receiver.lower() in addresses for _, receiver in receivers)


def _sweep_below(folder: str, known: frozenset[str]) -> int:
    """Take away the files below a folder that are not known; return how many that were."""
    before = timezone.now() - LEFTOVER_AFTER
    return sum(_sweep(name, before) for name in _files_below(folder) if name not in known)


def _files_below(folder: str) -> Iterator[str]:
    """The names of all files in a folder and in those within."""
    folders, files = listed(folder)
    yield from (f"{folder}/{name}" for name in files)
    for name in folders:
        yield from _files_below(f"{folder}/{name}")


def _sweep(name: str, before: datetime) -> bool:
    """Take a file away unless it is young; say whether."""
    with suppress(FileNotFoundError):
        if default_storage.get_modified_time(name) < before:
            default_storage.delete(name)
            return True
    return False


def _remove_empty(folder: str) -> None:
    """Take away a folder on a disk with the empty ones in it; one with a young file stays."""
    for name in listed(folder)[0]:
        _remove_empty(f"{folder}/{name}")
    if not any(listed(folder)):
        default_storage.delete(folder)
