"""A studio in one file: put back whole, with nothing that was erased since."""

import io
import json
import zipfile

import pytest
from django.apps import apps
from django.contrib.auth.models import Group
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command

from catalogue.drafts.documents import pattern_document
from catalogue.editions.verification import faults
from catalogue.holders.holders import NewHolder, confirm_holder, erase_holder, store_holders, unsubscribe
from catalogue.holders.pdf_links import (
    give_pdf,
    held_versions,
    holder_of_pdf_key,
    pdf_key,
    store_buyers,
    withdraw_pdfs,
)
from catalogue.models import Holder, Pattern, Person
from catalogue.photos.pictures import clean_picture
from catalogue.site import backup_rows
from catalogue.site.backup_rows import LEFT_OUT, delete_rows, row_lines
from catalogue.site.backups import BackupError, stored_files, write_backup
from catalogue.site.restoring import restore_backup
from testing.models import Application, ResultPhoto, TesterNote
from testing.privacy.erasing import erase_application, erase_person
from testing.results.own_photos import add_photo
from tests.builders import make_person, sample
from tests.catalogue import pictures
from tests.catalogue.builders import SAMPLES, make_pattern, make_photo, make_version
from tests.present import present
from tests.site.one_of_everything import ends_of, make_one_of_everything
from tests.testing.builders import make_application, make_call, make_place, make_studio

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def data(settings, tmp_path):
    """A data folder of its own, with the key that the studio made for itself."""
    settings.DATA_DIR = tmp_path / "data"
    settings.DATA_DIR.mkdir()
    (settings.DATA_DIR / "secret_key").write_text("signs the addresses in letters")
    return settings.DATA_DIR


@pytest.fixture
def backup(tmp_path):
    return tmp_path / "studio.zip"


def wipe():
    """Another machine: no rows, no files."""
    delete_rows()
    for name in list(stored_files()):
        default_storage.delete(name)


def everything():
    return sorted(row_lines()), list(stored_files())


def test_every_row_and_file_comes_back_as_it_was(backup, data):
    make_studio()
    designer = make_person(role="designer")
    patterns = [make_pattern(name) for name in SAMPLES]
    make_version(patterns[0], kind="test", number="0.1")
    before = everything()
    assert len(before[1]) == 1, "the file of the version"
    counted = write_backup(backup)
    assert (counted.rows, counted.files) == (len(before[0]), 1)
    assert backup.stat().st_mode & 0o777 == 0o600

    wipe()
    (data / "secret_key").write_text("of the new machine")
    restored = restore_backup(backup, replace=False)
    assert (restored.rows, restored.files, restored.erased) == (counted.rows, 1, 0)
    assert everything() == before
    assert [pattern_document(Pattern.objects.get(pk=one.pk)) for one in patterns] == [
        sample(name) for name in SAMPLES
    ]
    assert Person.objects.get(pk=designer.pk).groups.get() == Group.objects.get(name="designer")
    assert (data / "secret_key").read_text() == "signs the addresses in letters"
    assert list(faults()) == []
    assert Person.objects.create_user("next@larkmoss.example").pk > designer.pk, "keys go on after the last"


def test_an_older_backup_takes_the_place_of_a_studio_with_later_people(backup):
    make_studio()
    before = everything()
    write_backup(backup)
    make_person(role="editor", may_publish=True)
    restore_backup(backup, replace=True)
    assert everything() == before
    assert not Person.groups.through.objects.exists()


def test_a_row_of_every_table_comes_back_as_it_was(backup):
    make_one_of_everything()
    for model in apps.get_models(include_auto_created=True):
        if model._meta.label not in LEFT_OUT and not LEFT_OUT.intersection(ends_of(model)):
            assert model._base_manager.exists(), f"{model._meta.label} has no row: make one"
    before = everything()
    assert write_backup(backup).missing == ()
    wipe()
    restore_backup(backup, replace=False)
    assert everything() == before


