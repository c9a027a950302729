"""The folder of all local data: made, and kept, for its owner's eyes alone."""

import os
import stat
from collections.abc import Iterable
from pathlib import Path

OTHERS = 0o077
OURS = ("secret_key", "studio.sqlite3", "files", "mails", "running.lock")


def open_data_folder(folder: Path) -> None:
    """Make the data folder for its owner alone, and everything after it too."""
    os.umask(OTHERS)
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)


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


def database_files(name: str) -> list[Path]:
    """The files of an SQLite database: itself, its write-ahead log and what belongs to them."""
    return [Path(f"{name}{end}") for end in ("", "-wal", "-shm", "-journal")]
