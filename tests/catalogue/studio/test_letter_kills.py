"""No letter is lost through kills at every stage of the talk: real processes, our own mail server."""

import contextlib
import sqlite3

import pytest

from tests.catalogue.holders.test_notice_kills import WORKER, Studio, wait_for
from tests.catalogue.smtp_sink import Sink

pytestmark = pytest.mark.any_database

FEW = ("MAIL", "DATA", "letter", "taken")
ALL = ("greeting", "EHLO", "RCPT", *FEW)
# Where the server has the letter and we have not yet written down that it says so: it may come twice.
TWICE = ("letter", "taken")


@pytest.fixture
def sink():
    opened = Sink()
    yield opened
    opened.close()


def unsent(studio):
    """How many letters wait, read beside the worker."""
    with contextlib.closing(sqlite3.connect(studio.database)) as opened:
        return opened.execute("SELECT count(*) FROM catalogue_letter WHERE state <> 'sent'").fetchone()[0]


def test_every_letter_arrives_through_kills_at_every_stage(studio_folder, sink, full, count_proof):
    stages = ALL if full else FEW
    number = 3 * len(stages)
    studio = Studio(studio_folder, sink, program="tests.catalogue.letter_studio")
    studio.run("post", str(number))
    killed = []
    for stage in stages:
        worker, seen = studio.work(), list[str]()

        def kill(at, worker=worker, stage=stage, seen=seen):
            seen.append(at)
            if at == stage and seen.count(stage) == (1 if stage in ("greeting", "EHLO") else 2):
                worker.kill()

        sink.on_stage = kill
        worker.wait(120)
        sink.on_stage = None
        killed.append(stage)
        assert unsent(studio) > 0
        studio.run("look", WORKER)
    worker = studio.work()
    try:
        wait_for(lambda: unsent(studio) == 0, 120)
    finally:
        worker.terminate()
        worker.wait()
    assert set(sink.taken) == {f"reader{place}@larkmoss.example" for place in range(number)}
    doubles = {address: count for address, count in sink.taken.items() if count > 1}
    assert len(doubles) <= sum(stage in TWICE for stage in killed)
    assert set(doubles.values()) <= {2}
    assert len(sink.names) == number, "a letter that comes twice has one Message-ID"
    assert studio.run("state") == {"sent": number}
    count_proof("workers killed while sending letters", len(killed))
