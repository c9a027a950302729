"""Files in the storage, known by their bytes; those of editions are named after them."""

import contextlib
from collections.abc import Iterator
from datetime import timedelta

from django.core.files.storage import default_storage
from django.utils import timezone

from catalogue.models import Edition
from catalogue.studio.storage import keep_file, listed

FOLDER = "editions"
LEFTOVER_AFTER = timedelta(days=1)


def keep_pdf(content: bytes, sha256: str) -> str:
    """Store a file under the hash of its bytes; what stands there already is not written again."""
    name = f"{FOLDER}/{sha256}.pdf"
    keep_file(name, content)
    return name


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
