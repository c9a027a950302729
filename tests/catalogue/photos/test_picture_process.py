"""Pictures of strangers are unpacked in a process with limits, one after another."""

import io
import os
import subprocess
import threading
import time
from pathlib import Path

import pytest
from django.urls import reverse
from PIL import ExifTags, Image

from catalogue.photos import intake
from catalogue.photos.intake import clean_photo
from catalogue.photos.pictures import MOST_SCANS, PhotoRefused, clean_picture
from testing.models import ResultPhoto
from tests.catalogue import pictures
from tests.testing.builders import make_call, make_place, make_studio


def children():
    """The processes that this one has started and not yet reaped."""
    me = os.getpid()
    return {
        pid for task in Path(f"/proc/{me}/task").iterdir() for pid in (task / "children").read_text().split()
    }


def many_scans(count, picture=None):
    """A progressive JPEG whose last scan comes again and again (ITU-T T.81, B.2.1)."""
    content = pictures.jpeg(picture, progressive=True)
    at = content.rindex(b"\xff\xda")
    scan = content[at:-2]
    have = content.count(b"\xff\xda")
    return content[:-2] + scan * (count - have) + b"\xff\xd9"


def see_through(side, *, orientation=1):
    """A picture of few bytes and many pixels, which may lie on a side (Exif 2.32, 4.6.4)."""
    target, exif = io.BytesIO(), Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    Image.new("RGBA", (side, side), (120, 30, 30, 128)).save(target, "PNG", exif=exif)
    return target.getvalue()


def webp(width, height):
    """A picture of very few bytes, whose decoder takes 16 bytes a pixel."""
    target = io.BytesIO()
    Image.new("RGBA", (width, height), (120, 30, 30, 128)).save(target, "WEBP", lossless=True, method=0)
    return target.getvalue()


def refusal(content):
    with pytest.raises(PhotoRefused) as refused:
        clean_photo(io.BytesIO(content))
    said = str(refused.value)
    assert said.endswith(".")
    assert ". " not in said
    return said


def test_a_picture_comes_out_of_the_process_as_it_would_of_this_one():
    content = pictures.jpeg(pictures.two_colours((2000, 1000)))
    before = children()
    assert clean_photo(io.BytesIO(content)) == clean_picture(io.BytesIO(content))
    assert children() == before


def test_what_is_no_picture_is_refused_with_the_same_words():
    with pytest.raises(PhotoRefused) as here:
        clean_picture(io.BytesIO(b"no picture"))
    assert refusal(b"no picture") == str(here.value)
    assert refusal(b"") == "The file is empty: choose the picture again."


@pytest.mark.parametrize("further", [1, 900])
def test_a_jpeg_of_very_many_scans_is_refused_before_it_is_unpacked(monkeypatch, further):
    monkeypatch.setattr("catalogue.photos.pictures._upright_rgb", lambda _: pytest.fail("It is unpacked."))
    with pytest.raises(PhotoRefused, match=f"more than {MOST_SCANS} layers"):
        clean_picture(io.BytesIO(many_scans(MOST_SCANS + further)))


def test_a_jpeg_of_as_many_scans_as_are_taken_is_taken():
    assert clean_picture(io.BytesIO(many_scans(MOST_SCANS))).width_px == 64


def test_scans_of_pictures_within_a_picture_do_not_count():
    """Cameras put a small picture before the picture, and further ones behind it."""
    plain = pictures.jpeg()
    inside = many_scans(MOST_SCANS)
    packet = inside[:60_000]
    within = plain[:2] + b"\xff\xe1" + (len(packet) + 2).to_bytes(2, "big") + packet + plain[2:]
    assert packet.count(b"\xff\xda") > 50
    assert clean_picture(io.BytesIO(within + inside + inside)).width_px == 64


def test_a_picture_that_takes_too_long_is_ended_and_nothing_of_it_is_left(monkeypatch):
    before = children()
    monkeypatch.setattr(intake, "SECONDS", 0.01)
    assert "takes too long" in refusal(see_through(1000))
    assert children() == before


def test_a_picture_that_takes_too_much_computing_is_ended(monkeypatch):
    before = children()
    monkeypatch.setattr(intake, "CPU_SECONDS", 0)
    assert "takes too long" in refusal(see_through(5000))
    assert children() == before


def test_a_picture_that_takes_too_much_memory_is_refused(monkeypatch):
    monkeypatch.setattr(intake, "MEMORY_MIB", 30)
    assert refusal(see_through(4000)) == "The picture takes too much memory to open: make it smaller."


def test_a_large_see_through_picture_is_unpacked_once_and_not_copied(monkeypatch):
    """Its pixels alone take 151 MiB: four bytes for each of 39.7 million."""
    monkeypatch.setattr(intake, "MEMORY_MIB", 230)
    assert clean_photo(io.BytesIO(see_through(6300))).width_px == 1600


