"""A backup that is killed while it is put back is put back by a second try, and brings nobody back."""

import io
import os
import random
import signal
import tempfile
import time
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import transaction
from PIL import Image

from catalogue.models import Person
from catalogue.photos.pictures import clean_picture
from catalogue.site import backup_files, restoring
from catalogue.site.backup_rows import delete_rows, row_lines
from catalogue.site.backups import BackupError, stored_files, write_backup
from catalogue.site.restoring import restore_backup
from catalogue.site.unfinished_restores import note_path
from catalogue.studio.temporary_folders import sweep_folders
from testing.privacy.erasing import erase_person
from testing.results.own_photos import add_photo
from tests.catalogue import pictures
from tests.file_database import shared_database as shared_database  # a fixture
from tests.killed import arm, forked, told
from tests.present import present
from tests.testing.builders import make_call, make_place, make_studio

POINTS = [
    (restoring, "files_in_place", "before", 1),
    (backup_files, "keep_file", "before", 1),
    (backup_files, "keep_file", "after", 1),
    (backup_files, "keep_file", "after", 2),
    (restoring, "_replace_rows", "before", 1),
    (restoring, "delete_rows", "after", 1),
    (restoring, "store_rows", "after", 1),
    (restoring, "compare_keys", "after", 1),
    (restoring, "_replace_rows", "after", 1),
    # From here on the rows are there, and what follows is not done.
    (restoring, "_finish", "before", 1),
    (restoring, "_put_secret", "after", 1),
    (restoring, "erase_again", "before", 1),
    (restoring, "erase_again", "after", 1),
    (restoring, "take_up_publications", "before", 1),
    (restoring, "sweep_letters", "after", 1),
    (restoring, "note_ended", "before", 1),
]
FEW = (3, 6, 11)


@pytest.fixture
def backup(shared_database, settings, tmp_path, monkeypatch):
    """A backup that knows a tester who had all erased since; temporary files have a folder of their own."""
    settings.DATA_DIR = tmp_path / "data"
    (tmp_path / "temporary").mkdir()
    settings.DATA_DIR.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    (settings.DATA_DIR / "secret_key").write_text("signs the addresses in letters")
    make_studio()
    call = make_call()
    for name, shade in (("Moss Reed", "olive"), ("Wren Alder", "tan")):
        place = make_place(call, name=name, email=f"{name[:4].lower().strip()}@larkmoss.example")
        content = pictures.jpeg(Image.new("RGB", (64, 32), shade))
        add_photo(placement=place, photo=clean_picture(io.BytesIO(content)), alt="The vest")
    path = tmp_path / "studio.zip"
    write_backup(path)
    erase_person(person=present(place.person))
    return path


def wipe():
    """Another machine, to which the marks of what was erased were taken along."""
    with transaction.atomic():  # keys are compared at its end
        delete_rows()
    for name in list(stored_files()):
        if not name.startswith("erasures/"):
            default_storage.delete(name)
    (settings.DATA_DIR / "secret_key").write_text("of the new machine")


def damage():
    """The studio in use has other bytes under the names of the backup."""
    for name in list(stored_files()):
        if not name.startswith("erasures/"):
            Path(default_storage.path(name)).write_bytes(b"other")


def everything():
    """Rows, files and the studio's key; what an edit writes down of its own time aside."""
    kept = {name: Path(default_storage.path(name)).read_bytes() for name in stored_files()}
    return sorted(row_lines()), kept, (settings.DATA_DIR / "secret_key").read_text()


def restored(path, *, replace=False):
    counted = restore_backup(path, replace=replace)
    return f"{counted.rows} rows"


def killed(path, point, seconds, *, replace):
    """Put a backup back in a process that ends at a point, or after a time; what it could tell."""

    def work():
        if point:
            arm(*point)
        return restored(path, replace=replace)

    pid, hears = forked(work)
    if not point:
        time.sleep(seconds)
        os.kill(pid, signal.SIGKILL)
    return told(pid, hears)


def wrongs(path, whole, said, *, replace):
    """What is wrong after the second try."""
    if not said:
        second = told(*forked(lambda: restored(path, replace=replace and not note_path().exists())))
        if not second.endswith(" rows"):
            return [second]
    elif not said.endswith(" rows"):
        return [said]
    sweep_folders()
    found = [f"left over: {path}" for path in Path(tempfile.gettempdir()).iterdir()]
    if note_path().exists():
        found.append("it is still noted as cut short")
    rows, files, secret = everything()
    found += [f"row lost or left over: {row[:90]!r}" for row in set(rows) ^ set(whole[0])]
    found += [f"file lost or left over: {name}" for name in files.keys() ^ whole[1].keys()]
    found += [f"file changed: {name}" for name, content in files.items() if whole[1].get(name) != content]
    return found + ([] if secret == whole[2] else ["another key"])


@pytest.mark.parametrize("replace", [False, True], ids=["first", "replacing"])
def test_what_was_cut_short_is_put_back_by_a_second_try(backup, replace, full, count_proof, monkeypatch):
    wipe()
    began = time.monotonic()
    assert restored(backup).endswith(" rows")
    if not full:  # the tables are as they should be, and looking takes half of the time
        monkeypatch.setattr(restoring, "call_command", lambda *_, **__: None)
    takes, whole, found, rng = time.monotonic() - began, everything(), [], random.Random(7)
    assert not any(b"Wren" in row for row in whole[0])
    points = POINTS if full else [POINTS[place] for place in FEW]
    rounds = [*points, *[None] * (60 if full else 1)]
    for point in rounds:
        damage() if replace else wipe()
        after = rng.random() * takes
        said = killed(backup, point, after, replace=replace)
        assert not (point and said), (point, said)
        found += [(point or after, wrong) for wrong in wrongs(backup, whole, said, replace=replace)]
    assert found == []
    count_proof("restores killed", len(rounds))


def test_a_studio_that_was_put_back_by_half_is_not_opened_and_says_what_to_do(backup):
    wipe()
    assert not killed(backup, (restoring, "erase_again", "before", 1), 0, replace=False)
    assert Person.objects.filter(email="wren@larkmoss.example").exists(), "as the backup knows her"
    with pytest.raises(CommandError) as refused:
        call_command("start")
    assert str(refused.value) == (
        "Restoring a backup was cut short. Restore it again: python3 manage.py restore "
        f"{backup}. To go on with what is there, delete {note_path()}."
    )
    other = backup.with_name("other.zip")
    write_backup(other)
    with pytest.raises(BackupError, match=f"Another backup \\({backup}\\) was not restored to its end here"):
        restore_backup(other, replace=False)
    restore_backup(backup, replace=False)
    assert not note_path().exists()
    assert not Person.objects.filter(email="wren@larkmoss.example").exists()


def test_a_restore_that_fails_leaves_a_note_only_where_there_was_one(backup, monkeypatch):
    def break_rows(*_):
        raise ValueError

    with monkeypatch.context() as broken:
        broken.setattr(restoring, "_replace_rows", break_rows)
        with pytest.raises(BackupError, match="nothing was changed"):
            restore_backup(backup, replace=True)
        assert not note_path().exists()
    assert not killed(backup, (restoring, "_finish", "before", 1), 0, replace=True)
    noted = note_path().read_text()
    with monkeypatch.context() as broken:
        broken.setattr(restoring, "_replace_rows", break_rows)
        with pytest.raises(BackupError, match="nothing was changed"):
            restore_backup(backup, replace=False)
    assert note_path().read_text() == noted
