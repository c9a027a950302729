"""What editions are made from beside a record: fonts, templates, photos, libraries; and the key of all that.

Nothing here loads the renderer, so that server and worker stay light.
"""

import ctypes
import hashlib
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version as library_version
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.files.storage import default_storage

from catalogue.models.edition_choices import Choices
from catalogue.versions.records import Record, canonical, digest_of

FONTS = (
    "Literata-Regular.ttf",
    "Literata-Italic.ttf",
    "Literata-SemiBold.ttf",
    "SourceSans3-Regular.ttf",
    "SourceSans3-Italic.ttf",
    "SourceSans3-SemiBold.ttf",
)
OWN = "edition:"
# Names the identifiers of all editions; the first editions were given it, and it stays.
IDENTIFIER_MARK = "0cd02c86c02eb47293e08341d62f0fceee8b5691ac18065040c8345fd3c6602a"
LIBRARIES = ("weasyprint", "pydyf", "fonttools", "tinycss2", "Pillow", "segno")
SYSTEM_LIBRARIES = {
    "pango": ("libpango-1.0.so.0", "pango_version_string"),
    "harfbuzz": ("libharfbuzz.so.0", "hb_version_string"),
}


class EditionFailed(Exception):
    """An edition that could not be made; its text is one sentence."""


@dataclass(frozen=True)
class RenderedPdf:
    """The bytes of an edition, and what they were made with."""

    content: bytes
    pages: int
    sha256: str
    key: str
    libraries: dict[str, str]


def edition_key(record: Record, choices: Choices, copy_for: str = "", more_fonts: Iterable[Path] = ()) -> str:
    """What an edition depends on, as one hash: record, choices, templates, fonts, library versions."""
    digests = [hashlib.sha256(path.read_bytes()).hexdigest() for path in more_fonts]
    return digest_of(canonical([record, choices, copy_for, _template_digest(), libraries(), *digests]))


def pdf_identity(record: Record, choices: Choices, copy_for: str = "") -> str:
    """The permanent identifier of an edition's file.

    It does not change with templates and fonts, so that an edition which these leave as it was has the same
    bytes when it is made again; what does change shows in the file's other identifier, a hash of its content.
    """
    return digest_of(canonical([record, choices, copy_for, IDENTIFIER_MARK, libraries()]))


@cache
def libraries() -> dict[str, str]:
    """Versions of what editions are made with: packages of the lock file, libraries of the system."""
    packages = {name: library_version(name) for name in LIBRARIES}
    system = {name: _system_version(*names) for name, names in SYSTEM_LIBRARIES.items()}
    return {**packages, **system, "zlib": zlib.ZLIB_RUNTIME_VERSION}


def _system_version(library: str, function: str) -> str:
    """The version that a library of the system tells of itself."""
    tell = getattr(ctypes.CDLL(library), function)
    tell.restype = ctypes.c_char_p
    return bytes(tell()).decode()


def font_path(name: str) -> Path:
    """A font of our own."""
    found = finders.find(f"fonts/print/{name}")
    if not found:
        raise EditionFailed(f"The font {name} is missing: the installation is incomplete.")
    return Path(str(found))


def template_folder() -> Path:
    """Where the templates of editions are."""
    return Path(settings.BASE_DIR) / "templates" / "catalogue" / "pdf"


def photo_name(files: Iterable[dict[str, Any]]) -> str:
    """The stored name of a photo's largest JPEG, which is the one that is printed."""
    jpegs = [one for one in files if one["format"] == "jpg"]
    return str(max(jpegs, key=lambda one: one["width_px"])["name"])


def stored_photo(photo: dict[str, Any]) -> bytes:
    """A photo's largest JPEG from the storage."""
    with default_storage.open(photo_name(photo["files"])) as stored:
        return bytes(stored.read())


@cache
def _template_digest() -> str:
    """One hash over the templates, the style and the fonts."""
    digest = hashlib.sha256()
    for path in [*sorted(template_folder().iterdir()), *(font_path(name) for name in FONTS)]:
        digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()
