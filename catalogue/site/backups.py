"""A studio in one file: every row and every file as of one moment, for either database and any storage."""

import hashlib
import json
import os
import shutil
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.core.files import File
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import connection, models, transaction
from django.db.migrations.loader import MigrationLoader

from catalogue.erasures import FOLDER as ERASURES
from catalogue.erasures import keep_marks
from catalogue.file_cabinet import is_whole, listed
from catalogue.holders import leave_again
from catalogue.letters import sent_names, settle_restored, sweep_letters
from catalogue.models import Pattern, Person
from catalogue.notices import hold_notices
from catalogue.out_of_reach import FilesOutOfReach
from catalogue.publishing import take_up_publications
from testing.erasing import erase_again

FORMAT = 1
ABOUT, ROWS, FILES, SECRET = "about.json", "rows.jsonl", "files/", "secret_key"
# What every database makes anew, and what belongs to a moment: sign-ins under way, tries, the queue of tasks.
LEFT_OUT = {
    "contenttypes.ContentType",
    "auth.Permission",
    "sessions.Session",
    "account.EmailConfirmation",
    "django_tasks_database.DBTaskResult",
    "catalogue.Tally",
}


class BackupError(Exception):
    """A backup that can't be written or restored; the reason is one sentence."""


@dataclass(frozen=True)
class Counted:
    """How much a backup holds, and how much was erased again after restoring it."""

    rows: int
    files: int
    erased: int = 0


def write_backup(path: Path) -> Counted:
    """Write the rows of one moment, then the files that there are; the studio may go on meanwhile.

    Raises:
        BackupError: The file is there already, or can't be written.
    """
    if path.exists():
        raise BackupError(f"{path} is there already: choose another name.")
    unfinished = path.with_name(path.name + ".unfinished")
    try:
        with os.fdopen(os.open(unfinished, os.O_CREAT | os.O_TRUNC | os.O_RDWR, 0o600), "w+b") as target:
            counted = _write_archive(target)
            target.flush()
            os.fsync(target.fileno())
        unfinished.rename(path)
    except FilesOutOfReach as problem:
        raise BackupError(str(problem)) from None
    except OSError as problem:
        raise BackupError(
            f"{path} can't be written ({problem.strerror or problem}): choose another place."
        ) from None
    finally:
        unfinished.unlink(missing_ok=True)
    return counted


def restore_backup(path: Path, *, replace: bool) -> Counted:
    """Put a studio back as it was; what was erased on request since then is erased again.

    Raises:
        BackupError: It is no whole backup, fits another state of the program, or the studio is not empty.
    """
    call_command("migrate", interactive=False, verbosity=0)
    keep_marks()  # the rows in which they wait are about to be replaced
    if not replace and not _is_empty():
        raise BackupError("This studio is not empty: add --replace to put the backup in its place.")
    with _opened(path) as (archive, about):
        for name, sha256 in about["files"].items():
            _put_file(archive, name, sha256)
        with transaction.atomic():
            sent = sent_names()
            for model in _models():
                model._base_manager.all()._raw_delete(using="default")  # noqa: SLF001 keys are compared at the end
            _load_rows(archive)
            settle_restored(sent=sent)
            hold_notices()
        _put_secret(archive)
        for name in [name for name in _stored_files() if name not in about["files"]]:
            if not name.startswith(f"{ERASURES}/"):
                default_storage.delete(name)
    erased = erase_again() + leave_again()
    take_up_publications()
    sweep_letters()
    return Counted(about["rows"], len(about["files"]), erased)


def _write_archive(target: Any) -> Counted:
    """Rows, files, and what is in the archive with hashes."""
    hashes: dict[str, str] = {}
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        with _one_moment(), archive.open(ROWS, "w", force_zip64=True) as rows:
            made_at = datetime.now(UTC).isoformat()
            digest, count = hashlib.sha256(), 0
            for line in _row_lines():
                rows.write(line)
                digest.update(line)
                count += 1
        for name in _stored_files():
            if sha256 := _keep_file(archive, name):
                hashes[name] = sha256
        if secret := _own_secret():
            archive.writestr(SECRET, secret)
        about = {
            "format": FORMAT,
            "made_at": made_at,
            "tables": _tables(),
            "rows": count,
            "rows_sha256": digest.hexdigest(),
            "files": hashes,
        }
        archive.writestr(ABOUT, json.dumps(about, indent=1))
    return Counted(count, len(hashes))


@contextmanager
def _one_moment() -> Iterator[None]:
    """Read the database as it is at one moment, without holding up those who write."""
    if connection.in_atomic_block:
        yield
        return
    begin = "BEGIN" if connection.vendor == "sqlite" else "BEGIN ISOLATION LEVEL REPEATABLE READ, READ ONLY"
    with connection.cursor() as cursor:
        cursor.execute(begin)
        try:
            yield
        finally:
            cursor.execute("ROLLBACK")


