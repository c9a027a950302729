"""Stored files are whole or not there: on a full disk, wherever it fails, and whatever was cut before."""

import errno
import os
import resource
import subprocess
from contextlib import ExitStack, contextmanager
from io import BytesIO
from pathlib import Path
from unittest.mock import patch

import pytest
from django.core.files import File
from django.core.files.storage import FileSystemStorage, default_storage
from django.core.management import CommandError, call_command
from django.urls import reverse

from catalogue.editions.stored_files import keep_pdf
from catalogue.models import Photo
from catalogue.photos.intake import store_photo
from catalogue.photos.pictures import clean_picture
from catalogue.public import corrections_sheets
from catalogue.public.corrections_sheets import corrections_sheet
from catalogue.site.verification import studio_faults
from catalogue.studio.erasures import mark_erased, marks
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.storage import keep_file
from testing.models import ResultPhoto
from testing.results.own_photos import add_photo
from tests.builders import make_person
from tests.catalogue import pictures
from tests.catalogue.builders import make_pattern, make_photo, make_version
from tests.testing.builders import make_call, make_place, make_studio

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7 " + b"stitch " * 4000 + b"%%EOF"


def files(folder):
    """The bytes of every file below a folder, by its name."""
    found = (path for path in Path(folder).rglob("*") if path.is_file())
    return {str(path.relative_to(folder)): path.read_bytes() for path in found}


def cut(name):
    """Leave half of a file, as a disk without room does."""
    path = Path(default_storage.path(name))
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def photos_told():
    """What verifying says of photos."""
    return [says for says in studio_faults() if "its photo" in says]


@contextmanager
def room_for(size):
    """The system itself writes no file beyond a size (setrlimit of POSIX); what fits stands there.

    It holds for everything that is done meanwhile: no module may be compiled then, no process begun.
    """
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


