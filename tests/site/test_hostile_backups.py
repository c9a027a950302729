"""Backups that were cut, changed or made up: one sentence, nothing half-stored, no memory taken."""

import io
import tracemalloc

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command

from catalogue.models import Person
from catalogue.site import restoring
from catalogue.site.backup_rows import row_lines
from catalogue.site.backups import stored_files, write_backup
from catalogue.site.restoring import restore_backup
from testing.models import TesterNote
from tests.builders import make_person, make_studio
from tests.site.hostile_backups import BOMB_BYTES, HOSTILE
from tests.site.test_backups import wipe

pytestmark = pytest.mark.django_db
MOST_MEMORY_BYTES = 200_000_000
ENDLESS = [name for name in HOSTILE if "without end" in name]


@pytest.fixture(autouse=True)
def data(settings, tmp_path):
    """A data folder of its own, with a key of the studio."""
    settings.DATA_DIR = tmp_path / "data"
    settings.DATA_DIR.mkdir()
    (settings.DATA_DIR / "secret_key").write_text("signs the addresses in letters")
    return settings.DATA_DIR


@pytest.fixture(autouse=True)
def tables(monkeypatch):
    """The tables are there: making sure of it takes longest of all."""
    monkeypatch.setattr(restoring, "call_command", lambda *_, **__: None)


@pytest.fixture
def sound(tmp_path):
    """A sound backup of a small studio with a picture."""
    make_studio()
    TesterNote.objects.create(person=make_person(role="designer"), text="Sews well")
    default_storage.save("photos/one.jpg", io.BytesIO(b"One picture."))
    write_backup(tmp_path / "sound.zip")
    return tmp_path / "sound.zip"


def everything(data):
    files = {}
    for name in stored_files():
        with default_storage.open(name) as stored:
            files[name] = stored.read()
    return sorted(row_lines()), files, (data / "secret_key").read_text()


def refused(path, *arguments):
    """What restoring says; it must refuse, in one sentence."""
    with pytest.raises(CommandError) as refusal:
        call_command("restore", str(path), *arguments)
    says = str(refusal.value)
    assert says.endswith(".")
    assert "\n" not in says
    assert len(says) < 500
    return says


@pytest.mark.parametrize("name", [name for name in HOSTILE if name not in ENDLESS])
def test_a_hostile_backup_is_refused_in_a_sentence_and_changes_nothing(sound, data, tmp_path, name):
    hostile = tmp_path / "hostile.zip"
    HOSTILE[name](sound.read_bytes(), hostile)
    # In place of a studio in use, which has other contents under the same names.
    Person.objects.update(name="Somebody else")
    default_storage.delete("photos/one.jpg")
    default_storage.save("photos/one.jpg", io.BytesIO(b"Another picture."))
    before = everything(data)
    refused(hostile, "--replace")
    assert everything(data) == before
    # On a new machine, which stays as new as it was.
    wipe()
    before = everything(data)
    refused(hostile)
    assert everything(data) == before


@pytest.mark.parametrize("name", ENDLESS)
def test_what_unpacks_without_end_takes_no_memory_and_changes_nothing(sound, data, tmp_path, name):
    hostile = tmp_path / "hostile.zip"
    HOSTILE[name](sound.read_bytes(), hostile)
    assert hostile.stat().st_size < BOMB_BYTES / 100
    before = everything(data)
    tracemalloc.start()
    try:
        refused(hostile, "--replace")
        taken = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert taken < MOST_MEMORY_BYTES
    assert everything(data) == before


@pytest.mark.parametrize("name", ["with a row twice", "with a file under a file", "with a note about nobody"])
def test_after_a_first_restore_that_failed_the_next_needs_no_replacing(sound, tmp_path, name):
    HOSTILE[name](sound.read_bytes(), tmp_path / "hostile.zip")
    wipe()
    refused(tmp_path / "hostile.zip")
    assert restore_backup(sound, replace=False).files == 1


def test_there_are_enough_hostile_backups():
    assert len(HOSTILE) >= 42
