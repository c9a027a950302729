"""A studio of its own, opened by the command that people type: real processes on real sockets."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

from django.conf import settings as program
from django.test import Client

from tests.file_database import database_url
from tests.present import present

ROOT = Path(__file__).resolve().parents[2]


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def studio_of_this_test(settings, folder):
    """A studio that is not open yet, on the database of this test; its files are those of the test too."""
    studio = Studio(folder)
    studio.environment["EVENROW_STATIC"] = str(settings.DATA_DIR / "collected")  # once for all runs
    settings.DATA_DIR = folder
    settings.MEDIA_ROOT = folder / "files"
    settings.MEDIA_ROOT.mkdir(parents=True)
    settings.MAIL_DIR = folder / "mails"
    studio.environment |= {"DATABASE_URL": database_url(), "EVENROW_SECRET_KEY": program.SECRET_KEY}
    return studio


def session_of(person):
    """The cookie of somebody who has signed in."""
    client = Client()
    client.force_login(person)
    return f"sessionid={client.cookies['sessionid'].value}"


class Studio:
    """A studio of its own, opened by the command that people type."""

    def __init__(self, folder):
        self.folder, self.port = folder, free_port()
        kept = {
            name: value for name, value in os.environ.items() if not name.startswith(("EVENROW", "DATABASE"))
        }
        self.environment = {**kept, "EVENROW_DATA": str(folder), "PYTHONPATH": str(ROOT)}
        self.process = None

    def manage(self, *arguments):
        return [sys.executable, str(ROOT / "manage.py"), *arguments]

    def open(self, *before):
        """Start it, with other words before the command where it is to run differently, and wait for it."""
        self.start(*before)
        wait_for(lambda: self.answer("/account/login/") == 200, 240, self.words)

    def start(self, *before):
        """Start it, and wait for nothing."""
        with (self.folder / "said.txt").open("a") as said:
            self.process = subprocess.Popen(
                [*before, *self.manage("start", "--port", str(self.port))],
                env=self.environment,
                cwd=ROOT,
                stdin=subprocess.DEVNULL,
                stdout=said,
                stderr=subprocess.STDOUT,
            )

    def words(self):
        return (self.folder / "said.txt").read_text()

    def answer(self, path):
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{self.port}{path}", timeout=5) as answer:
                return answer.status
        except OSError:
            return None

    def page(self, path, session=""):
        """A page as somebody who has signed in sees it."""
        asked = urllib.request.Request(
            f"http://127.0.0.1:{self.port}{path}", headers={"Cookie": f"sessionid={session}"}
        )
        with urllib.request.urlopen(asked, timeout=30) as answer:
            return answer.read().decode()

    def do(self, code):
        """Run lines of Python on its data and return what they print."""
        environment = {**self.environment, "DJANGO_SETTINGS_MODULE": "catalogue.site.settings"}
        lines = f"import django; django.setup()\n{code}"
        done = subprocess.run(
            [sys.executable, "-c", lines], env=environment, cwd=ROOT, check=True, stdout=subprocess.PIPE
        )
        return done.stdout.decode().strip()

    def enqueue(self, name, seconds):
        self.do(
            "from tests.site.slow_tasks import take_time;"
            f"take_time.enqueue(folder={str(self.folder)!r}, name={name!r}, seconds={seconds})"
        )

    def children(self):
        pid = present(self.process).pid
        listing = Path(f"/proc/{pid}/task/{pid}/children").read_text()
        return [int(child) for child in listing.split()]

    def worker(self):
        for pid in self.children():
            if b"db_worker" in Path(f"/proc/{pid}/cmdline").read_bytes():
                return pid
        return None

    def count(self, name):
        path = self.folder / name
        return path.stat().st_size if path.exists() else 0

    def close(self, with_signal=signal.SIGINT):
        if self.process and self.process.poll() is None:
            self.process.send_signal(with_signal)
            self.process.wait(60)


def wait_for(is_so, seconds, words=lambda: ""):
    until = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < until, words()
        time.sleep(0.05)
