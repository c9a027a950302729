"""Photos of patterns: added, put in order, taken out, frozen, and who may see which file."""

import logging
from collections.abc import Sequence
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.db import transaction
from django.db.models import Max

from catalogue.drafts.edits import hold_draft
from catalogue.models import FrozenPhoto, HelpPicture, Pattern, Person, Photo, StitchPicture, Swatch, Version
from catalogue.photos.intake import picture_columns, remove_files
from catalogue.photos.pictures import CleanPhoto
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.roles import is_studio, opened_patterns
from catalogue.versions.frozen_helps import record_pictures
from catalogue.versions.records import Record

logger = logging.getLogger(__name__)

# All whose rows keep files of the studio's pictures.
PictureRow = Photo | FrozenPhoto | Swatch | HelpPicture | StitchPicture
PICTURE_ROWS: tuple[type[PictureRow], ...] = (Photo, FrozenPhoto, Swatch, HelpPicture, StitchPicture)
# Those of them that need no right but the address, which nobody can guess.
SHOWN_ROWS: tuple[type[PictureRow], ...] = (HelpPicture, StitchPicture)


def add_photos(*, pattern: Pattern, photos: Sequence[tuple[CleanPhoto, str]], caption: str) -> list[Photo]:
    """Store new photos behind those that are there."""
    with transaction.atomic():
        hold_draft(pattern)
        last = pattern.photos.aggregate(last=Max("position"))["last"] or 0
        return [
            Photo.objects.create(
                pattern=pattern,
                position=last + number,
                **picture_columns(clean, alt, caption),
            )
            for number, (clean, alt) in enumerate(photos, 1)
        ]


@transaction.atomic
def describe_photo(*, photo: Photo, alt: str, caption: str) -> None:
    """Give a photo other words."""
    hold_draft(photo.pattern)
    Photo.objects.filter(pk=photo.pk).update(alt=alt, caption=caption)


def put_first(*, photo: Photo) -> None:
    """Put a photo before all others; positions start at 1 and leave room."""
    with transaction.atomic():
        hold_draft(photo.pattern)
        others = list(photo.pattern.photos.exclude(pk=photo.pk))
        for position, one in enumerate([photo, *others], 1):
            one.position = position
        Photo.objects.bulk_update([photo, *others], ("position",))


def delete_photo(*, photo: Photo) -> None:
    """Take a photo out; its files stay where another photo or a version has them."""
    digest, files = photo.digest, photo.files
    with transaction.atomic():
        hold_draft(photo.pattern)  # nobody freezes it meanwhile
        photo.delete()
        remove_unused(digest, files)


def remove_unused(digest: str, files: list[dict[str, Any]]) -> None:
    """Take the files of a picture away once a deletion holds, unless another row has them."""
    in_use = any(model.objects.filter(digest=digest).exists() for model in PICTURE_ROWS)
    if digest and not in_use:
        transaction.on_commit(lambda: _remove_if_possible(files))


def _remove_if_possible(files: list[dict[str, Any]]) -> None:
    """Take the files of a photo away that is out already; those that can't be are named in the log."""
    try:
        remove_files(files)
    except FilesOutOfReach as problem:
        names = ", ".join(one["name"] for one in files)
        logger.error("Files of a photo that was taken out are still there: %s (%s).", problem.why, names)  # noqa: TRY400


def freeze_photos(*, version: Version, record: Record) -> None:
    """Hold the files of all pictures that a version was frozen with."""
    files = {photo["digest"]: photo["files"] for photo in record_pictures(record)}
    FrozenPhoto.objects.bulk_create(
        FrozenPhoto(version=version, digest=digest, files=kept) for digest, kept in files.items()
    )


def photos_of(record: Record) -> list[Photo]:
    """The photos of a version as they were frozen, ready to be shown; the draft may have others."""
    return [Photo(**photo) for photo in record["photos"]]


def find_file(person: Person | AnonymousUser, name: str) -> tuple[dict[str, Any], bool] | None:
    """A photo's file by its name, and whether everybody may see it; None if this person may not."""
    digest, _, _ = name.partition("-")
    if len(digest) != 64:
        return None
    frozen = FrozenPhoto.objects.filter(digest=digest)
    released = frozen.filter(version__kind="release", version__state="published").first()
    kept: PictureRow | None = released
    if kept is None:  # whoever has the short address of a help sees its page, testers see special stitches
        kept = _first_row(SHOWN_ROWS, digest)
    if kept is None and is_studio(person):
        kept = _first_row(PICTURE_ROWS, digest)
    if kept is None and (keys := opened_patterns(person).values()):
        rows = (
            Photo.objects.filter(pattern__in=keys),
            FrozenPhoto.objects.filter(version__pattern__in=keys),
            Swatch.objects.filter(pattern__in=keys),
        )
        kept = next((row for found in rows if (row := found.filter(digest=digest).first())), None)
    files = kept.files if kept else []
    found = next((one for one in files if str(one["name"]).rpartition("/")[2] == name), None)
    return (found, released is not None) if found else None


def _first_row(rows: tuple[type[PictureRow], ...], digest: str) -> PictureRow | None:
    """The first row that keeps a picture."""
    found = (model.objects.filter(digest=digest).first() for model in rows)
    return next((one for one in found if one is not None), None)
