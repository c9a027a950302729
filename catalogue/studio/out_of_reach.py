"""Files out of reach: the folder or the object store can't be used, told with its place and what to do."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

# For those whose files these are not to mend: testers, applicants, visitors.
TOLD_OUTSIDE = "The studio's files can't be reached just now: try again later."

_WHY = {
    errno.EROFS: "the folder {folder} is read-only; let it be written to",
    errno.EACCES: "the folder {folder} may not be used; let the user that runs Evenrow write there",
    errno.ENOSPC: "the disk of {folder} is full; make room there",
}
_WHY[errno.EPERM], _WHY[errno.EDQUOT] = _WHY[errno.EACCES], _WHY[errno.ENOSPC]
_WHY_ELSE = "the folder {folder} can't be used ({error}); see that its disk is there and sound"


class FilesOutOfReach(OSError):
    """Files can't be read, written or removed; its text tells the studio where, why and what to do."""

    def __init__(self, why: str) -> None:
        super().__init__(errno.EIO, why)

    def __str__(self) -> str:
        return f"{self.why[0].upper()}{self.why[1:]}."

    @property
    def why(self) -> str:
        """The sentence as a part of another: without its capital and full stop."""
        return str(self.strerror)


@contextmanager
def told_of(folder: Path) -> Iterator[None]:
    """Tell what goes wrong in a folder by its name; a single file that is not there stays just that.

    Raises:
        FilesOutOfReach: The folder can't be used.
    """
    try:
        yield
    except (FileNotFoundError, IsADirectoryError, FilesOutOfReach):
        raise
    except OSError as problem:
        why = _WHY.get(problem.errno or 0, _WHY_ELSE)
        raise FilesOutOfReach(why.format(folder=folder, error=problem.strerror or problem)) from problem
