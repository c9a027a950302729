"""Pictures as people send them: checked, turned upright, stripped of all that is not the picture.

Nothing but Pillow is needed here: a picture of a stranger is unpacked in a process of its own
(`catalogue.photos.picture_process`), which starts within a blink and is ended when it takes too much.
"""

import hashlib
import io
import re
import struct
import warnings
from dataclasses import dataclass
from typing import IO, Any

from PIL import ExifTags, Image, ImageCms, ImageFile, ImageOps

MOST_BYTES = 20 * 1024 * 1024
MOST_PIXELS = 40_000_000
# Its decoder holds the whole picture several times, 16 bytes a pixel; phones take pictures of 12 megapixels.
MOST_WEBP_PIXELS = 13_000_000
LONGEST_SIDE_PX = 20_000
MOST_FILES = 10
# Common practice: a progressive JPEG has about ten; each is worked through for the whole picture.
MOST_SCANS = 100
WIDTHS_PX = (480, 960, 1600)
BAND_PX = 64
# Orientations of pictures that lie on a side (Exif 2.32, 4.6.4): their height is the width upright.
LYING = (5, 6, 7, 8)
FORMATS = ("JPEG", "PNG", "WEBP")
SAVED_AS: dict[str, dict[str, Any]] = {
    "jpg": {"format": "JPEG", "quality": 82, "optimize": True, "progressive": True},
    "webp": {"format": "WEBP", "quality": 80, "method": 4},
}
MEDIA_TYPES = {"jpg": "image/jpeg", "webp": "image/webp"}

_UNREADABLE = (SyntaxError, ValueError, OSError, EOFError, struct.error, IndexError, KeyError)


class PhotoRefused(ValueError):
    """A file that is not taken as a photo; its text is one sentence for the person."""


@dataclass(frozen=True)
class CleanFile:
    """One stored form of a photo."""

    format: str
    width_px: int
    height_px: int
    content: bytes


@dataclass(frozen=True)
class CleanPhoto:
    """A photo in all its widths and formats; the digest is that of the largest JPEG."""

    width_px: int
    height_px: int
    digest: str
    files: tuple[CleanFile, ...]


def clean_picture(upload: IO[bytes]) -> CleanPhoto:
    """Make the stored forms of a picture in this process.

    Raises:
        PhotoRefused: It is none, or asks for too much; the text says so in one sentence.
    """
    check_weight(upload)
    _check_scans(upload)
    # The PDF library switches this on for the whole process as it is loaded.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    with warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        warnings.filterwarnings("ignore", category=UserWarning)
        picture = _open(upload)
        with picture:
            _check_dimensions(*picture.size)
            upright = _upright_rgb(picture)
    return _all_widths(upright)


def is_picture(content: bytes, width_px: int, height_px: int) -> bool:
    """Whether bytes are a whole picture of a size."""
    ImageFile.LOAD_TRUNCATED_IMAGES = False  # as above
    try:
        with Image.open(io.BytesIO(content), formats=FORMATS) as picture:
            if picture.size != (width_px, height_px):
                return False
            picture.load()
            return True
    except (*_UNREADABLE, Image.DecompressionBombError):
        return False


def check_weight(upload: IO[bytes]) -> None:
    """Refuse an empty or too heavy file before anything of it is read."""
    size = upload.seek(0, io.SEEK_END)
    upload.seek(0)
    if size == 0:
        raise PhotoRefused("The file is empty: choose the picture again.")
    if size > MOST_BYTES:
        most = MOST_BYTES // (1024 * 1024)
        raise PhotoRefused(f"The file is larger than {most} MB: save the picture smaller and send it again.")


def _check_scans(upload: IO[bytes]) -> None:
    """Refuse a JPEG that would have the whole picture worked through again and again."""
    content = upload.read()
    upload.seek(0)
    if content.startswith(b"\xff\xd8") and _scans(content) > MOST_SCANS:
        raise PhotoRefused(
            f"The JPEG has more than {MOST_SCANS} layers: save the picture again as a plain JPEG."
        )


# What no packed pixels hold (ITU-T T.81, B.1.1.5): a byte FF that neither a zero nor a restart follows.
_MARKER = re.compile(rb"\xff+([^\x00\xd0-\xd7\xff])")
_SCAN, _END = 0xDA, 0xD9


def _scans(content: bytes) -> int:
    """How many scans a JPEG has up to its end; counting stops once they are too many."""
    count, at = 0, 2
    while count <= MOST_SCANS and (found := _MARKER.search(content, at)) and found[1][0] != _END:
        count += found[1][0] == _SCAN
        at = found.end() + int.from_bytes(content[found.end() : found.end() + 2], "big")
    return count


