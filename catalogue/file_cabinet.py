"""The files of editions in the storage: named after their bytes, written whole or not at all."""

import contextlib
import hashlib
import os
import tempfile
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from catalogue.models import Edition
from catalogue.out_of_reach import told_of

FOLDER = "editions"
UNFINISHED = ".unfinished"
LEFTOVER_AFTER = timedelta(days=1)


def keep_pdf(content: bytes, sha256: str) -> str:
    """Store a file under the hash of its bytes; what stands there already is not written again.

    On a disk: a temporary name, flushed to the disk, then renamed, so that a name always has all its bytes.
    """
    name = f"{FOLDER}/{sha256}.pdf"
    if is_whole(name, sha256):
        return name
    try:
        path = Path(default_storage.path(name))
    except NotImplementedError:  # a storage elsewhere shows a file once it has all of it
        default_storage.delete(name)
        return str(default_storage.save(name, ContentFile(content)))
    with told_of(path.parent):
        path.parent.mkdir(parents=True, exist_ok=True)
        _write_whole(path, content)
    return name


def is_whole(name: str, sha256: str) -> bool:
    """Whether a file is there with the bytes that its hash tells of."""
    try:
        with default_storage.open(name) as stored:
            return hashlib.sha256(stored.read()).hexdigest() == sha256
    except OSError:
        return False


def sweep_files() -> int:
    """Take away files that no edition has, once they are too old to belong to one under way."""
    leftovers = list(leftover_files())
    for name in leftovers:
        default_storage.delete(name)
    return len(leftovers)


def leftover_files() -> Iterator[str]:
    """Names of files that no edition has and that nobody is writing any more."""
    known = set(Edition.objects.values_list("file", flat=True))
    before = timezone.now() - LEFTOVER_AFTER
    for name in (f"{FOLDER}/{one}" for one in listed(FOLDER)[1]):
        with contextlib.suppress(FileNotFoundError):
            if name not in known and default_storage.get_modified_time(name) < before:
                yield name


def listed(folder: str) -> tuple[list[str], list[str]]:
    """The folders and the files in a folder of the storage; none where there is no such folder."""
    try:
        return default_storage.listdir(folder)
    except FileNotFoundError:
        return [], []


def _write_whole(path: Path, content: bytes) -> None:
    """Temporary name, flush, rename, flush of the folder; whatever goes wrong leaves nothing."""
    handle, unfinished = tempfile.mkstemp(dir=path.parent, suffix=UNFINISHED)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(unfinished).chmod(0o644)
        Path(unfinished).replace(path)
    except BaseException:
        Path(unfinished).unlink(missing_ok=True)
        raise
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
