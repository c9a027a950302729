"""Every letter arrives exactly once, through two kills of the worker: real processes, our own mail server."""

import contextlib
import json
import os
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from django.core.mail import EmailMessage, get_connection

from catalogue.studio.mail_handover import LetterDelayed, RecipientRefused, hand_over
from tests.catalogue.smtp_sink import Sink

pytestmark = pytest.mark.any_database

ROOT = Path(__file__).resolve().parents[3]
FEW, MANY = 450, 20_000
WORKER = "one-worker"


@pytest.fixture
def sink():
    opened = Sink()
    yield opened
    opened.close()


class Studio:
    """A data folder of its own, and a worker that can be killed."""

    def __init__(self, folder, sink, program="tests.catalogue.notice_studio"):
        self.program = program
        self.database = folder / "studio.sqlite3"
        kept = {
            name: text for name, text in os.environ.items() if not name.startswith(("EVENROW", "DATABASE"))
        }
        smtp = f"smtp://127.0.0.1:{sink.port}"
        self.environment = {
            **kept, "EVENROW_DATA": str(folder), "PYTHONPATH": str(ROOT), "EVENROW_SMTP_URL": smtp,
            "EVENROW_URL": "http://larkmoss.example",
        }  # fmt: skip

    def run(self, *arguments):
        done = subprocess.run(
            [sys.executable, "-m", self.program, *arguments],
            env=self.environment, cwd=ROOT, capture_output=True, text=True,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout.splitlines()[-1])

    def notice_state(self):
        """The state of the notice, read beside the worker."""
        with contextlib.closing(sqlite3.connect(self.database)) as opened:
            return opened.execute("SELECT state FROM catalogue_notice").fetchone()[0]

    def work(self):
        options = ["--no-startup-delay", "--interval", "0.2", "--no-reload", "--worker-id", WORKER]
        return subprocess.Popen(
            [sys.executable, str(ROOT / "manage.py"), "db_worker", *options],
            env=self.environment, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip


def wait_for(is_so, seconds):
    until = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < until
        time.sleep(0.01)


def test_every_letter_arrives_once_through_two_kills(studio_folder, sink, full, count_proof):
    number = MANY if full else FEW
    studio = Studio(studio_folder, sink)
    pressed = studio.run("prepare", str(number))
    assert pressed["status"] == 302
    assert pressed["seconds"] < 1.0
    for share in (0.3, 0.7):
        worker = studio.work()
        wait_for(lambda share=share: sink.count >= share * number, 900)
        worker.kill()
        worker.wait()
        assert studio.notice_state() == "sending"
        studio.run("rescue", WORKER)
    worker = studio.work()
    try:
        wait_for(lambda: sink.count >= number and studio.notice_state() == "sent", 900)
    finally:
        worker.terminate()
        worker.wait()
    assert sink.taken == {f"holder{place}@larkmoss.example": 1 for place in range(number)}
    assert set(sink.names.values()) == {1}
    assert sink.last["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    told = studio.run("state")
    assert (told["handed"], told["waiting"]) == (number, 0)
    assert not list((studio_folder / "notices").glob("*.journal"))
    count_proof("letters through two kills", number)


def letter(to="ida@larkmoss.example"):
    return EmailMessage("Subject", "Text\n.\n..dots", "Larkmoss <hello@larkmoss.example>", [to])


def post(sink):
    backend = "django.core.mail.backends.smtp.EmailBackend"
    return get_connection(backend, host="127.0.0.1", port=sink.port)


def test_a_letter_is_noted_before_the_dot_that_ends_it(sink):
    noted = []
    with post(sink) as opened:
        hand_over(opened, letter(), lambda: noted.append(sink.count))
        hand_over(opened, letter("olive@larkmoss.example"), lambda: noted.append(sink.count))
    assert noted == [0, 1]
    assert sink.taken == {"ida@larkmoss.example": 1, "olive@larkmoss.example": 1}
    assert sink.last.get_payload().split() == ["Text", ".", "..dots"]


@pytest.mark.parametrize(
    ("said", "problem"), [("550 5.1.1 nobody", RecipientRefused), ("451 later", LetterDelayed)]
)
def test_a_refused_letter_is_not_noted_and_the_next_one_goes(sink, said, problem):
    sink.refusing["ida@larkmoss.example"] = said
    noted = []
    with post(sink) as opened:
        with pytest.raises(problem, match=said[4:]):
            hand_over(opened, letter(), lambda: noted.append("x"))
        assert noted == []
        hand_over(opened, letter("olive@larkmoss.example"), lambda: noted.append("x"))
    assert (sink.count, noted) == (1, ["x"])
