"""Many testers sending results together over real connections: nothing is lost and nothing goes wrong."""

import http.client
import os
import socket
import subprocess
import sys
import threading
import time
import urllib.parse
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from django.conf import settings as program
from django.test import Client

from catalogue.site.supervisor import SERVER_OPTIONS
from testing.models import Entry, Remark, Result
from tests.file_database import database_url
from tests.testing.builders import make_call, make_place

# What is sent over and over; each answer is another number, the last of which must be the one that is kept.
FORMS = {
    "gauge/main": lambda number: {"stitches": f"{20 + number / 100:.2f}", "rows": "28"},
    "measure/chest": lambda number: {"length": f"{90 + number / 100:.2f}"},
    "measure/body_length": lambda number: {"length": f"{50 + number / 100:.2f}"},
    "hours": lambda number: {"hours": f"{1 + number / 100:.2f}"},
    "yarn": lambda number: {"colour_0": f"{300 + number / 100:.2f}"},
    "remark": lambda number: {"place": "sections[0].steps[0]", "text": f"Remark {number}."},
}
KEPT = {
    ("gauge", "main"): ("gauge/main", "stitches"),
    ("measured", "chest"): ("measure/chest", "length"),
    ("measured", "body_length"): ("measure/body_length", "length"),
    ("hours", ""): ("hours", "hours"),
}
TOKEN = "a" * 32


ROOT = Path(__file__).resolve().parents[3]


@pytest.fixture
def address(shared_database, tmp_path):
    """Host and port of a server as a studio starts it, on the database of this test."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        at = f"127.0.0.1:{probe.getsockname()[1]}"
    environment = {
        **os.environ,
        "DATABASE_URL": database_url(),
        "EVENROW_DATA": str(tmp_path / "studio"),
        "EVENROW_SECRET_KEY": program.SECRET_KEY,
        "EVENROW_URL": f"http://{at}",
        "DJANGO_SETTINGS_MODULE": "catalogue.site.settings",
    }
    options = ["--bind", at, *SERVER_OPTIONS]
    command = [
        sys.executable,
        "-m",
        "gunicorn",
        *options,
        "--no-control-socket",
        "catalogue.site.wsgi:application",
    ]
    with (tmp_path / "said.txt").open("w") as said:
        server = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=said, stderr=said)
        try:
            wait_for(at, tmp_path / "said.txt")
            yield at
        finally:
            server.terminate()
            server.wait(60)


def wait_for(address, said):
    host, port = address.split(":")
    until = time.monotonic() + 60
    while True:
        try:
            socket.create_connection((host, int(port)), timeout=5).close()
        except OSError:
            assert time.monotonic() < until, said.read_text()
            time.sleep(0.1)
        else:
            return


class Phone:
    """One tester's phone: an own session, an own connection for each answer."""

    def __init__(self, address, place):
        client = Client()
        client.force_login(place.person)
        self.address, self.place = address, place
        self.cookie = f"sessionid={client.cookies['sessionid'].value}; csrftoken={TOKEN}"
        self.sent, self.answers = {}, []

    def send(self, path, fields):
        """Send one answer; keep what the studio said."""
        connection = http.client.HTTPConnection(self.address, timeout=60)
        try:
            connection.request(
                "POST",
                f"/making/{self.place.pk}/{path}/",
                urllib.parse.urlencode(fields),
                {
                    "Content-Type": "application/x-www-form-urlencoded",
                    "Cookie": self.cookie,
                    "X-CSRFToken": TOKEN,
                },
            )
            answer = connection.getresponse()
            answer.read()
        finally:
            connection.close()
        self.answers.append(answer.status)
        self.sent.setdefault(path, []).append(fields)

    def keep_sending(self, start, seconds):
        """Send one thing after the other until the time is up, each at least once."""
        start.wait()
        until, number = time.monotonic() + seconds, 0
        while time.monotonic() < until or number < len(FORMS):
            path = list(FORMS)[number % len(FORMS)]
            self.send(path, FORMS[path](number))
            number += 1


def test_testers_sending_results_together_lose_nothing(address, studio, full, count_proof):
    testers, seconds = (50, 60) if full else (10, 4)
    call = make_call(at_most=testers)
    places = [make_place(call, email=f"tester{number}@larkmoss.example") for number in range(testers)]
    phones = [Phone(address, place) for place in places]
    start = threading.Barrier(testers)
    with ThreadPoolExecutor(testers) as pool:
        for work in [pool.submit(phone.keep_sending, start, seconds) for phone in phones]:
            work.result()

    count_proof("answers sent by testers together", sum(len(phone.answers) for phone in phones))
    assert {status for phone in phones for status in phone.answers} == {302}
    assert Result.objects.count() == testers
    for phone in phones:
        entries = {
            (entry.part, entry.name): entry.typed
            for entry in Entry.objects.filter(result__placement=phone.place)
        }
        for key, (path, field) in KEPT.items():
            assert entries[key][field] == phone.sent[path][-1][field]
        remarks = Remark.objects.filter(result__placement=phone.place).values_list("text", flat=True)
        assert sorted(remarks) == sorted(fields["text"] for fields in phone.sent["remark"])
