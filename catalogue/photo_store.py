"""Photos of patterns: added, put in order, taken out, and who may see which file."""

from collections.abc import Sequence
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db import transaction
from django.db.models import Max, QuerySet

from catalogue.models import Pattern, Person, Photo, Version
from catalogue.photos import CleanPhoto, remove_files, store_photo
from catalogue.roles import is_studio


def add_photos(*, pattern: Pattern, photos: Sequence[tuple[CleanPhoto, str]], caption: str) -> list[Photo]:
    """Store new photos behind those that are there."""
    with transaction.atomic():
        last = pattern.photos.aggregate(last=Max("position"))["last"] or 0
        return [
            Photo.objects.create(
                pattern=pattern,
                position=last + number,
                alt=alt,
                caption=caption,
                width_px=clean.width_px,
                height_px=clean.height_px,
                digest=clean.digest,
                files=store_photo(clean),
            )
            for number, (clean, alt) in enumerate(photos, 1)
        ]


def put_first(*, photo: Photo) -> None:
    """Put a photo before all others; positions start at 1 and leave room."""
    with transaction.atomic():
        others = list(photo.pattern.photos.exclude(pk=photo.pk))
        for position, one in enumerate([photo, *others], 1):
            one.position = position
        Photo.objects.bulk_update([photo, *others], ("position",))


def delete_photo(*, photo: Photo) -> None:
    """Take a photo out; its files stay where another photo or a version has them."""
    digest, files = photo.digest, photo.files
    with transaction.atomic():
        photo.delete()
        in_use = Photo.objects.filter(digest=digest).exists() or _is_frozen(digest)
        if not in_use:
            transaction.on_commit(lambda: remove_files(files))


def find_file(person: Person | AnonymousUser, name: str) -> tuple[dict[str, Any], bool] | None:
    """A photo's file by its name, and whether everybody may see it; None if this person may not."""
    digest, _, _ = name.partition("-")
    photo = Photo.objects.filter(digest=digest).first() if len(digest) == 64 else None
    if photo is None:
        return None
    is_public = _released().filter(pattern__photos__digest=digest).exists()
    found = next((one for one in photo.files if str(one["name"]).rpartition("/")[2] == name), None)
    return (found, is_public) if found and (is_public or is_studio(person)) else None


def _released() -> QuerySet[Version]:
    """All releases."""
    return Version.objects.filter(kind="release", state="published")


def _is_frozen(digest: str) -> bool:
    """Whether a version holds a photo."""
    return Version.objects.filter(record__contains=digest).exists()