class FailingDisk:
    """A disk that is full at one of its calls, counted from 0, and at those after it where it stays so."""

    def __init__(self, at, *, stays_so):
        self.at, self.stays_so, self.calls = at, stays_so, 0

    def fails(self):
        number, self.calls = self.calls, self.calls + 1
        return number == self.at or (self.stays_so and number > self.at)

    def around(self, do):
        def call(*arguments, **named):
            if self.fails():
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return do(*arguments, **named)

        return call

    def chunks(self, chunks):
        """Content of which half is written before the disk is full."""

        def halves(content, *_):
            for chunk in chunks(content):
                yield chunk[: len(chunk) // 2]
                if self.fails():
                    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
                yield chunk[len(chunk) // 2 :]

        return halves

    @contextmanager
    def on(self):
        places = [(FileSystemStorage, ("_open", "_save", "delete")), (Path, ("replace", "unlink"))]
        with ExitStack() as stack:
            for owner, names in [*places, (os, ("fsync", "makedirs", "chmod"))]:
                for name in names:
                    stack.enter_context(patch.object(owner, name, self.around(getattr(owner, name))))
            stack.enter_context(patch.object(File, "chunks", self.chunks(File.chunks)))
            yield


def stores():
    """Every way to store a file, by what it is: what to call, and the names that stand there afterwards."""
    photo = clean_picture(BytesIO(pictures.jpeg()))
    return {
        "an edition": lambda: keep_pdf(PDF, "a" * 64),
        "a photo": lambda: store_photo(photo),
        "a tester's picture": lambda: store_photo(photo, folder="results/1"),
        "a page of corrections": lambda: keep_file("corrections/one.pdf", PDF),
        "a mark": lambda: keep_file(f"erasures/{'b' * 64}", b"erased\n"),
    }


@pytest.mark.parametrize("stays_so", [False, True])
@pytest.mark.parametrize("before", ["nothing", "cut", "empty"])
@pytest.mark.parametrize("what", list(stores()))
def test_wherever_the_disk_fails_a_name_has_all_its_bytes_or_what_it_had(settings, what, before, stays_so):
    store = stores()[what]
    store()
    whole = files(settings.MEDIA_ROOT)
    had = {} if before == "nothing" else dict.fromkeys(whole, b"")
    if before == "cut":
        had = {name: content[: len(content) // 2] for name, content in whole.items()}
    at = 0
    while True:
        for name in whole:
            path = settings.MEDIA_ROOT / name
            path.write_bytes(had[name]) if name in had else path.unlink(missing_ok=True)
        disk = FailingDisk(at, stays_so=stays_so)
        said = ""
        with disk.on():
            try:
                store()
            except FilesOutOfReach as problem:
                said = str(problem)
        found = files(settings.MEDIA_ROOT)
        assert had.keys() <= found.keys()
        if said:
            assert "is full; make room there" in said
            for name in (name for name in found if not name.endswith(".unfinished")):
                assert found[name] in (whole[name], had.get(name)), name
        else:
            assert found == whole
        for path in settings.MEDIA_ROOT.rglob("*.unfinished"):
            assert stays_so, "a disk that lets itself be tidied is tidied"
            path.unlink()
        store()
        assert files(settings.MEDIA_ROOT) == whole, "sent again, it is there"
        if disk.calls <= at:
            break
        at += 1
    assert at > 5


def test_a_file_that_finds_no_room_half_way_leaves_nothing(settings):
    with room_for(1000), pytest.raises(FilesOutOfReach):
        keep_pdf(PDF, "a" * 64)
    assert files(settings.MEDIA_ROOT) == {}
    keep_pdf(PDF, "a" * 64)
    assert list(files(settings.MEDIA_ROOT).values()) == [PDF]


def test_a_photo_that_finds_no_room_is_told_and_can_be_sent_again(client, settings, monkeypatch):
    pattern = make_pattern()
    client.force_login(make_person(role="designer"))

    def send():
        sent = {"alts": "The vest", "pictures": BytesIO(pictures.jpeg())}
        return client.post(reverse("photos", args=[pattern.slug]), sent)

    def store(*photos):
        with room_for(200):
            return store_photo(*photos)

    with monkeypatch.context() as full:
        full.setattr("catalogue.photos.intake.store_photo", store)
        answer = send()
    assert answer.status_code == 200
    assert "The vest" in answer.content.decode()
    assert not Photo.objects.exists()
    assert files(settings.MEDIA_ROOT) == {}
    assert send().status_code == 302
    assert photos_told() == []


@pytest.mark.parametrize("damage", [cut, lambda name: Path(default_storage.path(name)).write_bytes(b"")])
def test_the_same_picture_sent_again_makes_cut_files_whole(settings, damage):
    make_studio()
    place, photo = make_place(make_call()), clean_picture(BytesIO(pictures.jpeg()))
    pattern = place.call.pattern
    draft, sent = make_photo(pattern), add_photo(placement=place, photo=photo, alt="The vest")
    whole = files(settings.MEDIA_ROOT)
    for one in (*draft.files, *sent.files):
        damage(one["name"])
    assert len(photos_told()) == len(draft.files) + len(sent.files)
    make_photo(pattern)
    assert add_photo(placement=place, photo=photo, alt="The vest") == sent
    assert files(settings.MEDIA_ROOT) == whole
    assert photos_told() == []
    assert ResultPhoto.objects.count() == 1


def test_verify_names_every_file_of_drafts_and_testers_that_is_missing_or_damaged(capsys):
    make_studio()
    place = make_place(make_call())
    photo = clean_picture(BytesIO(pictures.jpeg()))
    draft, sent = make_photo(place.call.pattern), add_photo(placement=place, photo=photo, alt="The vest")
    assert photos_told() == []
    cut(draft.files[0]["name"])
    default_storage.delete(sent.files[1]["name"])
    with pytest.raises(CommandError, match="faults found"):
        call_command("verify")
    told = capsys.readouterr().err
    of_draft, of_tester = f"{place.call.pattern}, a photo of its draft", f"picture {sent.pk} of a tester"
    assert f"{of_draft}: its photo {draft.files[0]['name']} was changed (its hash differs)." in told
    assert f"{of_tester}: its photo {sent.files[1]['name']} is missing." in told


def test_a_page_of_corrections_that_was_cut_is_made_again(monkeypatch):
    version = make_version(make_pattern())
    monkeypatch.setattr(corrections_sheets, "_write_pdf", lambda *_: PDF)
    assert corrections_sheet(version, version) == PDF
    (name,) = (f"corrections/{one}" for one in default_storage.listdir("corrections")[1])
    cut(name)
    assert corrections_sheet(version, version) == PDF
    with default_storage.open(name) as stored:
        assert stored.read() == PDF


def test_a_mark_half_written_is_no_mark(settings):
    folder = settings.MEDIA_ROOT / "erasures"
    folder.mkdir(parents=True)
    (folder / f"{'c' * 64}.1a2b3c4d.unfinished").write_bytes(b"era")
    mark_erased("d" * 64)
    assert marks() == {"d" * 64}


def test_on_a_small_disk_files_are_whole_or_not_there(settings, tmp_path, full, count_proof):
    """A file system in memory of the size that is given (tmpfs of Linux)."""
    if not full:
        pytest.skip("Needs a file system of its own: --full mounts one.")
    if os.geteuid() != 0:
        pytest.skip("Only an administrator may mount a file system; the failing disk above is tried by all.")
    disk = tmp_path / "disk"
    disk.mkdir()
    photo = clean_picture(BytesIO(pictures.jpeg(pictures.two_colours((1600, 1200)))))
    sizes = sum(len(one.content) for one in photo.files)
    for kib in range(4, sizes // 1024 + 60, 4):
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kib}k", "small", str(disk)], check=True)
        try:
            settings.MEDIA_ROOT = disk / "files"
            said = ""
            try:
                store_photo(photo)
            except FilesOutOfReach as problem:
                said = str(problem)
            kept = [] if said else [one.content for one in photo.files]
            assert sorted(files(disk).values()) == sorted(kept)
            assert "is full; make room there" in said or not said
        finally:
            subprocess.run(["umount", str(disk)], check=True)
        count_proof("photos stored on small disks", 1)
