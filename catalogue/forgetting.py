"""Forgetting an address, or what was written about a row: letters, files of the mail folder, sessions."""

import email
import email.policy
import re
from collections.abc import Callable
from email.message import EmailMessage
from email.utils import getaddresses
from functools import partial
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import transaction
from django.db.models import Model

from catalogue.letters import about_of
from catalogue.models import Letter


@transaction.atomic
def forget_address(address: str) -> None:
    """Erase every stored trace of an e-mail address; files go once the edit around this is kept.

    A letter that waits is not sent any more. Letters to others stay, whatever they say.
    """
    Letter.objects.filter(to__iexact=address).delete()
    whole = re.compile(rf"(?<![\w.+-]){re.escape(address)}(?![\w.-])", re.IGNORECASE)
    for session in Session.objects.iterator():
        if _mentions(session.get_decoded(), whole):
            session.delete()
    transaction.on_commit(partial(_forget_files, partial(_goes_to, address=address.lower())))


@transaction.atomic
def forget_letters_about(row: Model) -> None:
    """Erase the letters that were written about a row; those that wait are not sent any more."""
    about = about_of(row)
    Letter.objects.filter(about=about).delete()
    transaction.on_commit(partial(_forget_files, partial(_is_about, about=about)))


def _mentions(stored: Any, whole: re.Pattern[str]) -> bool:
    """Whether an address stands anywhere in what was stored."""
    if isinstance(stored, dict):
        return any(_mentions(part, whole) for pair in stored.items() for part in pair)
    if isinstance(stored, list):
        return any(_mentions(part, whole) for part in stored)
    return isinstance(stored, str) and whole.search(stored) is not None


def _forget_files(is_meant: Callable[[EmailMessage], bool]) -> None:
    """Delete files of the mail folder."""
    for path in Path(settings.MAIL_DIR).glob("*.eml"):
        if is_meant(email.message_from_bytes(path.read_bytes(), policy=email.policy.default)):
            path.unlink(missing_ok=True)


def _goes_to(parsed: EmailMessage, *, address: str) -> bool:
    """Whether an e-mail went to an address."""
    receivers = getaddresses([str(value) for value in parsed.get_all("To", [])])
    return any(receiver.lower() == address for _, receiver in receivers)


def _is_about(parsed: EmailMessage, *, about: str) -> bool:
    """Whether an e-mail was written about a row."""
    return str(parsed.get("Message-ID", "")).startswith(f"<{about}.")