def test_a_large_picture_that_lies_on_a_side_is_turned_without_a_copy(monkeypatch):
    monkeypatch.setattr(intake, "MEMORY_MIB", 230)
    assert clean_photo(io.BytesIO(see_through(6300, orientation=6))).width_px == 1600


def test_a_picture_that_lies_on_a_side_keeps_the_pixels_that_its_width_upright_needs():
    lying = Image.new("RGB", (6400, 3200), "tan")
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 8
    clean = clean_picture(io.BytesIO(pictures.jpeg(lying, exif=exif)))
    assert (clean.width_px, clean.height_px) == (1600, 3200)


def test_a_webp_of_more_pixels_than_its_decoder_has_room_for_is_refused_before_it_is_unpacked(monkeypatch):
    monkeypatch.setattr("catalogue.photos.pictures._upright_rgb", lambda _: pytest.fail("It is unpacked."))
    with pytest.raises(PhotoRefused) as refused:
        clean_picture(io.BytesIO(webp(4000, 3251)))
    assert str(refused.value) == "The WebP picture has more than 13 megapixels: save it as a JPEG."


def test_the_largest_webp_takes_no_more_memory_than_other_pictures(monkeypatch):
    monkeypatch.setattr(intake, "MEMORY_MIB", 230)
    assert clean_photo(io.BytesIO(webp(4000, 3250))).width_px == 1600


def test_a_process_that_is_killed_or_not_started_refuses_the_picture_alone(monkeypatch):
    killed = "import os, signal; os.kill(os.getpid(), signal.SIGKILL)"
    run = subprocess.run
    monkeypatch.setattr(subprocess, "run", lambda command, **more: run([command[0], "-c", killed], **more))
    assert "could not be opened" in refusal(pictures.jpeg())

    def no_room(*_, **__):
        raise OSError(12, "Cannot allocate memory")

    monkeypatch.setattr(subprocess, "run", no_room)
    assert "could not be opened" in refusal(pictures.jpeg())


def test_the_process_knows_neither_secret_nor_database(monkeypatch):
    monkeypatch.setenv("EVENROW_SECRET_KEY", "secret")
    code = "import sys, os, json; from catalogue.photos import picture_process; "
    code += (
        "sys.stdout.write(json.dumps({'says': f\"{dict(os.environ)} {'django' in sys.modules}\"}) + '\\n')"
    )
    run = subprocess.run
    monkeypatch.setattr(subprocess, "run", lambda command, **more: run([command[0], "-c", code], **more))
    with pytest.raises(PhotoRefused) as told:
        clean_photo(io.BytesIO(pictures.jpeg()))
    assert "secret" not in str(told.value)
    assert str(told.value).endswith(" False")


class Studio:
    """Counts how many pictures are unpacked at the same time; each waits until it may end."""

    def __init__(self):
        self.now, self.most, self.go_on = 0, 0, threading.Event()
        self.guard = threading.Lock()

    def ask(self, _content):
        with self.guard:
            self.now += 1
            self.most = max(self.most, self.now)
        self.go_on.wait(30)
        with self.guard:
            self.now -= 1
        raise PhotoRefused("Enough.")


def test_pictures_are_unpacked_one_at_a_time_and_too_many_are_told_to_wait(monkeypatch):
    studio = Studio()
    monkeypatch.setattr(intake, "_ask", studio.ask)
    said: list[str] = []

    def send():
        try:
            clean_photo(io.BytesIO(pictures.jpeg()))
        except PhotoRefused as refused:
            said.append(str(refused))

    threads = [threading.Thread(target=send) for _ in range(intake.MOST_WAITING + 3)]
    for thread in threads:
        thread.start()
    until = time.monotonic() + 30
    while len(said) < 3:
        assert time.monotonic() < until
        time.sleep(0.01)
    assert all("send this one again in a minute" in words for words in said)
    studio.go_on.set()
    for thread in threads:
        thread.join()
    assert studio.most == 1
    assert said.count("Enough.") == intake.MOST_WAITING


@pytest.mark.django_db
def test_a_tester_whose_picture_takes_too_long_keeps_what_was_typed(client, monkeypatch):
    make_studio()
    place = make_place(make_call())
    client.force_login(place.person)
    monkeypatch.setattr(intake, "SECONDS", 0.001)
    picture = io.BytesIO(pictures.jpeg())
    picture.name = "vest.jpg"
    answer = client.post(reverse("making_photo", args=[place.pk]), {"photo": picture, "alt": "The front"})
    page = answer.content.decode()
    assert "takes too long" in page
    assert 'value="The front"' in page
    assert not ResultPhoto.objects.exists()
