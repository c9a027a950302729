"""Erasing that is killed is done in the end, and takes nothing of others along: real processes."""

import io
import os
import random
import signal
import time
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.storage import default_storage
from django.core.mail import EmailMessage
from django.test import Client
from django.urls import reverse
from PIL import Image

from catalogue.models import Person
from catalogue.photos.pictures import clean_picture
from catalogue.site.backup_rows import row_lines
from catalogue.site.verification import studio_faults
from catalogue.studio import erasures, forgetting
from catalogue.studio.erasures import keep_marks
from catalogue.studio.mail_folder import FolderBackend
from testing.models import Placement
from testing.privacy import erasing, leftovers, views
from testing.results.own_photos import add_photo
from testing.results.results import add_remark
from testing.running.tending import tend_calls
from tests.catalogue import pictures
from tests.killed import arm, forked, told
from tests.testing.builders import make_call, make_place, make_studio

POINTS = [
    (views, "wish_erased", "after", 1),
    (erasing, "_erase_files", "before", 1),
    (default_storage, "delete", "after", 1),
    (erasing, "remove_files", "after", 1),
    (erasing, "remove_files_about", "after", 1),
    (erasing, "remove_files_to", "after", 1),
    (erasing, "_erase_files", "after", 1),
    (erasing, "mark_erased", "after", 1),
    (erasing, "_make_anonymous", "after", 1),
    (erasing, "_erase_rows", "after", 1),
    (erasing, "_erase_account", "after", 1),
    # From here on the rows are gone, and what follows them is not done.
    (erasures, "_keep_or_wait", "before", 1),
    (erasures, "_keep_or_wait", "after", 1),
    (forgetting, "_remove_late_files", "before", 1),
    (views, "logout", "before", 1),
]
FEW = (2, 7, 11, 13)


@pytest.fixture
def studio(shared_database, monkeypatch):
    """A tester who stays, with what is theirs; sweeps spare nothing for being young."""
    monkeypatch.setattr(leftovers, "LEFTOVER_AFTER", timedelta(0))
    make_studio()
    call = make_call(at_most=9)
    furnish(make_place(call, name="Moss Reed", email="moss@larkmoss.example"), "olive")
    return call


def furnish(place, shade):
    """A picture, a remark and an e-mail of a tester."""
    content = pictures.jpeg(Image.new("RGB", (64, 32), shade))
    add_photo(
        placement=place, photo=clean_picture(io.BytesIO(content)), alt=f"{place.application.name} in it"
    )
    add_remark(placement=place, place="sections[0].steps[0]", text=f"{place.application.name} frogged this")
    message = EmailMessage("Your place", "Hello", "studio@larkmoss.example", [place.application.email])
    FolderBackend().send_messages([message])
    return place


def leaver(call, number):
    """A tester who wants all erased."""
    name, email = f"Wren Alder{number}", f"wren{number}@larkmoss.example"
    return furnish(make_place(call, name=name, email=email), (number * 7 % 256, 90, number % 256))


def press(person):
    """Press the button that erases everything, as a browser does."""
    browser = Client()
    browser.force_login(person)
    answer = browser.post(reverse("my_data_erase"))
    return "erased" if answer.status_code == 200 else f"{answer.status_code}"


def everything():
    """Every row and every file, in bytes."""
    kept = {path: path.read_bytes() for folder in folders() for path in folder.rglob("*") if path.is_file()}
    return list(row_lines()), kept


def folders():
    return [Path(settings.MEDIA_ROOT), Path(settings.MAIL_DIR)]


def finish():
    """What a studio does when it opens again."""
    leftovers._LOOKED_AT.clear()
    tend_calls()
    keep_marks()
    return [*studio_faults()]


def wrongs(place, before, said):
    """What is still there of somebody, and what is lost of the one who stays."""
    found = [f"pressed: {said}"] if said not in ("", "erased") else []
    started = Person.objects.filter(pk=place.person_id, erase_asked_at=None).exists()
    if started and said == "":  # killed before the wish was kept: nothing was promised, they press again
        press(place.person)
    found += finish()
    rows, kept = everything()
    words = (place.application.name.encode(), place.application.email.encode())
    found += [f"still in a row: {row[:80]!r}" for row in rows if any(word in row for word in words)]
    found += [
        f"still a file: {path.name}" for path, content in kept.items() if any(w in content for w in words)
    ]
    stays = [row for row in before[0] if b"Moss Reed" in row or b"moss@" in row]
    found += [f"lost: {row[:80]!r}" for row in stays if row not in rows]
    found += [f"lost: {path.name}" for path, content in before[1].items() if kept.get(path) != content]
    marks = Path(default_storage.path("erasures"))
    found += [f"left over: {p.name}" for p in kept if p not in before[1] and marks not in p.parents]
    return found


@pytest.mark.parametrize("kind", ["named", "random"])
def test_erasing_that_is_killed_is_done_later_and_loses_nothing_of_others(studio, kind, full, count_proof):
    rng, found = random.Random(5), []
    usual = finish()  # of a version that was made without a PDF
    before = everything()
    takes = 0.3
    named = POINTS if full else [POINTS[place] for place in FEW]
    rounds = named if kind == "named" else [None] * (100 if full else 1)
    for number, point in enumerate(rounds):
        place = leaver(studio, number)

        def work(place=place, point=point):
            if point:
                arm(*point)
            return press(place.person)

        pid, hears = forked(work)
        if point is None:
            time.sleep(rng.random() * takes)
            os.kill(pid, signal.SIGKILL)
        said = told(pid, hears)
        assert not (point and said), (point, said)
        found += [(point, wrong) for wrong in wrongs(place, before, said) if wrong not in usual]
        assert Placement.objects.count() == 1
    assert found == []
    count_proof(f"erasures killed at {kind} points", len(rounds))