def _models() -> list[type[models.Model]]:
    """Every table of a backup; those between two tables belong to one of them."""
    return [model for model in apps.get_models() if model._meta.label not in LEFT_OUT]  # noqa: SLF001


def _row_lines() -> Iterator[bytes]:
    """Every row as one line of JSON, times to the microsecond."""
    for model in _models():
        rows = model._base_manager.order_by("pk")  # noqa: SLF001 every row, whatever a manager hides
        for row in rows.iterator(chunk_size=500):
            (found,) = serializers.serialize("python", [row], use_natural_foreign_keys=True)
            yield json.dumps(found, default=_as_text, ensure_ascii=False).encode() + b"\n"


def _as_text(value: Any) -> str:
    """Dates, times, decimals and identifiers as their fields read them."""
    return value.isoformat() if hasattr(value, "isoformat") else str(value)


def _stored_files(folder: str = "") -> Iterator[str]:
    """Names of all files of the storage."""
    folders, files = listed(folder)
    for name in sorted(files):
        yield f"{folder}{name}"
    for name in sorted(folders):
        yield from _stored_files(f"{folder}{name}/")


def _keep_file(archive: zipfile.ZipFile, name: str) -> str | None:
    """Copy a file into the archive and hash it; None when it has gone meanwhile."""
    try:
        with default_storage.open(name) as stored:
            content = stored.read()
    except FileNotFoundError:
        return None
    archive.writestr(FILES + name, content)
    return hashlib.sha256(content).hexdigest()


def _own_secret() -> bytes | None:
    """The key that signs addresses in letters, where the studio made its own."""
    path = Path(settings.DATA_DIR) / SECRET
    return None if "EVENROW_SECRET_KEY" in os.environ or not path.exists() else path.read_bytes()


def _tables() -> list[str]:
    """The state of the tables: the last migration of every app."""
    leaves = MigrationLoader(None).graph.leaf_nodes()
    return sorted(f"{app}.{name}" for app, name in leaves)


def _is_empty() -> bool:
    """Whether nobody has used this studio yet."""
    has_rows = Person.objects.exists() or Pattern.objects.exists()
    return not has_rows and not any(True for name in _stored_files() if not name.startswith(ERASURES))


@contextmanager
def _opened(path: Path) -> Iterator[tuple[zipfile.ZipFile, dict[str, Any]]]:
    """Open a backup and make sure that it is whole before anything is touched."""
    try:
        archive = zipfile.ZipFile(path)
    except (OSError, zipfile.BadZipFile):
        raise BackupError(f"{path} can't be read as a backup: look at its name and place.") from None
    with archive:
        try:
            about = json.loads(archive.read(ABOUT))
            _check(archive, about)
        except (zipfile.BadZipFile, zlib.error, KeyError, ValueError, TypeError, EOFError) as problem:
            raise BackupError(f"{path} is not a whole backup: take another ({problem}).") from None
        yield archive, about


def _check(archive: zipfile.ZipFile, about: dict[str, Any]) -> None:
    """Compare format, tables and every hash."""
    if about["format"] != FORMAT or about["tables"] != _tables():
        raise BackupError(
            "The backup was made by a program with other tables: restore it with that program, then update."
        )
    if _hash_of(archive, ROWS) != about["rows_sha256"]:
        raise ValueError("its rows were changed")
    for name, sha256 in about["files"].items():
        if name.startswith("/") or ".." in name.split("/"):
            raise ValueError(f"{name} lies outside it")
        if _hash_of(archive, FILES + name) != sha256:
            raise ValueError(f"{name} was changed")


def _hash_of(archive: zipfile.ZipFile, name: str) -> str:
    """The SHA-256 of a part of the archive."""
    digest = hashlib.sha256()
    with archive.open(name) as part:
        while piece := part.read(1 << 20):
            digest.update(piece)
    return digest.hexdigest()


def _put_file(archive: zipfile.ZipFile, name: str, sha256: str) -> None:
    """Store a file under its own name, in place of another of that name."""
    if is_whole(name, sha256):
        return
    default_storage.delete(name)
    with archive.open(FILES + name) as file:
        default_storage.save(name, File(file))


def _load_rows(archive: zipfile.ZipFile) -> None:
    """Load all rows; keys are compared at the end, when everything is there."""
    with tempfile.TemporaryDirectory(prefix="evenrow-restore-") as folder:
        target = Path(folder) / ROWS
        with archive.open(ROWS) as rows, target.open("wb") as file:
            shutil.copyfileobj(rows, file)
        call_command("loaddata", str(target), verbosity=0)


def _put_secret(archive: zipfile.ZipFile) -> None:
    """Put the studio's own key back, so that addresses in old letters go on working."""
    if SECRET not in archive.namelist() or "EVENROW_SECRET_KEY" in os.environ:
        return
    path = Path(settings.DATA_DIR) / SECRET
    path.unlink(missing_ok=True)
    path.touch(mode=0o600)
    path.write_bytes(archive.read(SECRET))
