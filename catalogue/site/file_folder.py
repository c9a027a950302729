"""Files in the data folder, written whole or not at all; what goes wrong is told, and what to do."""

import os
import secrets
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from django.core.files import File
from django.core.files.storage import FileSystemStorage

from catalogue.studio.out_of_reach import told_of
from catalogue.studio.storage import UNFINISHED


class FileFolder(FileSystemStorage):
    """The folder of files."""

    def _open(self, name: str, mode: str = "rb") -> File[bytes]:
        with told_of(Path(self.location)):
            found: File[bytes] = super()._open(name, mode)  # type: ignore[misc]
            return found

    def _save(self, name: str, content: File[bytes]) -> str:
        """A temporary name, flushed to the disk, then renamed: a name always has all its bytes."""
        unfinished = f"{name}.{secrets.token_hex(4)}{UNFINISHED}"
        path = Path(self.path(name))
        with told_of(Path(self.location)):
            try:
                super()._save(unfinished, content)  # type: ignore[misc]
                _flush(self.path(unfinished))
                Path(self.path(unfinished)).replace(path)
            except BaseException:
                with suppress(OSError):
                    Path(self.path(unfinished)).unlink()
                raise
            _flush(path.parent)
        return name

    def delete(self, name: str) -> None:
        """Take a file away; one that is gone already is fine."""
        with told_of(Path(self.location)):
            super().delete(name)

    def listdir(self, path: str) -> tuple[list[str], list[str]]:
        """The folders and files in a folder."""
        with told_of(Path(self.location)):
            return super().listdir(path)

    def size(self, name: str) -> int:
        """How many bytes a file has."""
        with told_of(Path(self.location)):
            return super().size(name)

    def get_modified_time(self, name: str) -> datetime:
        """When a file was last written."""
        with told_of(Path(self.location)):
            return super().get_modified_time(name)


def _flush(path: str | Path) -> None:
    """Have a file, or the names in a folder, on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
