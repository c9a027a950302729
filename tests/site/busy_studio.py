"""A studio under load: visitors who look around, slow clients, and a tester whose pictures are bombs."""

import http.client
import itertools
import re
import socket
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from tests.site.slow_server import BODY, HEAD, SlowClients

TOKEN = "a" * 32
MIB = 1024 * 1024
MOST_WAIT_S = 120
SAID = re.compile(r'class="invalid-feedback">.*?<strong>([^<]+)</strong>', re.DOTALL)
BOUNDARY = "larkmoss-edge"


@dataclass
class Answer:
    """What came back for one request, and after how long."""

    status: int
    seconds: float
    page: str


def ask(port, method, path, *, cookie="", body=b"", kind=""):
    """One request on a connection of its own, from the first byte sent to the last one read."""
    began = time.monotonic()
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=MOST_WAIT_S)
    headers = {"Cookie": f"csrftoken={TOKEN}; {cookie}", "X-CSRFToken": TOKEN}
    try:
        connection.request(method, path, body, headers | ({"Content-Type": kind} if kind else {}))
        answer = connection.getresponse()
        page = answer.read()
    finally:
        connection.close()
    return Answer(answer.status, time.monotonic() - began, page.decode(errors="replace"))


@dataclass
class Visitor:
    """Somebody who opens one page after the other, with a moment's look at each."""

    port: int
    pages: list[str]
    cookie: str = ""
    seen: list[tuple[str, Answer]] = field(default_factory=list)

    def keep_looking(self, until, pause):
        for path in itertools.cycle(self.pages):
            if time.monotonic() > until:
                return
            self.seen.append((path, ask(self.port, "GET", path, cookie=self.cookie)))
            time.sleep(pause)


@dataclass
class Bomber:
    """A tester who sends eight pictures at once, and the next eight as soon as all are answered."""

    port: int
    path: str
    cookie: str
    bombs: dict[str, bytes]
    at_once: int = 8
    answers: Counter[tuple[str, int, str]] = field(default_factory=Counter)

    def keep_sending(self, until):
        with ThreadPoolExecutor(self.at_once) as pool:
            for name in itertools.cycle(self.bombs):
                if time.monotonic() > until and sum(self.answers.values()) >= self.at_once * len(self.bombs):
                    return
                for answer in pool.map(self._send, [name] * self.at_once):
                    said = SAID.search(answer.page)
                    self.answers[name, answer.status, said[1] if said else ""] += 1

    def _send(self, name):
        kind = f"multipart/form-data; boundary={BOUNDARY}"
        return ask(
            self.port, "POST", self.path, cookie=self.cookie, body=photo_form(self.bombs[name]), kind=kind
        )


def photo_form(content):
    """A picture and what it shows, as a browser sends them (RFC 7578)."""
    edge = f"--{BOUNDARY}\r\nContent-Disposition: form-data; name="
    words = f'{edge}"alt"\r\n\r\nThe front\r\n{edge}"photo"; filename="front"\r\n\r\n'
    return words.encode() + content + f"\r\n--{BOUNDARY}--\r\n".encode()


class SteadySlowClients(SlowClients):
    """Always as many: who is sent away comes again."""

    def __init__(self, port, count):
        self.address = ("127.0.0.1", port)
        super().__init__(self.address, count)
        self.begun = count

    def keep_sending(self, until):
        """Each sends a byte a second."""
        while time.monotonic() < until:
            for number, client in enumerate(self.clients):
                if not self._send(client):
                    client.close()
                    self.clients[number] = self._begin(number)
            time.sleep(1)

    def _begin(self, number):
        client = socket.create_connection(self.address)
        client.sendall(BODY if number % 2 else HEAD)
        client.setblocking(False)
        self.begun += 1
        return client


class Memory:
    """The most that a process and all its descendants take together: their proportional shares (PSS)."""

    def __init__(self, pid):
        self.pid, self.known = pid, set[int]()
        self.most, self.most_without_pictures, self.looks = 0, 0, 0
        self.then: list[str] = []

    def keep_looking(self, ended):
        while not ended.wait(0.1):
            shares = dict(self._shares(self.pid, b""))
            if sum(shares.values()) > self.most:
                self.most = sum(shares.values())
                self.then = [f"{share // MIB} MiB {command[-50:]}" for (_, command), share in shares.items()]
            pages = sum(share for (_, command), share in shares.items() if "picture_process" not in command)
            self.most_without_pictures = max(self.most_without_pictures, pages)
            self.looks += 1

    def _shares(self, pid, command_above):
        """Each process, what it runs, and its share in bytes."""
        try:
            command = Path(f"/proc/{pid}/cmdline").read_bytes()
            share = share_of(pid)
            children = _children(pid)
        except OSError:  # it has just ended
            return
        # A child that has not yet become a program of its own is its parent seen twice.
        if command != command_above or pid in self.known:
            yield (pid, command.replace(b"\0", b" ").decode(errors="replace")), share
        self.known.add(pid)
        for child in children:
            yield from self._shares(child, command)


def share_of(pid):
    """The memory of a process in bytes, with its part of what it shares with others."""
    rollup = Path(f"/proc/{pid}/smaps_rollup").read_text()
    found = re.search(r"^Pss:\s+(\d+) kB", rollup, re.MULTILINE)
    return int(found[1]) * 1024 if found else 0


def _children(pid):
    tasks = Path(f"/proc/{pid}/task").iterdir()
    return [int(child) for task in tasks for child in (task / "children").read_text().split()]
