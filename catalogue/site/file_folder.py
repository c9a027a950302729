"""Files in the data folder; what goes wrong there is told with the folder and what to do."""

from datetime import datetime
from pathlib import Path

from django.core.files import File
from django.core.files.storage import FileSystemStorage

from catalogue.out_of_reach import told_of


class FileFolder(FileSystemStorage):
    """The folder of files."""

    def _open(self, name: str, mode: str = "rb") -> File[bytes]:
        with told_of(Path(self.location)):
            found: File[bytes] = super()._open(name, mode)  # type: ignore[misc]
            return found

    def _save(self, name: str, content: File[bytes]) -> str:
        with told_of(Path(self.location)):
            return str(super()._save(name, content))  # type: ignore[misc]

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
