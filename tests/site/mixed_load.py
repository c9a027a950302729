"""People who use a deployed studio at once: visitors, testers who send answers, a designer who edits."""

import http.client
import itertools
import json
import os
import ssl
import time
import urllib.parse
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from django.test import Client
from django.urls import reverse

from catalogue.models import Pattern, Person
from testing.models import Placement
from tests.site.busy_studio import TOKEN, share_of
from tests.site.two_machines import family

NAME = "studio.example"
FORM = "application/x-www-form-urlencoded"
EDITED = "p6_ease"


@dataclass
class Asked:
    """One request: what was asked for, what came, and after how long."""

    method: str
    path: str
    status: int
    seconds: float


@dataclass
class Guest:
    """Somebody with a browser, which keeps its connection."""

    port: int
    pause: float
    person: Person | None = None
    asked: list[Asked] = field(default_factory=list)

    def __post_init__(self) -> None:
        trusting = ssl.create_default_context()
        trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE
        self.browser = http.client.HTTPSConnection("127.0.0.1", self.port, timeout=60, context=trusting)
        self.headers = {"Host": NAME, "Referer": f"https://{NAME}/", "X-CSRFToken": TOKEN}
        if self.person:
            client = Client()
            client.force_login(self.person)
            session = client.cookies["sessionid"].value
            self.headers["Cookie"] = f"csrftoken={TOKEN}; __Host-sessionid={session}"
        self.acts = self.act()

    def ask(self, method: str, path: str, body: bytes = b"", kind: str = "") -> bytes:
        """Ask for a page and note what came."""
        began = time.monotonic()
        self.browser.request(method, path, body, self.headers | ({"Content-Type": kind} if kind else {}))
        answer = self.browser.getresponse()
        page = answer.read()
        self.asked.append(Asked(method, path, answer.status, time.monotonic() - began))
        return page

    def act(self) -> Iterator[None]:
        """Do one thing after the other, for ever."""
        raise NotImplementedError

    def keep_on(self, until: float) -> None:
        """Do what they came for, with a moment's thought between."""
        while time.monotonic() < until:
            next(self.acts)
            time.sleep(self.pause)
        self.browser.close()

    def wrong(self) -> list[Asked]:
        """What was not answered as it should be: pages are shown, answers are taken."""
        taken = {"GET": (200,), "POST": (200, 302)}
        return [one for one in self.asked if one.status not in taken[one.method]]


@dataclass
class Visitor(Guest):
    """Looks at one page after the other."""

    pages: list[str] = field(default_factory=list)

    def act(self) -> Iterator[None]:
        """Go round the pages."""
        for path in itertools.cycle(self.pages):
            self.ask("GET", path)
            yield


@dataclass
class Tester(Guest):
    """Measures the garment over and over, and now and then makes a remark."""

    place: Placement | None = None
    length: str = ""  # what was acknowledged last
    remarks: set[str] = field(default_factory=set)

    def act(self) -> Iterator[None]:
        """Look at the garment, measure it, and say something of every tenth time."""
        assert self.place
        assert self.person
        making = reverse("making", args=[self.place.pk])
        for number in itertools.count(1):
            self.ask("GET", making)
            yield
            length = f"{80 + number % 900 / 100:.2f}"
            if self._send(f"{making}measure/chest/", {"length": length}):
                self.length = length
            yield
            if number % 10 == 1:
                text = f"Remark {number} of {self.person.email}."
                if self._send(f"{making}remark/", {"place": "sections[0].steps[0]", "text": text}):
                    self.remarks.add(text)
                yield

    def _send(self, path: str, typed: dict[str, str]) -> bool:
        """Send an answer; whether it was acknowledged."""
        self.ask("POST", path, urllib.parse.urlencode(typed).encode(), FORM)
        return self.asked[-1].status == 302


@dataclass
class Designer(Guest):
    """Edits a sheet: opens it, asks what a change would move, saves it, looks at the results of a call."""

    pattern: Pattern | None = None
    results: str = ""
    stands: str = "6"
    saved: int = 0
    refused: list[bytes] = field(default_factory=list)

    def act(self) -> Iterator[None]:
        """Change one number after the other."""
        assert self.pattern
        slug, revision = self.pattern.slug, self.pattern.sheet.revision
        for number in itertools.count(10):
            self.ask("GET", reverse("sheet", args=[slug]))
            yield
            self._send("grid_preview", revision + self.saved, f"{number % 20 + 1}.5")
            yield
            self._send("grid_save", revision + self.saved, f"{number % 20 + 1}.5")
            yield
            self.ask("GET", self.results)
            yield

    def _send(self, name: str, revision: int, text: str) -> None:
        assert self.pattern
        change = {"part": "values", "name": EDITED, "field": "0", "was": self.stands, "text": text}
        batch = {"revision": revision, "changes": [change], "added": [], "deleted": [], "order": {}}
        path = reverse(name, args=[self.pattern.slug])
        answer = self.ask("POST", path, json.dumps(batch).encode(), "application/json")
        if self.asked[-1].status == 200:
            found = json.loads(answer)
            self.refused += [answer] if found["refused"] or found["conflicts"] else []
            if name == "grid_save":
                self.stands, self.saved = text, self.saved + 1


def memory_of(pid: int) -> int:
    """The memory of a process and all its descendants, in bytes."""
    return sum(share_of(one) for one in family(pid))


def processor_seconds(pid: int) -> float:
    """The processor time of a process and all its descendants that still run."""
    ticks = 0
    for one in family(pid):
        words = Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()
        ticks += int(words[11]) + int(words[12])  # utime and stime: proc(5) counts from the state, as 3
    return ticks / os.sysconf("SC_CLK_TCK")


def late(asked: list[Asked]) -> float:
    """The wait that 95 in 100 stay below, in s."""
    waits = sorted(one.seconds for one in asked)
    return waits[len(waits) * 95 // 100]
