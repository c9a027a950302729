"""Forgetting an address, or what was written about a row: letters, files of the mail folder, sessions."""

import email
import email.policy
import logging
import re
from collections.abc import Callable, Iterable
from contextlib import suppress
from email.message import EmailMessage
from email.utils import getaddresses
from functools import partial
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import transaction
from django.db.models import Model, Q

from catalogue.models import Letter
from catalogue.studio.letters import about_of
from catalogue.studio.out_of_reach import FilesOutOfReach, told_of

logger = logging.getLogger(__name__)
# How letters to holders are called: what is about one of them, and notices.
_HOLDER = "holder-"
_TO_HOLDERS = (f"<{_HOLDER}", "<notice.")


@transaction.atomic
def forget_address(address: str, *, is_held: bool = False) -> None:
    """Erase every stored trace of an e-mail address; files go once the edit around this is kept.

    A letter that waits is not sent any more, nor one whose answer would go there. Letters to others stay,
    whatever they say, and those to a holder who goes on hearing of corrections.
    """
    letters = Letter.objects.filter(Q(to__iexact=address) | Q(reply_to__iexact=address))
    (letters.exclude(about__startswith=_HOLDER) if is_held else letters).delete()
    whole = re.compile(rf"(?<![\w.+-]){re.escape(address)}(?![\w.-])", re.IGNORECASE)
    for session in Session.objects.iterator():
        if _mentions(session.get_decoded(), whole):
            session.delete()
    transaction.on_commit(
        partial(_remove_late_files, partial(_goes_to, address=address.lower(), is_held=is_held))
    )


@transaction.atomic
def forget_letters_about(row: Model) -> None:
    """Erase the letters that were written about a row; those that wait are not sent any more."""
    about = about_of(row)
    Letter.objects.filter(about=about).delete()
    transaction.on_commit(partial(_remove_late_files, partial(_is_about, about=about)))


@transaction.atomic
def end_rows(rows: Iterable[Model]) -> None:
    """Delete invitations, accesses or requests; no letter about one of them is sent any more."""
    for row in rows:
        forget_letters_about(row)
        row.delete()


def remove_files_to(address: str, *, is_held: bool = False) -> None:
    """Delete the files of the letters to an address, before its rows go; a holder's stay where it is held.

    Raises:
        FilesOutOfReach: A file can't be read or deleted.
    """
    _remove_files(partial(_goes_to, address=address.lower(), is_held=is_held))


def remove_files_about(row: Model) -> None:
    """Delete the files of the letters that were written about a row, before it goes.

    Raises:
        FilesOutOfReach: A file can't be read or deleted.
    """
    _remove_files(partial(_is_about, about=about_of(row)))


def _mentions(stored: Any, whole: re.Pattern[str]) -> bool:
    """Whether an address stands anywhere in what was stored."""
    if isinstance(stored, dict):
        return any(_mentions(part, whole) for pair in stored.items() for part in pair)
    if isinstance(stored, list):
        return any(_mentions(part, whole) for part in stored)
    return isinstance(stored, str) and whole.search(stored) is not None


def _remove_late_files(is_meant: Callable[[EmailMessage], bool]) -> None:
    """Delete files of letters once the rows are gone; nobody can undo the rows any more."""
    try:
        _remove_files(is_meant)
    except FilesOutOfReach as problem:
        logger.error("The file of a letter that was erased is still there: %s.", problem.why)  # noqa: TRY400


def _remove_files(is_meant: Callable[[EmailMessage], bool]) -> None:
    """Delete files of the mail folder."""
    with told_of(Path(settings.MAIL_DIR)):
        for path in Path(settings.MAIL_DIR).glob("*.eml"):
            with suppress(FileNotFoundError):  # somebody else was faster
                if is_meant(email.message_from_bytes(path.read_bytes(), policy=email.policy.default)):
                    path.unlink()


def _goes_to(parsed: EmailMessage, *, address: str, is_held: bool) -> bool:
    """Whether an e-mail, or its answer, goes to an address; not one to its holder where that one stays."""
    if is_held and str(parsed.get("Message-ID", "")).startswith(_TO_HOLDERS):
        return False
    named = [*parsed.get_all("To", []), *parsed.get_all("Reply-To", [])]
    receivers = getaddresses([str(value) for value in named])
    return any(receiver.lower() == address for _, receiver in receivers)


def _is_about(parsed: EmailMessage, *, about: str) -> bool:
    """Whether an e-mail was written about a row."""
    return str(parsed.get("Message-ID", "")).startswith(f"<{about}.")
