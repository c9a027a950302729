"""Workers of two machines on one database and one object store: each PDF is made once, whoever is killed."""

import os
import time
from contextlib import ExitStack
from datetime import timedelta

import pytest
from django.conf import settings as program
from django.core.files.storage import default_storage
from django.db import connection
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult
from moto.server import ThreadedMotoServer

from catalogue.models import Edition, Version
from catalogue.publishing.publishing import Publication, start_publication
from catalogue.site.verification import studio_faults
from catalogue.studio.storage import listed
from catalogue.studio.task_queue import OVERDUE
from tests.site.running_studio import wait_for
from tests.site.test_object_store import empty_bucket
from tests.site.two_machines import LOOPBACK, Machine, Network, Relay
from tests.testing.builders import make_pattern, make_studio

QUEUED = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend", "QUEUES": ["default"]}}
PATIENCE_S = 600  # a machine that is busy with other things starts late


@pytest.fixture
def store(settings, monkeypatch, tmp_path):
    """An object store of this test; its port."""
    running = ThreadedMotoServer(ip_address=LOOPBACK, port=0, verbose=False)
    running.start()
    port = running.get_host_and_port()[1]
    bucket = empty_bucket(f"http://{LOOPBACK}:{port}", settings, monkeypatch, tmp_path)
    next(bucket)
    yield port
    bucket.close()
    running.stop()


@pytest.fixture
def machines(transactional_db, store, settings, tmp_path):
    """Two machines that are not started yet."""
    if connection.vendor == "sqlite":
        pytest.skip("SQLite's file stands on one machine: two need PostgreSQL.")
    settings.TASKS = QUEUED
    with ExitStack() as after:
        yield [machine_of(number, store, tmp_path, after) for number in (1, 2)]


def machine_of(number, store, folder, after):
    """One machine, which reaches database and files at its own end of the cable."""
    network = Network(os.getpid() * 2 % 20_000 + number)
    after.callback(network.close)
    known = connection.settings_dict
    database = Relay(network.address, (known["HOST"] or "localhost", int(known["PORT"] or 5432)))
    files = Relay(network.address, (LOOPBACK, store))
    for relay in (database, files):
        after.callback(relay.close)
    kept = {name: word for name, word in os.environ.items() if not name.startswith(("EVENROW", "DATABASE"))}
    bucket = default_storage.bucket_name  # type: ignore[attr-defined]
    machine = Machine(
        network,
        folder / f"machine{number}",
        {
            **kept,
            "DATABASE_URL": f"postgres://{known['USER']}:{known['PASSWORD']}@{network.address}:{database.port}/"
            f"{known['NAME']}",
            "EVENROW_S3_URL": f"s3://key:se%2Fcret@{bucket}/files?"
            f"endpoint=http://{network.address}:{files.port}&region=eu-central-1",
            "EVENROW_SECRET_KEY": program.SECRET_KEY,
        },
    )
    after.callback(machine.close)
    return machine


def status_counts():
    states = DBTaskResult.objects.values_list("status", flat=True)
    return {str(state): list(states).count(state) for state in set(states)}


def done():
    return DBTaskResult.objects.filter(status=TaskResultStatus.SUCCESSFUL).count()


def running_on(machine):
    """The task that a machine is at; in one network both have one name, and it may be the other's."""
    running = DBTaskResult.objects.filter(status=TaskResultStatus.RUNNING)
    if not machine.network.is_made:
        return running.first()
    return next((one for one in running if one.worker_ids[-1:] == [machine.network.name]), None)


def kill_worker(machine, _):
    """What does its tasks is killed; what watches over it begins anew."""
    machine.kill_worker()


def kill_and_start(machine, _):
    """Its power is cut and comes back."""
    machine.kill()
    machine.start()


def kill_for_good(machine, task):
    """Its power is cut and stays so; then its task has run for longer than any takes."""
    machine.kill()
    overdue = timezone.now() - OVERDUE - timedelta(seconds=1)
    DBTaskResult.objects.filter(pk=task.pk, status=TaskResultStatus.RUNNING).update(started_at=overdue)


def killed_in_a_task(machine, how):
    """Kill a machine in the middle of a task."""
    until = time.monotonic() + PATIENCE_S
    while (task := running_on(machine)) is None:
        assert time.monotonic() < until, (status_counts(), machine.words())
        time.sleep(0.01)
    how(machine, task)


def test_each_edition_is_made_once_though_a_worker_is_killed(machines, full, count_proof):
    renders, kills = (500, [kill_worker, kill_and_start, kill_for_good]) if full else (12, [kill_for_good])
    make_studio()
    pattern = make_pattern()
    for number in range(renders):
        start_publication(Publication(pattern=pattern, kind="test", number=f"0.{number}", note="", by=None))
    killed, survivor = machines
    for machine in machines:
        machine.start()
    for turn, how in enumerate(kills, start=1):
        due = renders * turn // (len(kills) + 1) if full else 3
        wait_for(lambda due=due: done() >= due, PATIENCE_S, killed.words)
        killed_in_a_task(killed, how)
    wait_until_all_are_done(renders, survivor)

    where = "in two networks" if killed.network.is_made else "on the loopback, as networks can’t be made here"
    tasks = list(DBTaskResult.objects.all())
    longest = max(one.finished_at - one.started_at for one in tasks)
    count_proof(f"PDFs by two workers {where}", renders)
    count_proof(f"workers {where} killed with SIGKILL in the middle of a PDF", len(kills))
    count_proof(f"workers {where}: tasks begun more than once", sum(len(one.worker_ids) > 1 for one in tasks))
    count_proof(f"workers {where}: longest time that a task ran, in s", longest.seconds)
    assert longest < OVERDUE
    assert status_counts() == {"SUCCESSFUL": renders}
    assert Version.objects.filter(state="published").count() == renders
    files = list(Edition.objects.filter(state="made").values_list("file", flat=True))
    assert len(files) == len(set(files)) == renders
    assert sorted(f"editions/{name}" for name in listed("editions")[1]) == sorted(files)
    assert list(studio_faults()) == []
    if killed.network.is_made:
        assert {one.worker_ids[-1] for one in tasks} == {machine.network.name for machine in machines}


def wait_until_all_are_done(renders, machine):
    """Wait as long as something goes on being done."""
    last, changed = done(), time.monotonic()
    while last < renders:
        if done() > last:
            last, changed = done(), time.monotonic()
        assert time.monotonic() - changed < PATIENCE_S, (status_counts(), machine.words())
        time.sleep(0.2)
