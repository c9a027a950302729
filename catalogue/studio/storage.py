"""Files in the storage, known by their bytes, and what stands in its folders."""

import hashlib

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

UNFINISHED = ".unfinished"


def keep_file(name: str, content: bytes) -> None:
    """Store bytes under a name, in place of others.

    Whether they are there already is told from the bytes, not from the name: a name alone may be that of a
    file that was cut when the disk was full, or damaged since.
    """
    if not is_whole(name, hashlib.sha256(content).hexdigest()):
        default_storage.save(name, ContentFile(content))


def is_whole(name: str, sha256: str) -> bool:
    """Whether a file is there with the bytes that its hash tells of."""
    try:
        with default_storage.open(name) as stored:
            return hashlib.sha256(stored.read()).hexdigest() == sha256
    except OSError:
        return False


def listed(folder: str) -> tuple[list[str], list[str]]:
    """The folders and the files in a folder of the storage; none where there is no such folder."""
    try:
        return default_storage.listdir(folder)
    except FileNotFoundError:
        return [], []
