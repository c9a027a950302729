"""People at work in a studio that is killed again and again: what it acknowledged to each of them."""

import contextlib
import http.client
import time
import urllib.parse
from dataclasses import dataclass, field

from django.conf import settings
from django.urls import reverse
from PIL import Image

from catalogue.models import Invitation, Version
from testing.models import Entry, Remark, ResultPhoto
from testing.results.own_photos import delete_photo
from tests.catalogue import pictures
from tests.site.busy_studio import BOUNDARY, ask, photo_form
from tests.site.odd_requests import read_forms
from tests.site.two_machines import command_of, family, kill

FORM = "application/x-www-form-urlencoded"


@dataclass
class Worker:
    """Somebody who sends one thing after the other; what was acknowledged is kept under its number."""

    port: int
    cookie: str
    acknowledged: list[int] = field(default_factory=list)
    number: int = 0
    pause: float = 0.0

    def keep_sending(self, ended):
        """Send until told to end, whatever becomes of the studio meanwhile."""
        while not ended.is_set():
            self.number += 1
            with contextlib.suppress(OSError, http.client.HTTPException):
                if self.send(self.number).status == 302:
                    self.acknowledged.append(self.number)
            ended.wait(self.pause)

    def post(self, path, fields):
        body = urllib.parse.urlencode(fields, doseq=True).encode()
        return ask(self.port, "POST", path, cookie=self.cookie, body=body, kind=FORM)

    def send(self, number):
        """Send the thing of this number."""
        raise NotImplementedError

    def lost(self):
        """What was acknowledged and is not there."""
        raise NotImplementedError


@dataclass
class Answers(Worker):
    """A tester who measures the chest over and over, and notes something beside it."""

    place: int = 0

    def send(self, number):
        making = f"/making/{self.place}"
        if number % 2:
            return self.post(f"{making}/measure/chest/", {"length": f"{80 + number / 100:.2f}"})
        return self.post(f"{making}/remark/", {"place": "sections[0].steps[0]", "text": f"Remark {number}."})

    def lost(self):
        remarks = list(Remark.objects.values_list("text", flat=True))
        found = [text for text in {*remarks} if remarks.count(text) > 1]
        found += [
            f"remark {one}" for one in self.acknowledged if not one % 2 and f"Remark {one}." not in remarks
        ]
        measured = [one for one in self.acknowledged if one % 2]
        if measured:
            entry = Entry.objects.filter(part="measured", name="chest").first()
            kept = float(entry.typed["length"]) if entry else 0.0
            if kept < 80 + measured[-1] / 100 - 0.001:  # a later one may be there without an answer
                found.append(f"measurement {measured[-1]}, there is {kept}")
        return found


@dataclass
class Photos(Worker):
    """A tester who sends photos."""

    place: int = 0

    def send(self, number):
        path = reverse("making_photo", args=[self.place])
        body = photo_form(striped(number)).replace(b"The front", b"Photo %d" % number)
        return ask(
            self.port,
            "POST",
            path,
            cookie=self.cookie,
            body=body,
            kind=f"multipart/form-data; boundary={BOUNDARY}",
        )

    def lost(self):
        shown = set(ResultPhoto.objects.values_list("alt", flat=True))
        return [f"photo {one}" for one in self.acknowledged if f"Photo {one}" not in shown]

    def make_room(self):
        """Delete all: a tester sends a limited number."""
        self.acknowledged.clear()
        for photo in ResultPhoto.objects.all():
            delete_photo(photo=photo)


def striped(number):
    """A photo that shows a number of up to twelve binary digits: the same one twice is kept once."""
    digits = Image.new("L", (12, 1))
    digits.putdata([255 * (number >> place & 1) for place in range(12)])
    return pictures.jpeg(digits.resize((96, 32), Image.Resampling.NEAREST).convert("RGB"))


@dataclass
class Versions(Worker):
    """A designer who publishes one test version after the other."""

    slug: str = ""

    def send(self, number):
        path = reverse("publish", args=[self.slug, "test"])
        page = ask(self.port, "GET", path, cookie=self.cookie).page
        form = max(read_forms(page, path), key=lambda one: len(one.fields))
        return self.post(path, {**form.fields, "number": f"1.{number}"})

    def lost(self):
        known = {version.number for version in Version.objects.all()}
        return [f"version 1.{one}" for one in self.acknowledged if f"1.{one}" not in known]


@dataclass
class Invitations(Worker):
    """A designer who invites people, each by an e-mail."""

    def send(self, number):
        fields = {"email": f"editor{number}@larkmoss.example", "role": "editor"}
        return self.post(reverse("people_invite"), fields)

    def lost(self):
        known = set(Invitation.objects.values_list("email", flat=True))
        return [
            f"invitation {one}" for one in self.acknowledged if f"editor{one}@larkmoss.example" not in known
        ]

    def unsent(self):
        """Acknowledged invitations of which no e-mail is in the folder."""
        folder = settings.MAIL_DIR
        words = "\n".join(path.read_text(errors="replace") for path in folder.glob("*.eml"))
        return [one for one in self.acknowledged if f"editor{one}@larkmoss.example" not in words]


def kill_part(studio, what, chance):
    """Kill all at once, one process of the web server, or the worker or what makes PDFs for it."""
    everything = family(studio.process.pid)
    if what == "all":
        for pid in reversed(everything):
            kill(pid)
        studio.process.wait()
        return
    marks = ("gunicorn",) if what == "web" else ("db_worker", "rendering_process")
    some = [pid for pid in everything[1:] if any(mark in command_of(pid) for mark in marks)]
    if some:
        kill(chance.choice(some))


def brought_back(studio, seconds=240):
    """Wait until the studio serves pages again; it is started anew where it has ended, as systemd does."""
    until = time.monotonic() + seconds
    while studio.answer("/account/login/") != 200:
        assert time.monotonic() < until, studio.words()
        if studio.process.poll() is not None:
            studio.start()
        time.sleep(0.2)