def _open(upload: IO[bytes]) -> Image.Image:
    """Read the header alone; a WebP's size is read before its decoder sets memory aside."""
    head = upload.read(32)
    upload.seek(0)
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        _check_webp(*_webp_size(head))
    try:
        return Image.open(upload, formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise PhotoRefused(_too_many_pixels()) from None
    except _UNREADABLE:
        raise PhotoRefused("The file is not a JPEG, PNG or WebP picture: save it as one of these.") from None


def _webp_size(head: bytes) -> tuple[int, int]:
    """Width and height from the first 32 bytes of a WebP file (WebP container specification)."""
    kind = head[12:16]
    if len(head) < 30:
        return 0, 0
    if kind == b"VP8X":
        return int.from_bytes(head[24:27], "little") + 1, int.from_bytes(head[27:30], "little") + 1
    if kind == b"VP8L":
        bits = int.from_bytes(head[21:25], "little")
        return (bits & 0x3FFF) + 1, ((bits >> 14) & 0x3FFF) + 1
    width, height = struct.unpack("<HH", head[26:30])
    return width & 0x3FFF, height & 0x3FFF


def _check_webp(width_px: int, height_px: int) -> None:
    """Refuse a WebP that takes too much memory, where it would do as a JPEG."""
    _check_dimensions(width_px, height_px)
    if width_px * height_px > MOST_WEBP_PIXELS:
        most = MOST_WEBP_PIXELS // 1_000_000
        raise PhotoRefused(f"The WebP picture has more than {most} megapixels: save it as a JPEG.")


def _check_dimensions(width_px: int, height_px: int) -> None:
    """Refuse what is too large to be unpacked."""
    if max(width_px, height_px) > LONGEST_SIDE_PX:
        raise PhotoRefused(f"A side is longer than {LONGEST_SIDE_PX:,} pixels: make the picture smaller.")
    if width_px * height_px > MOST_PIXELS:
        raise PhotoRefused(_too_many_pixels())


def _too_many_pixels() -> str:
    """The sentence for a picture that is too large."""
    return f"The picture has more than {MOST_PIXELS // 1_000_000} megapixels: make it smaller."


def _upright_rgb(picture: Image.Image) -> Image.Image:
    """Unpack the first frame, copy its pixels, and nothing else, to a new image, and turn that upright."""
    try:
        # A JPEG can be unpacked at a fraction of its size, which saves most of the memory.
        picture.draft(None, (WIDTHS_PX[-1], WIDTHS_PX[-1]))
        picture.load()
        orientation = picture.getexif().get(ExifTags.Base.Orientation, 1)
        fresh = _on_white(picture, across=picture.height if orientation in LYING else picture.width)
        # Only now: a turned copy of a huge picture would take as much memory again.
        fresh.getexif()[ExifTags.Base.Orientation] = orientation
        ImageOps.exif_transpose(fresh, in_place=True)
    except _UNREADABLE:
        raise PhotoRefused("The picture is damaged or cut short: choose the original file again.") from None
    return fresh


def _on_white(picture: Image.Image, *, across: int) -> Image.Image:
    """As few pixels as the largest width needs; made in bands, so that no copy of a huge picture is."""
    factor = across // WIDTHS_PX[-1] if picture.mode in ("L", "LA", "RGB", "RGBA", "CMYK") else 1
    factor = max(1, factor)
    fresh = Image.new("RGB", (-(-picture.width // factor), -(-picture.height // factor)), "white")
    for top in range(0, picture.height, BAND_PX * factor):
        bottom = min(top + BAND_PX * factor, picture.height)
        band = picture.crop((0, top, picture.width, bottom)).reduce(factor)
        band.info = picture.info
        colour = _in_srgb(band)
        mask = colour.getchannel("A") if colour.mode == "RGBA" else None
        fresh.paste(colour, (0, top // factor), mask=mask)
    return fresh


def _in_srgb(picture: Image.Image) -> Image.Image:
    """Bring any kind of pixel to RGB or RGBA as screens show it."""
    if picture.mode.startswith("I"):
        # 16 bits a pixel: Pillow would cut all that is brighter than 255.
        import numpy as np  # seldom needed, and slow to load

        eight_bits = (np.asarray(picture) >> 8).clip(0, 255).astype(np.uint8)
        return Image.fromarray(eight_bits).convert("RGB")
    has_alpha = picture.mode in ("LA", "PA", "RGBA") or "transparency" in picture.info
    mode = "RGBA" if has_alpha else "RGB"
    profile = picture.info.get("icc_profile")
    if profile and picture.mode in ("RGB", "RGBA", "CMYK"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            found = ImageCms.profileToProfile(
                picture, source, ImageCms.createProfile("sRGB"), outputMode=mode
            )
        except (ImageCms.PyCMSError, OSError, ValueError):
            found = None
        if found is not None:
            return found
    return picture.convert(mode)


def _all_widths(picture: Image.Image) -> CleanPhoto:
    """Save the picture in each width that it has pixels for, at least once."""
    widths = [width for width in WIDTHS_PX if width < picture.width]
    if len(widths) < len(WIDTHS_PX):
        widths.append(picture.width)
    files = [one for width in widths for one in _both_formats(picture, width)]
    largest = files[-len(SAVED_AS)]
    digest = hashlib.sha256(largest.content).hexdigest()
    return CleanPhoto(largest.width_px, largest.height_px, digest, tuple(files))


def _both_formats(picture: Image.Image, width: int) -> list[CleanFile]:
    """Save one width in every format."""
    height = max(1, round(picture.height * width / picture.width))
    sized = picture.resize((width, height), Image.Resampling.LANCZOS, reducing_gap=3.0)
    files = []
    for name, options in SAVED_AS.items():
        target = io.BytesIO()
        try:
            sized.save(target, **options)
        except (OSError, ValueError):
            raise PhotoRefused("The picture is too long and narrow to be saved: cut it first.") from None
        files.append(CleanFile(name, width, height, target.getvalue()))
    return files
