"""Pictures that no result has any more: sent in while it was erased, or left by a kill in between."""

from collections.abc import Iterator
from contextlib import suppress
from datetime import datetime, timedelta

from django.core.files.storage import default_storage
from django.utils import timezone

from catalogue.file_cabinet import listed
from testing.models import ResultPhoto
from testing.results import PICTURES

# Younger ones may belong to a result that is being saved.
LEFTOVER_AFTER = timedelta(hours=1)


def sweep_pictures() -> int:
    """Take away the pictures of results that have none; return how many files that were."""
    before, count = timezone.now() - LEFTOVER_AFTER, 0
    for folder in _folders_of_nobody():
        count += sum(_sweep(name, before) for name in _files_below(folder))
        _remove_empty(folder)
    return count


def _folders_of_nobody() -> Iterator[str]:
    """The folders of results that have no picture, or are gone."""
    found = set(listed(PICTURES)[0])
    kept = {str(key) for key in ResultPhoto.objects.values_list("result", flat=True).distinct()}
    return (f"{PICTURES}/{key}" for key in sorted(found - kept))


def _files_below(folder: str) -> Iterator[str]:
    """The names of all files in a folder and in those within."""
    folders, files = listed(folder)
    yield from (f"{folder}/{name}" for name in files)
    for name in folders:
        yield from _files_below(f"{folder}/{name}")


def _sweep(name: str, before: datetime) -> bool:
    """Take a file away unless it is young; say whether."""
    with suppress(FileNotFoundError):
        if default_storage.get_modified_time(name) < before:
            default_storage.delete(name)
            return True
    return False


def _remove_empty(folder: str) -> None:
    """Take away a folder on a disk with the empty ones in it; one with a young file stays."""
    for name in listed(folder)[0]:
        _remove_empty(f"{folder}/{name}")
    if not any(listed(folder)):
        default_storage.delete(folder)
