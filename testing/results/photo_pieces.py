"""Photos that come in pieces: a slow line loses nothing, and what has come is never sent again."""

import datetime as dt
import io

from django.db import transaction
from django.utils import timezone

from catalogue.photos.pictures import MOST_BYTES, PhotoRefused
from testing.models import PhotoPiece, Placement, ResultPhoto

MOST_PIECE_BYTES = 262_144
MOST_AT_ONCE = 20  # photos of one place that are still being sent
KEPT_DAYS = 7
LONGEST_KEY = 40


def bytes_have(placement: Placement, key: str) -> int:
    """How much of a photo has come, from its beginning and without a gap."""
    last = PhotoPiece.objects.filter(placement=placement, key=key).order_by("at").last()
    return last.at + last.size_bytes if last else 0


@transaction.atomic
def keep_piece(*, placement: Placement, key: str, at: int, content: bytes) -> int:
    """Keep the next piece and say how much has come; one that is not the next changes nothing.

    Raises:
        PhotoRefused: The photo is too heavy, or too many are being sent.
    """
    Placement.objects.select_for_update().get(pk=placement.pk)
    have = bytes_have(placement, key)
    if at != have or not 0 < len(content) <= MOST_PIECE_BYTES:
        return have
    if have + len(content) > MOST_BYTES:
        raise PhotoRefused(
            f"The file is larger than {MOST_BYTES // 1024**2} MB: save the picture smaller and send it again."
        )
    others = PhotoPiece.objects.filter(placement=placement).exclude(key=key)
    if not have and others.values("key").distinct().count() >= MOST_AT_ONCE:
        raise PhotoRefused("Many photos are being sent already: send this one when they have arrived.")
    PhotoPiece.objects.create(placement=placement, key=key, at=at, size_bytes=len(content), content=content)
    return have + len(content)


def whole_photo(placement: Placement, key: str) -> io.BytesIO | None:
    """The photo as far as it has come; None where nothing has."""
    pieces = PhotoPiece.objects.filter(placement=placement, key=key).order_by("at")
    content = b"".join(bytes(piece.content) for piece in pieces)
    return io.BytesIO(content) if content else None


def drop_pieces(*, placement: Placement, key: str) -> None:
    """Forget the pieces of a photo that is kept whole, or was refused."""
    PhotoPiece.objects.filter(placement=placement, key=key).delete()


def arrived_before(placement: Placement, key: str) -> bool:
    """Whether a photo is kept already, so that its receipt was lost."""
    photos = ResultPhoto.objects.filter(result__placement=placement, upload_key=key)
    return bool(key) and photos.exists()


def sweep_pieces() -> int:
    """Take away pieces of photos that were not sent on for days; return how many those were."""
    before = timezone.now() - dt.timedelta(days=KEPT_DAYS)
    young = PhotoPiece.objects.filter(sent_at__gte=before).values("key")
    return PhotoPiece.objects.filter(sent_at__lt=before).exclude(key__in=young).delete()[0]
