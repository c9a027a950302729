"""Whether the studio runs as it should: what is wrong in words, and what to do about it.

Queue, letters and chores are the same for all machines; disk and last backup are those of this one.
"""

import http.client
import json
import shutil
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from catalogue.models import FailedChore, Studio, Version
from catalogue.studio.letters import letters_in_state
from catalogue.studio.public_address import public_address
from catalogue.studio.task_queue import Queue

ALIVE = "evenrow is alive"
# What each task is called by its function.
TASK_WORDS = {
    "check_all_links": "Links of helps and shops, looked up",
    "make_editions_of": "PDFs of a version",
    "refresh_assessment": "What the results of a call say",
    "send_batch": "E-mails of a notice",
    "send_letters": "E-mails",
}
LAST_BACKUP = "last-backup.json"
BACKUP_EACH = timedelta(days=7)
# Room for some hundred PDFs and the database's own files; below it the studio soon stops taking anything.
LEAST_FREE_BYTES = 1024**3
LEAST_FREE_SHARE = 0.05
ANSWER_SECONDS = 5


@dataclass(frozen=True)
class Trouble:
    """What is wrong, what to do first, and where; the last is the name of a page."""

    says: str
    do: str
    page: str = ""


def troubles(queue: Queue) -> list[Trouble]:
    """All that is wrong, what hurts most first."""
    return [*_of_worker(queue), *_of_disk(), *_of_mail(), *_of_backup(), *_of_address(), *_of_chores()]


def note_backup() -> None:
    """Note that a backup was written just now, for the page that tells when it becomes old."""
    path = Path(settings.DATA_DIR) / LAST_BACKUP
    unfinished = path.with_suffix(".new")
    with suppress(OSError):  # the backup is there all the same
        unfinished.write_text(json.dumps({"made_at": timezone.now().isoformat()}))
        unfinished.replace(path)


def last_backup() -> datetime | None:
    """When the last backup was written on this machine; None where that is not known."""
    try:
        noted = json.loads((Path(settings.DATA_DIR) / LAST_BACKUP).read_text())
        return datetime.fromisoformat(noted["made_at"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def try_address(address: str) -> str:
    """Ask for the studio at its own address; why it can't be reached from here, empty where it can."""
    if not address.startswith(("http://", "https://")):
        return "it does not begin with http:// or https://"
    asked = urllib.request.Request(f"{address.rstrip('/')}/health/")  # noqa: S310 checked above
    try:
        with urllib.request.urlopen(asked, timeout=ANSWER_SECONDS) as answer:  # noqa: S310
            said = answer.read(200).decode(errors="replace")
    except urllib.error.HTTPError as problem:
        return f"something answers there, but with the error {problem.code}"
    except http.client.InvalidURL:
        return "there is a blank or another sign in it that no address has"
    except http.client.HTTPException:
        return "something answers there, but no web server"
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "reason", problem)
        return f"nothing answers there ({getattr(reason, 'strerror', None) or type(reason).__name__})"
    return "" if ALIVE in said else "something else than Evenrow answers there"


def _of_worker(queue: Queue) -> Iterator[Trouble]:
    """A worker that takes nothing, and tasks that were given up."""
    if queue.is_asleep:
        yield Trouble(
            "The worker is asleep: work has waited for more than ten minutes, and nobody takes it",
            "Restart the worker. PDFs and e-mails wait until then; nothing is lost",
        )
    if queue.failed:
        number = len(queue.failed)
        yield Trouble(
            "1 task failed" if number == 1 else f"{number} tasks failed",
            "Read below why, then start it again" if number == 1 else "Read below why, then start them again",
        )


def _of_disk() -> Iterator[Trouble]:
    """A disk that is nearly full."""
    try:
        disk = shutil.disk_usage(settings.DATA_DIR)
    except OSError as problem:
        yield Trouble(
            f"The data folder can’t be looked at ({problem.strerror or 'no reason given'})",
            "See that its disk is there",
        )
        return
    if disk.free < min(LEAST_FREE_BYTES, disk.total * LEAST_FREE_SHARE):
        yield Trouble(
            f"The disk is nearly full: {disk.free // 1024**2:,} MB are left",
            "Make room, or move the data folder to a larger disk. Old backups are the first to go elsewhere",
        )


def _of_mail() -> Iterator[Trouble]:
    """E-mails that the mail server refused."""
    number = letters_in_state("failed").count()
    if number:
        yield Trouble(
            "The mail server refused 1 e-mail"
            if number == 1
            else f"The mail server refused {number} e-mails",
            "Look under Mails what it said, put that right, then send again",
            "mails",
        )


def _of_backup() -> Iterator[Trouble]:
    """A backup that is old, or was never made, once there is something to lose."""
    made_at = last_backup()
    if made_at and timezone.now() - made_at > BACKUP_EACH:
        days = (timezone.now() - made_at).days
        yield Trouble(
            f"The last backup on this machine is {days} days old",
            "Make one: python3 manage.py backup studio.zip. Keep it on another machine",
        )
    elif made_at is None and Version.objects.exists():
        yield Trouble(
            "No backup was made on this machine yet",
            "Make one: python3 manage.py backup studio.zip. Keep it on another machine",
        )


def _of_address() -> Iterator[Trouble]:
    """An address that only this machine can open."""
    if not public_address() and Version.objects.filter(kind="release").exists() and Studio.objects.exists():
        yield Trouble(
            "The studio has no address that others can open, so PDFs and e-mails can’t lead to it",
            "Type it under Studio",
            "studio_settings",
        )


def _of_chores() -> Iterator[Trouble]:
    """Chores that fail."""
    for chore in FailedChore.objects.all():
        yield Trouble(f"{chore.undone}: {chore.why}", "It is tried again every few minutes")
