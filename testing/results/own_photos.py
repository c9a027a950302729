"""A tester's own photos: sent, replaced, deleted; each cleaned before it is kept."""

from functools import partial

from django.db import transaction

from catalogue.photos.intake import remove_files, store_photo
from catalogue.photos.pictures import CleanPhoto
from testing.models import Placement, Result, ResultPhoto
from testing.results.results import PICTURES, begin_result, only_writer

MOST_PHOTOS = 20


class TooManyPhotos(ValueError):
    """A tester has sent as many pictures as a result keeps."""


class SentAlready(ValueError):
    """The same picture is among those that were sent."""


@transaction.atomic
def add_photo(*, placement: Placement, photo: CleanPhoto, alt: str, upload_key: str = "") -> ResultPhoto:
    """Keep a cleaned picture; the same one sent again is kept once."""
    result = only_writer(begin_result(placement=placement))
    before = result.photos.filter(digest=photo.digest).first()
    if before is None and result.photos.count() >= MOST_PHOTOS:
        raise TooManyPhotos
    files = store_photo(photo, folder=f"{PICTURES}/{result.pk}")
    if before:  # its files may have been lost or cut
        before.files, before.upload_key = files, upload_key or before.upload_key
        before.save(update_fields=["files", "upload_key"])
        return before
    return ResultPhoto.objects.create(
        result=result,
        alt=alt,
        width_px=photo.width_px,
        height_px=photo.height_px,
        digest=photo.digest,
        files=files,
        upload_key=upload_key,
    )


@transaction.atomic
def change_photo(
    *, photo: ResultPhoto, alt: str, picture: CleanPhoto | None = None, upload_key: str = ""
) -> None:
    """Say otherwise what a photo shows, or put another picture in its place; consents hold for that too.

    Raises:
        SentAlready: That picture is another of the same garment.
    """
    result = only_writer(Result.objects.get(pk=photo.result_id))
    photo = result.photos.get(pk=photo.pk)
    photo.alt = alt
    if picture and picture.digest != photo.digest:
        if result.photos.filter(digest=picture.digest).exists():
            raise SentAlready
        transaction.on_commit(partial(remove_files, photo.files), robust=True)
        photo.files = store_photo(picture, folder=f"{PICTURES}/{result.pk}")
        photo.width_px, photo.height_px, photo.digest = picture.width_px, picture.height_px, picture.digest
    photo.upload_key = upload_key or photo.upload_key
    photo.save()


@transaction.atomic
def delete_photo(*, photo: ResultPhoto) -> None:
    """Take a photo back, with its files; should they not be in reach, they are swept later."""
    only_writer(Result.objects.get(pk=photo.result_id))
    transaction.on_commit(partial(remove_files, photo.files), robust=True)
    ResultPhoto.objects.filter(pk=photo.pk).delete()
