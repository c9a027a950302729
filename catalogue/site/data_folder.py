"""The folder of all local data: made, and kept, for its owner's eyes alone."""

import os
import stat
from collections.abc import Iterable
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured

OTHERS = 0o077
DAMAGED = ("not a database", "malformed", "disk image")
OURS = ("secret_key", "studio.sqlite3", "files", "mails", "running.lock")


def open_data_folder(folder: Path) -> None:
    """Make the data folder for its owner alone, and everything after it too."""
    os.umask(OTHERS)
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not os.access(folder, os.W_OK | os.X_OK):
            raise PermissionError(None, "it can only be read")
    except OSError as problem:
        raise ImproperlyConfigured(
            f"The data folder {folder} can't be used ({problem.strerror or problem}): see that it may be "
            "written to, or choose another with EVENROW_DATA."
        ) from None


def holds_a_studio(folder: Path) -> bool:
    """Whether a folder that was there is a studio's, so that its rights are ours to change."""
    return any((folder / name).exists() for name in OURS)


def keep_to_owner(paths: Iterable[Path]) -> None:
    """Take from others what they may do with files and folders of ours that were made with wider rights.

    A folder that everybody shares, such as /tmp, is left alone, and so is what belongs to somebody else.
    """
    for path in paths:
        if not path.exists():
            continue
        found = path.stat()
        is_shared = stat.S_ISDIR(found.st_mode) and bool(found.st_mode & stat.S_ISVTX)
        if found.st_mode & OTHERS and found.st_uid == os.geteuid() and not is_shared:
            path.chmod(stat.S_IMODE(found.st_mode) & ~OTHERS)


def database_trouble(problem: Exception) -> str:
    """Why the database can't be used, and what to do, in one line."""
    reason = " ".join(str(problem).split())
    database = settings.DATABASES["default"]
    if database["ENGINE"] != "django.db.backends.sqlite3":
        says = f"The database that DATABASE_URL names does not answer ({reason})"
        return f"{says}: start it, or correct the variable."
    if any(words in reason for words in DAMAGED):
        return (
            f"The database {database['NAME']} is damaged ({reason}). Move it and its -wal file to another "
            "folder, then restore the last backup: python3 manage.py restore FILE --replace"
        )
    if "no such table" in reason:
        return f"The database {database['NAME']} has no studio yet: open one with python3 manage.py start."
    return f"The database {database['NAME']} can't be used ({reason}): see that its folder may be written to."


def database_files(name: str) -> list[Path]:
    """The files of an SQLite database: itself, its write-ahead log and what belongs to them."""
    return [Path(f"{name}{end}") for end in ("", "-wal", "-shm", "-journal")]
