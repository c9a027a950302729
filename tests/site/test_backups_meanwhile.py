"""Backups that are written while four processes write, and faults planted in a studio: each is found."""

import contextlib
import hashlib
import io
import os
import random
import select
import signal
import time
from collections.abc import Iterator
from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from PIL import Image

from catalogue.drafts.edits import edit_pattern
from catalogue.drafts.patterns import load_pattern
from catalogue.editions import stored_files as kept_files
from catalogue.holders.holders import NewHolder, store_holders
from catalogue.models import Edition, FrozenPhoto, Holder, Pattern, PatternEdit, Version
from catalogue.photos.photos import add_photos
from catalogue.photos.pictures import CleanFile, CleanPhoto
from catalogue.publishing import publishing
from catalogue.site.backups import stored_files, write_backup
from catalogue.site.restoring import restore_backup
from catalogue.site.verification import studio_faults
from testing.results.own_photos import add_photo
from tests.builders import sample
from tests.catalogue import publishers
from tests.file_database import shared_database  # noqa: F401  fixture
from tests.killed import forked
from tests.site.test_many_processes import one_more
from tests.testing.builders import make_call, make_pattern, make_place, make_studio

pytestmark = pytest.mark.usefixtures("shared_database")


def picture(number):
    """A clean photo, another for each number."""
    files = []
    for width in (60, 30):
        for form in ("jpg", "webp"):
            content = _encoded(number, width, form)
            files.append(CleanFile(form, width, width, content))
    return CleanPhoto(60, 60, hashlib.sha256(files[0].content).hexdigest(), tuple(files))


def _encoded(number, width, form):
    file = io.BytesIO()
    noise = random.Random(number).randbytes(3 * width * width)
    Image.frombytes("RGB", (width, width), noise).save(file, "JPEG" if form == "jpg" else "WEBP")
    return file.getvalue()


def vest():
    return Pattern.objects.select_related("sheet").earliest("pk")


def pullover():
    return Pattern.objects.latest("pk")


def edits(turn):
    pattern = vest()
    edit_pattern(pattern=pattern, revision=pattern.sheet.revision, change=one_more)


def holders(turn):
    pattern = vest()
    found = [NewHolder(f"{turn}-{at}@larkmoss.example", pattern, None, None) for at in range(5)]
    store_holders(holders=found, source="typed")


def photos(turn):
    pattern = pullover()
    add_photos(pattern=pattern, photos=[(picture(turn), "A vest")], caption="")


def versions(turn):
    publishers.publish(pullover(), f"0.{turn}")


WRITERS = (edits, holders, photos, versions)


def keep_writing(write):
    for turn in range(100_000):
        write(turn)
    return "done"


@contextlib.contextmanager
def written_meanwhile() -> Iterator[list[int]]:
    """Four processes that write as fast as they can, killed at the end; what each tells should it fail."""
    pids = [forked(partial(keep_writing, write)) for write in WRITERS]
    try:
        yield [hears for _, hears in pids]
    finally:
        for pid, hears in pids:
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
            os.close(hears)


def check_all_write(hears):
    """None of the writers has said anything: each still writes."""
    for pipe in select.select(hears, [], [], 0)[0]:
        raise AssertionError(os.read(pipe, 1000).decode())


def written():
    return (
        PatternEdit.objects.count(),
        Holder.objects.count(),
        Version.objects.filter(state="published").count(),
    )


def wrong():
    """What can't be, whatever the moment: half of what was stored together, numbers left out, bad files."""
    found = list(studio_faults())
    found_vest = vest()
    if found_vest.title != f"Fernhollow Vest {PatternEdit.objects.filter(pattern=found_vest).count()}":
        found.append(f"{found_vest.title}, and another number of edits")
    if Holder.objects.count() % 5:
        found.append("half of the holders that were stored together")
    minors = list(Version.objects.order_by("minor").values_list("minor", flat=True))
    if minors != list(range(len(minors))):
        found.append(f"versions {minors}")
    # What a kill or the moment of a backup left is swept, and is no fault.
    return [says for says in found if "no edition has this file" not in says]


def test_backups_under_four_writers_are_whole(full, count_proof, settings, tmp_path, monkeypatch):
    rounds = 10 if full else 2
    settings.DATA_DIR = tmp_path / "data"
    settings.DATA_DIR.mkdir()
    monkeypatch.setattr(publishing, "render_editions", publishers.quick_press)
    make_studio()
    make_pattern(title="Fernhollow Vest 0")
    load_pattern(document=sample("brackenmere_pullover"), by=None)
    backups: list[Path] = []
    with written_meanwhile() as hears:
        for turn in range(rounds):
            before = written()
            while any(now <= then for now, then in zip(written(), before, strict=True)):
                check_all_write(hears)
                time.sleep(0.05)  # each backup is of more than the one before, however slow the machine is
            backups.append(tmp_path / f"{turn}.zip")
            assert write_backup(backups[-1]).missing == ()
    held = []
    for backup in backups:
        restore_backup(backup, replace=True)
        assert wrong() == []
        held.append(written())
    assert held == sorted(held)
    assert len(set(held)) == rounds
    count_proof(f"backups under four writers on {connection.vendor}", rounds)


def flipped(name, rng):
    """A file with another byte somewhere; what puts it back."""
    content = read(name)
    at = rng.randrange(len(content))
    write(name, content[:at] + bytes([content[at] ^ rng.randrange(1, 256)]) + content[at + 1 :])
    return partial(write, name, content)


def taken_away(name, _):
    content = read(name)
    default_storage.delete(name)
    return partial(write, name, content)


def read(name):
    with default_storage.open(name) as stored:
        return stored.read()


def write(name, content):
    default_storage.delete(name)
    default_storage.save(name, ContentFile(content))


def row_taken_away(rows, rng):
    row = rng.choice(list(rows))
    pk = row.pk
    row.delete()
    row.pk = pk
    return partial(row.save, force_insert=True)


def test_every_planted_fault_is_found(full, count_proof, monkeypatch):
    rng, planted = random.Random(19), 100 if full else 20
    monkeypatch.setattr(kept_files, "LEFTOVER_AFTER", timedelta(0))
    monkeypatch.setattr(publishing, "render_editions", publishers.quick_press)
    make_studio()
    pattern = load_pattern(document=sample("brackenmere_pullover"), by=None)
    add_photos(pattern=pattern, photos=[(picture(1), "A pullover"), (picture(2), "Its back")], caption="")
    for number in ("0.1", "0.2"):
        publishers.publish(pattern, number)
    add_photo(placement=make_place(make_call()), photo=picture(3), alt="My vest")
    known = set(studio_faults())
    assert len(known) == 1  # the version of the call has no PDF
    names = list(stored_files())
    unfound: list[str] = []
    for _ in range(planted):
        kind, name = rng.choice(("flip", "file", "row")), rng.choice(names)
        if kind == "row":
            rows = rng.choice([Edition.objects.all(), FrozenPhoto.objects.all()])
            put_back = row_taken_away(rows, rng)
        else:
            put_back = (flipped if kind == "flip" else taken_away)(name, rng)
        if not set(studio_faults()) - known:
            unfound.append(f"{kind} {name}")
        put_back()
    assert unfound == []
    assert set(studio_faults()) == known
    count_proof("planted faults", planted)
