"""A photo whose upload is killed is either whole or not there, and can be sent again: real processes."""

import io
import os
import random
import signal
import time
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse
from PIL import Image

from catalogue.models import Pattern, Person, Photo
from catalogue.photos import intake, photos
from catalogue.photos.photos import add_photos
from catalogue.photos.pictures import clean_picture
from catalogue.site.backups import stored_files
from catalogue.site.file_folder import FileFolder
from catalogue.site.verification import studio_faults
from testing.models import Placement, ResultPhoto
from testing.privacy import leftovers
from testing.privacy.leftovers import sweep_all_pictures, sweep_pictures
from testing.results import own_photos
from testing.results.own_photos import add_photo
from tests.catalogue import pictures
from tests.killed import arm, forked, told
from tests.testing.builders import make_call, make_person, make_place, make_studio

# Before the first file, between two files, and between the files and a row that is kept.
FEW = (2, 6, 11)


@dataclass(frozen=True)
class Upload:
    """One of the two ways in which pictures come: its room, its rows, how it is sent."""

    room: Any
    rows: Any
    keep: Any
    address: Any
    person: Any
    field: str


def kept_of_tester(clean):
    add_photo(placement=Placement.objects.get(), photo=clean, alt="The front")


def kept_of_pattern(clean):
    add_photos(pattern=Pattern.objects.get(), photos=[(clean, "The front")], caption="")


UPLOADS = {
    "tester": Upload(
        own_photos,
        ResultPhoto,
        kept_of_tester,
        lambda: reverse("making_photo", args=[Placement.objects.get().pk]),
        lambda: Placement.objects.get().person,
        "photo",
    ),
    "pattern": Upload(
        photos,
        Photo,
        kept_of_pattern,
        lambda: reverse("photos", args=[Pattern.objects.get().slug]),
        lambda: Person.objects.get(email="designer@larkmoss.example"),
        "pictures",
    ),
}


def points(upload):
    """Where an upload is killed: from before the first file to after the row, and after all is kept."""
    return [
        (upload.room, "store_photo", "before", 1),
        (intake, "keep_file", "before", 1),
        (FileFolder, "_save", "before", 1),
        (os, "fsync", "before", 1),
        (os, "fsync", "after", 1),
        (os, "fsync", "after", 2),
        (intake, "keep_file", "after", 1),
        (intake, "keep_file", "before", 2),
        (FileFolder, "_save", "after", 2),
        (upload.room, "store_photo", "after", 1),
        (upload.rows.objects, "create", "before", 1),
        (upload.rows.objects, "create", "after", 1),
    ]


def picture(number):
    """Another picture each time, as large as one is stored."""
    shade = (number * 37 % 256, number * 11 % 256, number % 256)
    return pictures.jpeg(Image.new("RGB", (600, 400), shade))


@pytest.fixture
def studio(shared_database, monkeypatch):
    """One place and one pattern, and sweeps that spare nothing for being young; what "verify" says of it."""
    monkeypatch.setattr(leftovers, "LEFTOVER_AFTER", timedelta(0))
    make_studio()
    make_person("designer@larkmoss.example", "designer")
    make_place(make_call())
    return set(studio_faults())  # of versions that were made without a PDF


def killed_at(upload, content, point):
    """Keep a cleaned picture in a process that ends at a point."""
    clean = clean_picture(io.BytesIO(content))

    def work():
        arm(*point)
        upload.keep(clean)
        return "kept"

    return told(*forked(work))


def send(upload, content):
    """Send a picture as a browser does; what came of it."""
    browser = Client()
    browser.force_login(upload.person())
    upload_file = io.BytesIO(content)
    upload_file.name = "front.jpg"
    given = {upload.field: upload_file, "alt": "The front", "alts": "The front", "caption": ""}
    answer = browser.post(upload.address(), given)
    return "kept" if answer.status_code == 302 else answer.content.decode()


def killed_after(upload, content, seconds):
    """Send a picture in a process that is killed after a time; what it could tell."""
    pid, hears = forked(lambda: send(upload, content))
    time.sleep(seconds)
    os.kill(pid, signal.SIGKILL)
    return told(pid, hears)


def wrongs(upload, content, said, usual):
    """What is wrong right after a kill, once it was swept, and once the same picture was sent again."""
    digest = clean_picture(io.BytesIO(content)).digest
    rows = upload.rows.objects.filter(digest=digest)
    found = [fault for fault in studio_faults() if fault not in usual]
    if said not in ("", "kept"):
        found.append(said)
    if rows.count() != 1 and (said == "kept" or rows.exists()):
        found.append(f"{rows.count()} rows of a picture that is {said or 'not acknowledged'}")
    found += left_over()
    upload.keep(clean_picture(io.BytesIO(content)))
    if not rows.exists():
        found.append("the same picture can't be sent again")
    found += [fault for fault in (*studio_faults(), *left_over()) if fault not in usual]
    upload.rows.objects.all().delete()
    left_over()
    return found


def left_over():
    """Sweep; which files no row has, and which files of rows are gone."""
    leftovers._LOOKED_AT.clear()
    sweep_pictures()
    sweep_all_pictures()
    known = {one["name"] for rows in (Photo, ResultPhoto) for row in rows.objects.all() for one in row.files}
    there = set(stored_files()) | set(unfinished_files())
    return [f"{name} is left over or lost" for name in there ^ known]


def unfinished_files():
    """Files that were being written."""
    folder = default_storage.path("")
    found = [os.path.join(where, name) for where, _, names in os.walk(folder) for name in names]  # noqa: PTH118
    return [os.path.relpath(name, folder) for name in found if name.endswith(".unfinished")]


@pytest.mark.parametrize("kind", UPLOADS)
def test_a_killed_upload_is_whole_or_not_there_and_can_be_sent_again(studio, kind, full, count_proof):
    upload, rng = UPLOADS[kind], random.Random(kind)
    found, acknowledged = [], 0
    named = points(upload) if full else [points(upload)[place] for place in FEW]
    for number, point in enumerate(named):
        content = picture(number)
        said = killed_at(upload, content, point)
        assert not said, (point[1:], said)
        found += [(point[1:], wrong) for wrong in wrongs(upload, content, said, studio)]
    began = time.monotonic()
    assert send(upload, picture(200)) == "kept"
    takes = time.monotonic() - began
    randoms = 150 if full else 1
    for number in range(randoms):
        content, after = picture(1000 + number), rng.random() * takes * 1.3
        said = killed_after(upload, content, after)
        acknowledged += said == "kept"
        found += [(f"after {after:.3f} s", wrong) for wrong in wrongs(upload, content, said, studio)]
    assert found == []
    assert acknowledged < randoms or not full
    count_proof("uploads killed at named points", len(named))
    count_proof("uploads killed at random moments", randoms)
