"""The journal of a batch of letters: one line for each, written at once, read again after a kill."""

import os
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Self

from django.conf import settings

Noted = dict[int, tuple[str, str]]


class Journal:
    """An open journal. Each note is a single write: it is there whole, or not at all."""

    def __init__(self, batch: str) -> None:
        path = _path(batch)
        path.parent.mkdir(parents=True, exist_ok=True)
        self.file = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)

    def note(self, number: int, sign: str, says: str = "") -> None:
        """Write what became of a letter."""
        words = " ".join(says.split())
        os.write(self.file, f"{number}\t{sign}\t{words}\n".encode())

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        os.close(self.file)


def read_journal(batch: str) -> Noted:
    """What is noted of each letter; what was noted last counts."""
    noted: Noted = {}
    with suppress(FileNotFoundError):
        for line in _path(batch).read_text(errors="replace").splitlines():
            number, sign, says = line.split("\t", 2)
            noted[int(number)] = (sign, says)
    return noted


def remove_journal(batch: str) -> None:
    """Throw a journal away once the database knows all of it."""
    _path(batch).unlink(missing_ok=True)


def _path(batch: str) -> Path:
    """Where a batch's journal is."""
    return Path(settings.DATA_DIR) / "notices" / f"{batch}.journal"
