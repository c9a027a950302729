"""A studio put back as a backup has it: all or nothing, and what was erased since then erased again."""

import hashlib
import os
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import DatabaseError, transaction

from catalogue.holders.holders import leave_again
from catalogue.holders.notices import hold_notices
from catalogue.holders.pdf_links import withdraw_again
from catalogue.models import Pattern, Person
from catalogue.publishing.publishing import take_up_publications
from catalogue.site.backup_files import ABOUT, BROKEN, SECRET, NotWhole, files_in_place
from catalogue.site.backup_rows import compare_keys, delete_rows, is_named_by_others, read_rows, store_rows
from catalogue.site.backups import (
    BackupCounts,
    BackupError,
    backup_lines,
    open_backup,
    reason_of,
    stored_files,
)
from catalogue.site.unfinished_restores import CutShort, cut_short, note_begun, note_ended
from catalogue.studio.erasures import FOLDER as ERASURES
from catalogue.studio.erasures import keep_marks
from catalogue.studio.letters import sent_names, settle_restored, sweep_letters
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.storage import UNFINISHED
from catalogue.studio.temporary_folders import sweep_folders
from testing.privacy.erasing import erase_again


def restore_backup(path: Path, *, replace: bool) -> BackupCounts:
    """Put a studio back as it was; what was erased on request since then is erased again.

    Raises:
        BackupError: It is no whole backup, fits another state of the program, or the studio is not empty;
            then all is as it was before.
    """
    call_command("migrate", interactive=False, verbosity=0)
    sweep_folders()
    keep_marks()  # the rows in which they wait are about to be replaced
    before = cut_short()
    if not (replace or before or _is_empty()):
        raise BackupError("This studio is not empty: add --replace to replace it with the backup.")
    with open_backup(path) as (archive, about):
        begun = CutShort(str(path), hashlib.sha256(archive.read(ABOUT)).hexdigest())
        if before and before.sha256 != begun.sha256 and not replace:
            raise BackupError(
                f"Another backup ({before.path}) was not restored to its end here: restore that one, "
                "or add --replace."
            )
        with _noted(begun, before, path):
            _put_back(path, archive, about)
        erased = _finish(archive, about)
    note_ended()
    return BackupCounts(about["rows"], len(about["files"]), erased)


@contextmanager
def _noted(begun: CutShort, before: CutShort | None, path: Path) -> Iterator[None]:
    """Note what is put back, until the end; a failure that leaves all as before leaves the note so too."""
    try:
        note_begun(begun)
    except OSError as problem:
        raise BackupError(
            f"{path} is not restored, and nothing was changed: the data folder can't be written to "
            f"({reason_of(problem)})."
        ) from None
    try:
        yield
    except BaseException:
        with suppress(OSError):  # what went wrong first is what is told
            note_begun(before) if before else note_ended()
        raise


def _put_back(path: Path, archive: zipfile.ZipFile, about: dict[str, Any]) -> None:
    """Put files and rows in place, all or none."""
    try:
        with files_in_place(archive, about["files"]), transaction.atomic():
            _replace_rows(archive, about["rows"])
    except FilesOutOfReach as problem:
        raise BackupError(f"{path} is not restored, and nothing was changed: {problem.why}.") from None
    except (DatabaseError, OverflowError, ValidationError, *BROKEN) as problem:
        raise BackupError(
            f"{path} can't be restored, and nothing was changed: use another ({reason_of(problem)})."
        ) from None


def _finish(archive: zipfile.ZipFile, about: dict[str, Any]) -> int:
    """What follows once the rows are there: nothing too many stays, and nobody comes back who was erased."""
    try:
        _put_secret(archive)
        for name in [name for name in stored_files() if name not in about["files"]]:
            if not name.startswith(f"{ERASURES}/"):
                default_storage.delete(name)
    except OSError as problem:
        raise BackupError(
            f"Rows and files are restored, but the studio's key could not be written or an extra file not "
            f"deleted ({reason_of(problem)}). Give the same command again."
        ) from None
    erased = erase_again() + leave_again()
    withdraw_again()
    take_up_publications()
    sweep_letters()
    return erased


def _is_empty() -> bool:
    """Whether nobody has used this studio yet."""
    has_rows = Person.objects.exists() or Pattern.objects.exists()
    return not has_rows and not any(True for name in stored_files() if not name.startswith(ERASURES))


def _replace_rows(archive: zipfile.ZipFile, told: int) -> None:
    """Put the rows of a backup in place of all that there are."""
    sent = sent_names()
    delete_rows()
    stored = 0
    with closing(backup_lines(archive)) as lines:
        stored += store_rows(read_rows(lines, is_named_by_others), at_once=1)
    with closing(backup_lines(archive)) as lines:
        stored += store_rows(read_rows(lines, lambda line: not is_named_by_others(line)))
    if stored != told:
        raise NotWhole(f"it has {stored} rows instead of {told}")
    compare_keys()
    settle_restored(sent=sent)
    hold_notices()


def _put_secret(archive: zipfile.ZipFile) -> None:
    """Put the studio's own key back, so that addresses in old letters go on working."""
    if SECRET not in archive.namelist() or os.environ.get("EVENROW_SECRET_KEY", "").strip():
        return
    path = Path(settings.DATA_DIR) / SECRET
    unfinished = path.with_name(path.name + UNFINISHED)
    try:
        with os.fdopen(os.open(unfinished, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600), "wb") as target:
            target.write(archive.read(SECRET))
            target.flush()
            os.fsync(target.fileno())
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)
