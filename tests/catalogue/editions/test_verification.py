"""Verifying files, records and rows of versions; and the command that publishes."""

import re
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.urls import reverse

from catalogue.models import Edition, Version
from catalogue.publishing import publishing
from catalogue.publishing.obstacles import PublishingStop
from tests.catalogue.builders import edit, make_pattern, make_photo, make_version

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def path_of(edition):
    return Path(default_storage.path(edition.file.name))


def verified():
    said = StringIO()
    with pytest.raises(CommandError) as stopped:
        call_command("verify", stderr=said)
    assert re.fullmatch(r"\d+ faults? found\.", str(stopped.value))
    return said.getvalue()


def test_verify_says_that_all_is_well():
    make_version()
    said = StringIO()
    call_command("verify", stdout=said)
    assert "All 1 versions are complete" in said.getvalue()


def test_a_deleted_file_is_named_and_its_download_says_so(designer_client):
    edition = make_version().editions.get()
    path_of(edition).unlink()
    assert f"{edition.file.name} is missing" in verified()
    answer = designer_client.get(reverse("edition_file", args=[edition.pk]))
    assert answer.status_code == 503
    assert "This file is not there now" in answer.content.decode()


def test_one_flipped_bit_is_named():
    edition = make_version().editions.get()
    content = bytearray(path_of(edition).read_bytes())
    content[20] ^= 1
    path_of(edition).write_bytes(content)
    assert f"{edition.file.name} was changed" in verified()


def test_a_changed_record_row_or_photo_is_named():
    pattern = make_pattern()
    photo = make_photo(pattern)
    version = make_version(pattern)
    Version.objects.update(note="Something else")
    assert "its note is" in verified()
    Version.objects.update(note="", record=version.record.replace("Brackenmere", "Blackenmere"))
    assert "not the one that was frozen" in verified()
    Version.objects.update(record=version.record)
    for one in photo.files:
        default_storage.delete(one["name"])
    assert "its photo" in verified()


@pytest.mark.parametrize("record", ["[]", "{}", "1", "{", ""])
def test_a_record_that_is_none_any_more_is_named_and_the_others_are_looked_at(record):
    pattern = make_pattern()
    version, other = make_version(pattern), make_version(pattern, number="1.1")
    path_of(other.editions.get()).unlink()
    Version.objects.filter(pk=version.pk).update(record=record)
    said = verified()
    assert "1.0: the record can't be read any more" in said
    assert "1.1, US terms" in said


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"file": "../../somewhere.pdf"}, "its file ../../somewhere.pdf is missing"),
        ({"file": ""}, r"its file \(none\) is missing"),
        ({"state": "failed"}, "the edition that it was written in is missing"),
        ({"code": "right|in|US|all|screen|A4"}, "its choices are others"),
        ({"choices": {}}, "its choices are others"),
    ],
)
def test_a_changed_row_of_an_edition_is_named(changed, says):
    make_version()
    Edition.objects.update(**changed)
    assert re.search(says, verified())


def test_a_version_that_was_taken_back_by_hand_is_named():
    version = make_version()
    Version.objects.update(state="waiting")
    assert "was published once" in verified()
    Version.objects.update(state="published", frozen_at=version.frozen_at + timedelta(days=1))
    assert "its moment is" in verified()


def test_every_file_of_a_photo_is_looked_for():
    pattern = make_pattern()
    photo = make_photo(pattern)
    make_version(pattern)
    small = min(photo.files, key=lambda one: one["width_px"])
    default_storage.delete(small["name"])
    assert f"its photo {small['name']} is missing" in verified()


def test_a_folder_that_cannot_be_written_to_stops_the_command_before_it_publishes(tmp_path):
    pattern = make_pattern()
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(CommandError, match=r"Nothing was published: .* can't be written to"):
        call_command("publish", pattern.slug, number="1.0", out=tmp_path / "file", stderr=StringIO())
    assert not Version.objects.exists()


def test_a_note_that_reads_like_a_frozen_number_is_stopped():
    with pytest.raises(PublishingStop, match=r"“1\.500000” reads like a number"):
        make_version(note="1.500000")


def test_the_command_publishes_and_writes_the_files(tmp_path):
    pattern = make_pattern()
    said, warned = StringIO(), StringIO()
    call_command("publish", pattern.slug, number="1.0", out=tmp_path / "pdf", stdout=said, stderr=warned)
    assert "Version 1.0 is published" in said.getvalue()
    assert "No technical edit" in warned.getvalue()
    assert len(list((tmp_path / "pdf").iterdir())) == 4
    with pytest.raises(CommandError, match=r"already: take 1\.1"):
        call_command("publish", pattern.slug, number="1.0", stdout=said, stderr=warned)
    with pytest.raises(CommandError, match="There is no pattern"):
        call_command("publish", "nothing", number="1.0", stdout=said, stderr=warned)


def test_the_command_says_what_stops_it():
    pattern, warned = make_pattern(), StringIO()
    edit(pattern, lambda document: document.update(sections=[]))
    with pytest.raises(CommandError, match="Nothing was published"):
        call_command("publish", pattern.slug, number="1.0", stderr=warned)
    assert "stop: There are no instructions" in warned.getvalue()


def test_the_command_finishes_what_an_earlier_run_began():
    pattern = make_pattern()
    frozen = publishing.freeze_version(
        publishing.Publication(pattern=pattern, kind="test", number="0.1", note="", by=None)
    )
    said = StringIO()
    call_command("publish", pattern.slug, number="0.1", test=True, stdout=said, stderr=StringIO())
    assert "was frozen before" in said.getvalue()
    frozen.refresh_from_db()
    assert frozen.state == "published"


def test_what_was_frozen_as_a_release_is_not_finished_as_a_test_version():
    pattern = make_pattern()
    publishing.freeze_version(
        publishing.Publication(pattern=pattern, kind="release", number="1.0", note="", by=None)
    )
    with pytest.raises(CommandError, match="was frozen as a release version"):
        call_command("publish", pattern.slug, number="1.0", test=True, stderr=StringIO())
    assert Version.objects.get().state == "waiting"
