"""Files in the storage, known by their bytes; those of editions are named after them."""

import contextlib
import hashlib
from collections.abc import Iterator
from datetime import timedelta

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from catalogue.models import Edition

FOLDER = "editions"
UNFINISHED = ".unfinished"
LEFTOVER_AFTER = timedelta(days=1)


def keep_pdf(content: bytes, sha256: str) -> str:
    """Store a file under the hash of its bytes; what stands there already is not written again."""
    name = f"{FOLDER}/{sha256}.pdf"
    keep_file(name, content)
    return name


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