def test_a_backup_of_an_older_program_that_names_people_by_their_address_is_put_back(backup, monkeypatch):
    make_studio()
    TesterNote.objects.create(person=make_person(role="tester"), text="Sews well")
    before = everything()
    with monkeypatch.context() as older:
        older.setattr(backup_rows, "_is_made_anew", lambda model: hasattr(model, "natural_key"))
        write_backup(backup)
    with zipfile.ZipFile(backup) as archive:
        assert b'"person": ["tester' in archive.read("rows.jsonl")
    wipe()
    restore_backup(backup, replace=False)
    assert everything() == before


def test_a_backup_that_does_not_read_back_is_not_kept(backup, monkeypatch):
    make_pattern()
    monkeypatch.setattr(backup_rows, "_as_text", lambda value: f"about {value}")
    with pytest.raises(CommandError, match=r"does not read back, and is not kept: row \d+ can't be used"):
        call_command("backup", str(backup))
    assert list(backup.parent.glob("studio.zip*")) == []


def test_a_backup_names_the_files_that_are_missing(backup, capsys):
    make_studio()
    drawn = make_photo(make_pattern())
    place = make_place(make_call())
    sent = add_photo(placement=place, photo=clean_picture(io.BytesIO(pictures.jpeg())), alt="The vest")
    gone = [drawn.files[0]["name"], sent.files[-1]["name"]]
    for name in gone:
        default_storage.delete(name)
    with pytest.raises(CommandError, match=r"is written, but 2 files are missing from it"):
        call_command("backup", str(backup))
    said = capsys.readouterr().err
    assert all(f"{name} is missing" in said for name in gone)
    assert set(write_backup(backup.with_name("again.zip")).missing) == set(gone)
    assert restore_backup(backup, replace=True).rows > 10, "what there is can be put back"


def test_what_people_had_erased_stays_erased_after_an_older_backup(
    backup, django_capture_on_commit_callbacks
):
    make_studio()
    call = make_call()
    place = make_place(call)
    add_photo(placement=place, photo=clean_picture(io.BytesIO(pictures.jpeg())), alt="Wren Alder in the vest")
    other = make_application(call, name="Moss Reed", email="moss@larkmoss.example")
    make_application(call, name="Fern Hollis", email="fern@larkmoss.example")
    write_backup(backup)
    with django_capture_on_commit_callbacks(execute=True):
        erase_application(application=other)
        erase_person(person=present(place.person))

    with django_capture_on_commit_callbacks(execute=True):
        restored = restore_backup(backup, replace=True)
    assert restored.erased == 3, "two applications and an account"
    assert [one.name for one in Application.objects.all()] == ["Fern Hollis"]
    assert not Person.objects.filter(email="wren@larkmoss.example").exists()
    assert not ResultPhoto.objects.exists()
    marks = {name for name in stored_files() if name.startswith("erasures/")}
    assert len(marks) == 3
    assert set(stored_files()) == marks, "no picture came back"
    with zipfile.ZipFile(backup) as archive:
        assert b"Wren Alder" in archive.read("rows.jsonl"), "the older backup knows"
    write_backup(backup.with_name("now.zip"))
    with zipfile.ZipFile(backup.with_name("now.zip")) as archive:
        kept = b"".join(name.encode() + archive.read(name) for name in archive.namelist()).decode()
    assert not [told for told in ("Wren", "wren@", "moss@", "Moss Reed") if told in kept]


def test_who_unsubscribed_hears_nothing_after_an_older_backup(backup, django_capture_on_commit_callbacks):
    pattern = make_pattern()
    names = ("stays", "leaves", "goes", "returns")
    wanted = [NewHolder(f"{name}@larkmoss.example", pattern, None, None) for name in names]
    store_holders(holders=wanted, source="typed")
    stays, leaves, goes, returns = Holder.objects.order_by("pk")
    write_backup(backup)
    with django_capture_on_commit_callbacks(execute=True):
        unsubscribe(holder=leaves)
        erase_holder(holder=goes)
        unsubscribe(holder=returns)
    confirm_holder(holder=returns)

    assert restore_backup(backup, replace=True).erased == 2
    found = dict(Holder.objects.values_list("email", "state"))
    assert found == {stays.email: "wants", leaves.email: "left", returns.email: "wants"}


