"""A studio in one file: every row and every file as of one moment, for either database and any storage.

How it is put back stands in `restoring`.
"""

import hashlib
import json
import os
import zipfile
from collections.abc import Generator, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.db import DatabaseError, OperationalError, connection
from django.db.migrations.loader import MigrationLoader

from catalogue.site.backup_files import (
    ABOUT,
    BROKEN,
    FILES,
    ROWS,
    SECRET,
    NotWhole,
    check_archive,
    read_about,
)
from catalogue.site.backup_rows import MOST_BYTES_A_ROW, RowRefused, files_of, read_rows, row_lines
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.storage import UNFINISHED, listed

FORMAT = 1
OTHER_TABLES = (
    "The backup was made by a program with other tables: restore it with that program, then update."
)


class BackupError(Exception):
    """A backup that can't be written or restored; the reason is one sentence."""


@dataclass(frozen=True)
class BackupCounts:
    """How much a backup holds, how much was erased again after restoring it, and files that are not there."""

    rows: int
    files: int
    erased: int = 0
    missing: tuple[str, ...] = ()


def write_backup(path: Path) -> BackupCounts:
    """Write the rows of one moment, then the files that there are; the studio may go on meanwhile.

    What was written is read back, row by row and file by file, before it gets its name.

    Raises:
        BackupError: The file is there already, can't be written, or does not read back as it was written.
        FilesOutOfReach: The files of the studio can't be read.
    """
    if path.exists():
        raise BackupError(f"{path} is there already: choose another name.")
    unfinished = path.with_name(path.name + UNFINISHED)
    try:
        with os.fdopen(os.open(unfinished, os.O_CREAT | os.O_TRUNC | os.O_RDWR, 0o600), "w+b") as target:
            _write_archive(target)
            target.flush()
            os.fsync(target.fileno())
        counted = _read_back(unfinished)
        unfinished.rename(path)
    except FilesOutOfReach:
        raise
    except OSError as problem:
        raise BackupError(
            f"{path} can't be written ({problem.strerror or problem}): choose another place."
        ) from None
    finally:
        unfinished.unlink(missing_ok=True)
    return counted


def stored_files(folder: str = "") -> Iterator[str]:
    """Names of all files of the storage that are whole."""
    folders, files = listed(folder)
    for name in sorted(files):
        if not name.endswith(UNFINISHED):
            yield f"{folder}{name}"
    for name in sorted(folders):
        yield from stored_files(f"{folder}{name}/")


def _write_archive(target: Any) -> None:
    """Rows, files, and what is in the archive with hashes."""
    hashes: dict[str, str] = {}
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        with _one_moment(), archive.open(ROWS, "w", force_zip64=True) as rows:
            made_at = datetime.now(UTC).isoformat()
            digest, count = hashlib.sha256(), 0
            for line in row_lines():
                rows.write(line)
                digest.update(line)
                count += 1
        for name in stored_files():
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


def _read_back(path: Path) -> BackupCounts:
    """Read a backup as restoring would; name the files that its rows tell of and that it does not hold."""
    with open_backup(path) as (archive, about):
        named: dict[str, None] = {}
        count = 0
        try:
            with closing(backup_lines(archive)) as lines:
                for row in read_rows(lines):
                    named |= dict.fromkeys(files_of(row.read.object))
                    count += 1
        except (*BROKEN, ValidationError) as problem:
            raise BackupError(
                f"The backup does not read back, and is not kept: {reason_of(problem)}."
            ) from None
        if count != about["rows"]:
            raise BackupError("The backup does not read back, and is not kept: rows are missing from it.")
        missing = tuple(name for name in named if name not in about["files"])
        return BackupCounts(count, len(about["files"]), missing=missing)


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
    return (
        None if os.environ.get("EVENROW_SECRET_KEY", "").strip() or not path.exists() else path.read_bytes()
    )


def _tables() -> list[str]:
    """The state of the tables: the last migration of every app."""
    leaves = MigrationLoader(None).graph.leaf_nodes()
    return sorted(f"{app}.{name}" for app, name in leaves)


@contextmanager
def open_backup(path: Path) -> Iterator[tuple[zipfile.ZipFile, dict[str, Any]]]:
    """Open a backup and make sure that it is whole before anything is touched."""
    try:
        archive = zipfile.ZipFile(path)
    except BROKEN:
        raise BackupError(f"{path} can't be read as a backup: look at its name and place.") from None
    with archive:
        try:
            about = read_about(archive)
            if not _is_of_another_program(about):
                check_archive(archive, about)
        except BROKEN as problem:
            raise BackupError(
                f"{path} is not a complete backup: use another ({reason_of(problem)})."
            ) from None
        if _is_of_another_program(about):
            raise BackupError(OTHER_TABLES)
        yield archive, about


def _is_of_another_program(about: dict[str, Any]) -> bool:
    """Whether a backup says that it has another form or other tables."""
    form, tables = about.get("format", FORMAT), about.get("tables")
    return (type(form) is int and form != FORMAT) or (isinstance(tables, list) and tables != _tables())


def reason_of(problem: BaseException) -> str:
    """What went wrong, as the end of a sentence."""
    if isinstance(problem, NotWhole | RowRefused):
        return str(problem)
    if isinstance(problem, OSError) and problem.strerror:
        return problem.strerror
    if isinstance(problem, OperationalError):
        return (str(problem).splitlines() or ["the database does not answer"])[0].rstrip(".")
    if isinstance(problem, DatabaseError | OverflowError | ValidationError):
        return "its rows do not fit together"
    return "parts of it can't be read"


def backup_lines(archive: zipfile.ZipFile) -> Generator[bytes, None, None]:
    """The lines of the rows, one at a time; an endless one is cut where it becomes too long."""
    with archive.open(ROWS) as rows:
        while line := rows.readline(MOST_BYTES_A_ROW + 1):
            yield line
