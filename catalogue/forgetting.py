"""Forgetting an address: stored e-mails, tasks that carry it, files of the mail folder, sessions."""

import email
import email.policy
from collections.abc import Iterable
from email.utils import getaddresses
from functools import partial
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.sessions.models import Session
from django.db import transaction
from django_tasks_db.models import DBTaskResult


@transaction.atomic
def forget_address(address: str) -> None:
    """Erase every stored trace of an e-mail address; files go once the edit around this is kept."""
    wanted = address.lower()
    tasks = DBTaskResult.objects.iterator()
    _delete_tasks(task.pk for task in tasks if _mentions(task.args_kwargs, wanted))
    for session in Session.objects.iterator():
        if _mentions(session.get_decoded(), wanted):
            session.delete()
    transaction.on_commit(partial(_forget_files, wanted))


def _delete_tasks(keys: Iterable[Any]) -> None:
    """Delete tasks whatever their state: an e-mail that waits is not sent any more."""
    DBTaskResult.objects.filter(pk__in=list(keys)).delete()


def _mentions(stored: Any, wanted: str) -> bool:
    """Whether an address stands anywhere in what was stored."""
    if isinstance(stored, dict):
        return any(_mentions(part, wanted) for pair in stored.items() for part in pair)
    if isinstance(stored, list):
        return any(_mentions(part, wanted) for part in stored)
    return isinstance(stored, str) and wanted in stored.lower()


def _forget_files(wanted: str) -> None:
    """Delete the files of the mail folder that went to an address."""
    for path in Path(settings.MAIL_DIR).glob("*.eml"):
        parsed = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
        receivers = getaddresses([str(value) for value in parsed.get_all("To", [])])
        if any(receiver.lower() == wanted for _, receiver in receivers):
            path.unlink(missing_ok=True)
