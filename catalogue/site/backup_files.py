"""The archive of a backup: looked at before it is trusted; its files put in place, or all left as before."""

import hashlib
import json
import lzma
import re
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path, PurePosixPath
from typing import Any

from django.core.exceptions import SuspiciousFileOperation
from django.core.files.storage import default_storage
from django.core.files.utils import validate_file_name

from catalogue.studio.storage import is_whole, keep_file
from catalogue.studio.temporary_folders import RESTORING, held_folder

ABOUT, ROWS, FILES, SECRET = "about.json", "rows.jsonl", "files/", "secret_key"
PIECE = 1 << 20
# More than any studio needs: 500,000 files by name and hash; a printed book; a key.
MOST_ABOUT, MOST_FILE, MOST_SECRET = 64 * PIECE, 256 * PIECE, 4096
# Pictures and PDFs are compressed in themselves; what unpacks to a hundred times its size is a trap.
MOST_GROWTH, SMALL = 100, PIECE
LONGEST_NAME = 200
_SHA256 = re.compile(r"[0-9a-f]{64}")
_ABOUT = {"format": int, "made_at": str, "tables": list, "rows": int, "rows_sha256": str, "files": dict}
UNSAID = "it does not say what is in it"
# What reading an archive that was cut, changed or made up may raise.
BROKEN = (
    EOFError,
    LookupError,
    NotImplementedError,
    OSError,
    RecursionError,
    RuntimeError,
    TypeError,
    ValueError,
    lzma.LZMAError,
    zipfile.BadZipFile,
    zlib.error,
)


class NotWhole(ValueError):
    """An archive that is not as it says; its text says in what, as the end of a sentence."""


def read_about(archive: zipfile.ZipFile) -> dict[str, Any]:
    """What an archive says of itself."""
    _check_size(archive, ABOUT, MOST_ABOUT)
    about = json.loads(archive.read(ABOUT))
    if not isinstance(about, dict):
        raise NotWhole(UNSAID)
    return about


def check_archive(archive: zipfile.ZipFile, about: dict[str, Any]) -> None:
    """Compare the names, sizes and hashes of everything in an archive.

    Raises:
        NotWhole: Something in it is not as it says, and what.
    """
    if about.keys() != _ABOUT.keys() or any(type(about[key]) is not kind for key, kind in _ABOUT.items()):
        raise NotWhole(UNSAID)
    for name, sha256 in about["files"].items():
        _check_name(name)
        if not isinstance(sha256, str) or not _SHA256.fullmatch(sha256):
            raise NotWhole(f"{_shown(name)} has no hash")
    _check_folders(set(about["files"]))
    _check_names(archive, {ABOUT, ROWS, *(FILES + name for name in about["files"])})
    if SECRET in archive.namelist():
        _check_size(archive, SECRET, MOST_SECRET)
        archive.read(SECRET).decode()
    if _hash_of(archive, ROWS) != about["rows_sha256"]:
        raise NotWhole("its rows were changed")
    for name, sha256 in about["files"].items():
        packed = archive.getinfo(FILES + name).compress_size
        _check_size(archive, FILES + name, min(MOST_FILE, packed * MOST_GROWTH + SMALL))
        if _hash_of(archive, FILES + name) != sha256:
            raise NotWhole(f"{_shown(name)} was changed")


@contextmanager
def files_in_place(archive: zipfile.ZipFile, files: dict[str, str]) -> Iterator[None]:
    """Put files in place for what is done meanwhile; if that fails, all are as they were before."""
    new: list[str] = []
    with held_folder(RESTORING) as folder:
        before: dict[str, Path] = {}
        try:
            for place, (name, sha256) in enumerate(files.items()):
                if is_whole(name, sha256):
                    continue
                if default_storage.exists(name):
                    before[name] = _put_aside(name, folder / str(place))
                new.append(name)
                keep_file(name, archive.read(FILES + name))
            yield
        except BaseException:
            for name in new:
                with suppress(OSError):
                    default_storage.delete(name)
            for name, path in before.items():
                with suppress(OSError):
                    keep_file(name, path.read_bytes())
            raise


def _put_aside(name: str, path: Path) -> Path:
    """Copy a stored file."""
    with default_storage.open(name) as stored:
        path.write_bytes(stored.read())
    return path


def _check_names(archive: zipfile.ZipFile, told: set[str]) -> None:
    """Refuse an archive with parts that it does not tell of, or that stand in it twice."""
    names = archive.namelist()
    twice = next((name for name in names if names.count(name) > 1), None) if _has_twins(names) else None
    if twice is not None:
        raise NotWhole(f"{_shown(twice)} is in it twice")
    if others := set(names) - told - {SECRET}:
        raise NotWhole(f"{_shown(min(others))} is in it, but not in its list")
    if missing := told - set(names):
        raise NotWhole(f"{_shown(min(missing))} is not in it")


def _has_twins(names: list[str]) -> bool:
    """Whether a name stands there more than once."""
    return len(set(names)) < len(names)


def _check_name(name: str) -> None:
    """Refuse the name of a file that lies outside the storage or that no storage has."""
    try:
        validate_file_name(name, allow_relative_path=True)
    except SuspiciousFileOperation:
        raise NotWhole(f"{_shown(name)} is outside the files of a studio") from None
    parts = name.split("/")
    if {"", ".", ".."} & set(parts) or "\\" in name or not name.isprintable() or len(name) > LONGEST_NAME:
        raise NotWhole(f"{_shown(name)} is not the name of a file")


def _check_folders(names: set[str]) -> None:
    """Refuse a file that would have to be a folder for another."""
    folders = {str(folder) for name in names for folder in PurePosixPath(name).parents}
    if both := names & folders:
        raise NotWhole(f"{_shown(min(both))} would be a file and a folder")


def _shown(name: str) -> str:
    """A name as it can stand in a sentence."""
    return name[:80] if name.isprintable() else ascii(name[:80])


def _check_size(archive: zipfile.ZipFile, name: str, most: int) -> None:
    """Refuse a part that would unpack to more than it can rightly be."""
    if archive.getinfo(name).file_size > most:
        raise NotWhole(f"{_shown(name)} unpacks to more than {most:,} bytes")


def _hash_of(archive: zipfile.ZipFile, name: str) -> str:
    """The SHA-256 of a part of the archive, read piece by piece."""
    digest = hashlib.sha256()
    with archive.open(name) as part:
        while piece := part.read(PIECE):
            digest.update(piece)
    return digest.hexdigest()
