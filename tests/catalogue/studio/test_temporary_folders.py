"""What press and restore leave among temporary files when they are killed is swept; what is in use stays."""

import os
import shutil
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from catalogue.site import supervisor
from catalogue.studio.chores import do_chore
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.temporary_folders import RENDERING, RESTORING, held_folder, make_folder, sweep_folders

HOLD = """
import time
from catalogue.studio.temporary_folders import held_folder
with held_folder("evenrow-press-") as folder:
    (folder / "photos").mkdir()
    (folder / "record.json").write_text("unpublished")
    print(folder, flush=True)
    time.sleep(600)
"""


@pytest.fixture(autouse=True)
def temporary(tmp_path, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


@pytest.fixture
def holder(temporary):
    """Another process that uses a folder, and that folder."""
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD], stdout=subprocess.PIPE, env={**os.environ, "TMPDIR": str(temporary)}
    )
    assert process.stdout
    yield process, Path(process.stdout.readline().decode().strip())
    process.kill()
    process.wait()
    process.stdout.close()


def test_a_folder_in_use_stays_and_that_of_a_killed_process_is_swept(holder, temporary):
    process, folder = holder
    assert sweep_folders() == 0
    assert (folder / "record.json").read_text() == "unpublished"
    process.send_signal(signal.SIGKILL)
    process.wait()
    assert folder.exists()
    assert sweep_folders() == 1
    assert not list(temporary.iterdir())
    assert sweep_folders() == 0


@pytest.mark.django_db
def test_a_studio_sweeps_them_as_it_opens_and_from_time_to_time(holder):
    process, folder = holder
    process.kill()
    process.wait()
    (chore,) = [one for one in supervisor.TENDING if one.do is sweep_folders]
    assert do_chore(chore).result == 1
    assert not folder.exists()
    assert supervisor.Running.__dataclass_fields__["tended_at"].default == float("-inf")


def test_a_folder_is_gone_after_its_use_and_its_own_process_sweeps_none_before():
    with held_folder(RESTORING) as folder:
        assert sweep_folders() == 0
        assert folder.exists()
    assert not folder.exists()


def test_a_folder_that_is_swept_as_it_is_made_is_made_again(monkeypatch):
    made = []
    make = tempfile.mkdtemp

    def make_and_sweep(**options):
        path = make(**options)
        made.append(path)
        if len(made) == 1:
            assert sweep_folders() == 1
        return path

    monkeypatch.setattr(tempfile, "mkdtemp", make_and_sweep)
    folder = make_folder(RENDERING)
    assert len(made) == 2
    assert folder.path.exists()
    folder.remove()


def test_links_files_and_folders_of_other_names_stay(temporary):
    other = temporary / "records"
    other.mkdir()
    (other / "record.json").write_text("kept")
    (temporary / f"{RENDERING}link").symlink_to(other)
    (temporary / f"{RENDERING}file").write_text("kept")
    assert sweep_folders() == 0
    assert (other / "record.json").read_text() == "kept"
    assert (temporary / f"{RENDERING}file").exists()


def test_folders_of_somebody_else_stay(monkeypatch, temporary):
    (temporary / f"{RENDERING}theirs").mkdir()
    me = os.geteuid()
    monkeypatch.setattr(os, "geteuid", lambda: me + 1)
    assert sweep_folders() == 0
    assert (temporary / f"{RENDERING}theirs").exists()


def test_a_folder_that_cannot_go_is_told_with_its_place(monkeypatch, temporary):
    (temporary / f"{RENDERING}stays").mkdir()

    def refuse(_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(shutil, "rmtree", refuse)
    with pytest.raises(FilesOutOfReach, match=f"The folder {temporary} may not be used"):
        sweep_folders()
