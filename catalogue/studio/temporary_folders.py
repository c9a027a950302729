"""Folders of ours in the temporary files: held while somebody uses them, swept afterwards.

They hold records that are not published yet, or files of a studio that a backup takes the place of. Who
makes one keeps it locked for as long as it lives, so that one of a process that was killed is known by its
open lock.
"""

import fcntl
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from catalogue.studio.out_of_reach import told_of

RENDERING, RESTORING = "evenrow-press-", "evenrow-restore-"


@dataclass(frozen=True)
class HeldFolder:
    """A folder and the descriptor that holds its lock."""

    path: Path
    lock: int

    def remove(self) -> None:
        """Take the folder away with all that is in it."""
        shutil.rmtree(self.path, ignore_errors=True)
        os.close(self.lock)


def make_folder(prefix: str) -> HeldFolder:
    """A new folder that nobody sweeps while this process lives.

    Raises:
        OSError: There is no room for it.
    """
    while True:
        path = Path(tempfile.mkdtemp(prefix=prefix))
        with suppress(FileNotFoundError):
            lock = os.open(path, os.O_RDONLY | os.O_DIRECTORY)
            fcntl.flock(lock, fcntl.LOCK_EX)
            if path.exists():
                return HeldFolder(path, lock)
            os.close(lock)  # swept before it was held


@contextmanager
def held_folder(prefix: str) -> Iterator[Path]:
    """A folder that is gone afterwards."""
    folder = make_folder(prefix)
    try:
        yield folder.path
    finally:
        folder.remove()


def sweep_folders() -> int:
    """Take away the folders of processes that ended without doing so; return how many.

    Raises:
        FilesOutOfReach: One can't be taken away.
    """
    place = Path(tempfile.gettempdir())
    with told_of(place):
        return sum(_sweep(path) for prefix in (RENDERING, RESTORING) for path in place.glob(f"{prefix}*"))


def _sweep(path: Path) -> bool:
    """Take a folder of ours away that nobody holds; say whether."""
    try:
        lock = os.open(path, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW)
    except OSError:  # no folder, gone meanwhile, or somebody else's
        return False
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if os.fstat(lock).st_uid != os.geteuid():
            return False
        shutil.rmtree(path)
    except BlockingIOError:
        return False
    except FileNotFoundError:  # somebody sweeps too
        return False
    finally:
        os.close(lock)
    return True
