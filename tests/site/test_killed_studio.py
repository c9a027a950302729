"""Web server and worker are killed at random moments while people work: what was acknowledged is there."""

import random
import threading
import time
from collections import Counter

import pytest
from django.db import connection

from catalogue.models import Person, Version
from catalogue.publishing.publishing import try_again
from catalogue.site.verification import studio_faults
from catalogue.studio.task_queue import look_at_queue, start_again
from tests.file_database import shared_database  # noqa: F401  fixture
from tests.site.killed_studio import (
    Answers,
    Invitations,
    Photos,
    Versions,
    brought_back,
    kill_part,
)
from tests.site.running_studio import session_of, studio_of_this_test, wait_for
from tests.testing.builders import make_call, make_pattern, make_person, make_place, make_studio

PARTS = ("all", "web", "worker")
LONGEST_S = 2.0


@pytest.fixture
def studio(shared_database, settings, tmp_path):  # noqa: F811
    """A studio with a pattern, a call and testers, opened."""
    opened = studio_of_this_test(settings, tmp_path / "studio")
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend", "QUEUES": ["default"]}}
    make_studio()
    make_pattern(title="Fernhollow Vest")
    make_person("designer@larkmoss.example", "designer")
    try:
        opened.open()
        yield opened
    finally:
        opened.close()


def everybody(studio):
    """A tester who measures, one who sends photos, a designer who publishes and invites."""
    call = make_call(pattern=make_pattern(title="Heronsgate Vest"))
    measures, shows = [make_place(call, email=f"wren{at}@larkmoss.example") for at in range(2)]
    designer = session_of(Person.objects.get(email="designer@larkmoss.example"))
    port = studio.port
    return (
        Answers(port, session_of(measures.person), place=measures.pk),
        Photos(port, session_of(shows.person), place=shows.pk, pause=0.2),
        Versions(port, designer, slug="fernhollow-vest", pause=LONGEST_S),
        Invitations(port, designer, pause=0.3),
    )


def working(people, seconds):
    """Have all of them work for a while; what then ends their work."""
    ended = threading.Event()
    threads = [threading.Thread(target=one.keep_sending, args=[ended]) for one in people]
    for thread in threads:
        thread.start()
    time.sleep(seconds)

    def end():
        ended.set()
        for thread in threads:
            thread.join()

    return end


def all_is_published():
    """Whether the worker has made what was acknowledged; what it was killed over too often is begun again."""
    queue = look_at_queue()
    for failed in queue.failed:
        start_again(failed.key)
    for version in Version.objects.filter(state="failed"):
        try_again(version=version)
    return not queue.failed and not Version.objects.exclude(state="published").exists()


def test_what_was_acknowledged_outlives_kills_at_random_moments(studio, full, count_proof):
    chance, kills = random.Random(23), 100 if full else 3
    people = everybody(studio)
    _, photos, _, invitations = people
    known, wrong, struck = set(studio_faults()), [], Counter[str]()
    sent = Counter[str]()
    for turn in range(kills):
        end = working(people, chance.uniform(0.1, LONGEST_S))
        part = PARTS[turn % len(PARTS)]
        kill_part(studio, part, chance)
        struck[part] += 1
        end()
        brought_back(studio)
        wrong += [(turn, part, says) for one in people for says in one.lost()]
        wrong += [(turn, part, says) for says in set(studio_faults()) - known]
        sent["photos"] += len(photos.acknowledged)
        photos.make_room()
    wait_for(all_is_published, 600, studio.words)
    wait_for(lambda: not invitations.unsent(), 120, studio.words)

    sent |= {type(one).__name__.lower(): len(one.acknowledged) for one in people if one is not photos}
    for name, number in [*struck.items(), *sent.items()]:
        count_proof(f"studio killed at random moments on {connection.vendor}: {name}", number)
    assert wrong == []
    assert set(studio_faults()) == known
    assert min(sent.values()) > 0
