"""Photos: taken in by a process with limits, one after another, and stored in a few widths."""

import hashlib
import json
import threading
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from typing import IO, Any

from django.core.files.storage import default_storage

from catalogue.photos.pictures import CleanFile, CleanPhoto, PhotoRefused, check_weight
from catalogue.studio.limited_process import NoAnswerError, TookTooLongError, run_limited
from catalogue.studio.storage import keep_file

PHOTOS = "photos"  # the folder of photos of patterns
MEDIA_TYPES = {"jpg": "image/jpeg", "webp": "image/webp"}
CPU_SECONDS = 20
# The machine may have other things to do.
SECONDS = 60.0
# The largest pictures that are taken need 250.
MEMORY_MIB = 400
# Half of what serves pages: whoever sends pictures, the others go on.
MOST_WAITING = 4

_ONE_AT_A_TIME = threading.Lock()
_WAITING = threading.BoundedSemaphore(MOST_WAITING)


def clean_photo(upload: IO[bytes]) -> CleanPhoto:
    """Make the stored forms of an uploaded picture, in a process that is ended when it takes too much.

    Raises:
        PhotoRefused: It is no picture, or asks for too much; the text says so in one sentence.
    """
    check_weight(upload)
    content = upload.read()
    upload.seek(0)
    with _turn():
        return _read_answer(_ask(content))


@contextmanager
def _turn() -> Iterator[None]:
    """Wait for one's turn; where too many wait already, say so at once."""
    if not _WAITING.acquire(blocking=False):
        raise PhotoRefused("Many pictures are being processed right now: send this one again in a minute.")
    try:
        with _ONE_AT_A_TIME:
            yield
    finally:
        _WAITING.release()


def _ask(content: bytes) -> bytes:
    """What the process says to a picture; it knows nothing but the picture."""
    try:
        return run_limited(
            "catalogue.photos.picture_process",
            content,
            cpu_seconds=CPU_SECONDS,
            memory_mib=MEMORY_MIB,
            seconds=SECONDS,
        )
    except TookTooLongError:
        raise PhotoRefused(_TOO_LONG) from None
    except NoAnswerError:
        raise PhotoRefused(_NOT_NOW) from None


_TOO_LONG = "The picture takes too long to open: save it again as a plain JPEG and send that."
_NOT_NOW = "The picture could not be opened: send it again, or save it as a plain JPEG and send that."


def _read_answer(answer: bytes) -> CleanPhoto:
    """The photo from a line that tells of its files, and the files behind it."""
    line, _, rest = answer.partition(b"\n")
    told = json.loads(line)
    if "says" in told:
        raise PhotoRefused(told["says"])
    files, at = [], 0
    for size, name, width_px, height_px in told["files"]:
        files.append(CleanFile(name, width_px, height_px, rest[at : at + size]))
        at += size
    return CleanPhoto(told["width_px"], told["height_px"], told["digest"], tuple(files))


def picture_columns(clean: CleanPhoto, alt: str, caption: str) -> dict[str, Any]:
    """Store the files of a picture, and return what its row keeps of it."""
    return {
        "alt": alt,
        "caption": caption,
        "width_px": clean.width_px,
        "height_px": clean.height_px,
        "digest": clean.digest,
        "files": store_photo(clean),
    }


def store_photo(clean: CleanPhoto, *, folder: str = PHOTOS) -> list[dict[str, Any]]:
    """Write the files of a photo under names of our own; return what a row keeps of them.

    Where one can't be written, those that were new are taken away again.
    """
    kept = [_kept(clean.digest, one, folder) for one in clean.files]
    new = [row["name"] for row in kept if not default_storage.exists(row["name"])]
    try:
        for row, one in zip(kept, clean.files, strict=True):
            keep_file(row["name"], one.content)
    except BaseException:
        for name in new:
            with suppress(OSError):
                default_storage.delete(name)
        raise
    return kept


def remove_files(files: Iterable[dict[str, Any]]) -> None:
    """Take stored files away; the caller makes sure that no other photo uses them."""
    for one in files:
        default_storage.delete(one["name"])


def _kept(digest: str, one: CleanFile, folder: str) -> dict[str, Any]:
    """What a row keeps of a stored file; photos of older programs have no hash of each."""
    return {
        "sha256": hashlib.sha256(one.content).hexdigest(),
        "format": one.format,
        "width_px": one.width_px,
        "height_px": one.height_px,
        "name": f"{folder}/{digest[:2]}/{digest}-{one.width_px}.{one.format}",
    }