def test_a_link_to_pdfs_that_was_withdrawn_stays_dead_after_an_older_backup(
    backup, django_capture_on_commit_callbacks
):
    version = make_version(make_pattern(), number="1.0")
    for name in ("stays", "goes", "again"):
        holder = NewHolder(f"{name}@larkmoss.example", version.pattern, version, None)
        store_buyers(holders=[holder], source="imported")
    stays, goes, again = Holder.objects.order_by("pk")
    with django_capture_on_commit_callbacks(execute=True):
        withdraw_pdfs(holder=again)
    again.refresh_from_db()
    give_pdf(holder=again, version=version)
    write_backup(backup)
    with django_capture_on_commit_callbacks(execute=True):
        withdraw_pdfs(holder=goes)

    restore_backup(backup, replace=True)
    assert holder_of_pdf_key(pdf_key(goes)) is None
    assert not Holder.objects.get(pk=goes.pk).pdf_versions.exists()
    assert [holder_of_pdf_key(pdf_key(one)) for one in (stays, again)] == [stays, again]
    assert [held_versions(one).get() for one in (stays, again)] == [version, version]


def test_a_later_person_with_the_same_key_is_not_erased(backup):
    """After an older backup keys are given out again."""
    make_studio()
    call = make_call()
    write_backup(backup)
    erase_application(application=make_application(call))
    restore_backup(backup, replace=True)
    again = make_application(call, name="Moss Reed", email="moss@larkmoss.example")
    write_backup(backup.with_name("second.zip"))
    restore_backup(backup.with_name("second.zip"), replace=True)
    assert Application.objects.get().pk == again.pk


def test_a_studio_in_use_is_replaced_only_when_that_is_asked_for(backup):
    make_pattern()
    write_backup(backup)
    extra = default_storage.save("photos/later.jpg", io.BytesIO(b"later"))
    with pytest.raises(CommandError, match="not empty: add --replace"):
        call_command("restore", str(backup))
    assert default_storage.exists(extra)
    call_command("restore", str(backup), "--replace")
    assert not default_storage.exists(extra)


def changed(backup, **parts):
    """A copy of a backup with other parts."""
    target = backup.with_name("changed.zip")
    with zipfile.ZipFile(backup) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            new.writestr(name, parts.get(name.partition(".")[0], old.read(name)))
    return target


@pytest.mark.parametrize(
    ("of", "reason"),
    [
        (lambda backup: backup.with_name("nothing.zip"), "can't be read as a backup"),
        (lambda backup: backup.parent, "can't be read as a backup"),
        (lambda backup: changed(backup, rows=b"{}"), "its rows were changed"),
        (lambda backup: changed(backup, about=b"[]"), "not a complete backup"),
        (lambda backup: changed(backup, about=b"{"), "not a complete backup"),
        (lambda backup: changed(backup, about=json.dumps({"format": 9}).encode()), "other tables"),
        (
            lambda backup: changed(backup, about=json.dumps({"tables": ["testing.0009"]}).encode()),
            "other tab",
        ),
    ],
)
def test_what_is_no_whole_backup_changes_nothing(backup, of, reason):
    make_pattern()
    write_backup(backup)
    before = everything()
    with pytest.raises(BackupError, match=reason):
        restore_backup(of(backup), replace=True)
    assert everything() == before


def test_a_file_outside_the_storage_is_refused(backup):
    make_pattern()
    write_backup(backup)
    with zipfile.ZipFile(backup) as archive:
        about = json.loads(archive.read("about.json"))
    about["files"]["../outside.txt"] = "0"
    with pytest.raises(BackupError, match="is outside"):
        restore_backup(changed(backup, about=json.dumps(about).encode()), replace=True)


def test_a_torn_file_is_refused(backup):
    make_version(kind="test", number="0.1")
    write_backup(backup)
    backup.write_bytes(backup.read_bytes()[:-40])
    with pytest.raises(BackupError):
        restore_backup(backup, replace=True)
    assert list(faults()) == []


def test_a_backup_never_takes_the_place_of_another(backup):
    make_pattern()
    call_command("backup", str(backup))
    first = backup.read_bytes()
    with pytest.raises(CommandError, match="is there already: choose another name"):
        call_command("backup", str(backup))
    assert backup.read_bytes() == first
    with pytest.raises(CommandError, match="can't be written"):
        call_command("backup", str(backup.parent / "no folder" / "studio.zip"))
