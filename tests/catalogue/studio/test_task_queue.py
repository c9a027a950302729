"""Tasks outlive their worker: real processes on a database of their own, killed in the middle."""

import os
import signal
import subprocess
from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from catalogue.studio.task_queue import (
    MOST_STARTS,
    OVERDUE,
    forget_finished_tasks,
    return_overdue_tasks,
    return_tasks_of,
)
from tests.site.running_studio import ROOT, Studio, free_port, wait_for


def make_task(*, status=TaskResultStatus.RUNNING, workers=("one",), **fields):
    task = DBTaskResult.objects.create(
        task_path="tests.site.slow_tasks.take_time",
        args_kwargs={"args": [], "kwargs": {}},
        backend_name="default",
        exception_class_path="",
        traceback="",
        run_after=timezone.now(),
        **fields,
    )
    DBTaskResult.objects.filter(pk=task.pk).update(status=status, worker_ids=list(workers))
    return task


def status_of(task):
    return DBTaskResult.objects.get(pk=task.pk).status


@pytest.mark.django_db
def test_tasks_of_a_dead_worker_return_and_others_stay():
    left, other = make_task(workers=["one"]), make_task(workers=["one", "two"])
    done = make_task(status=TaskResultStatus.SUCCESSFUL)
    assert return_tasks_of(worker_id="one") == 1
    assert status_of(left) == TaskResultStatus.READY
    assert status_of(other) == TaskResultStatus.RUNNING
    assert status_of(done) == TaskResultStatus.SUCCESSFUL


@pytest.mark.django_db
def test_tasks_that_run_too_long_return():
    now = timezone.now()
    late = make_task(started_at=now - OVERDUE - timedelta(seconds=1))
    fresh = make_task(started_at=now - OVERDUE + timedelta(seconds=60))
    assert return_overdue_tasks() == 1
    assert status_of(late) == TaskResultStatus.READY
    assert status_of(fresh) == TaskResultStatus.RUNNING


@pytest.mark.django_db
def test_a_task_that_ends_every_worker_fails_at_last():
    deadly = make_task(workers=["one"] * MOST_STARTS)
    assert return_tasks_of(worker_id="one") == 0
    assert status_of(deadly) == TaskResultStatus.FAILED
    assert "worker ended" in DBTaskResult.objects.get(pk=deadly.pk).traceback


@pytest.mark.django_db
def test_what_is_done_is_forgotten_after_a_day():
    now = timezone.now()
    make_task(status=TaskResultStatus.SUCCESSFUL, finished_at=now - timedelta(hours=25))
    kept = [
        make_task(status=TaskResultStatus.SUCCESSFUL, finished_at=now - timedelta(hours=23)),
        make_task(status=TaskResultStatus.FAILED, finished_at=now - timedelta(days=13)),
        make_task(status=TaskResultStatus.READY),
    ]
    assert forget_finished_tasks() == 1
    assert set(DBTaskResult.objects.values_list("pk", flat=True)) == {task.pk for task in kept}


@pytest.fixture(scope="module")
def studio(tmp_path_factory):
    opened = Studio(tmp_path_factory.mktemp("studio"))
    try:
        opened.open()
        yield opened
    finally:
        opened.close()


@pytest.mark.any_database
def test_an_empty_studio_opens_with_a_one_time_address(studio):
    address = next(line for line in studio.words().splitlines() if "/setup/" in line)
    path = address.removeprefix(f"http://127.0.0.1:{studio.port}")
    assert studio.answer(path) == 200
    assert studio.answer("/setup/another/") is None
    assert studio.answer("/") == 200


@pytest.mark.any_database
def test_a_second_start_on_the_same_folder_says_so_in_one_line(studio):
    command = studio.manage("start", "--port", str(free_port()))
    second = subprocess.run(command, env=studio.environment, cwd=ROOT, capture_output=True, text=True)
    assert second.returncode == 1
    assert second.stderr.strip().count("\n") == 0
    assert "is running already" in second.stderr


@pytest.mark.any_database
def test_a_taken_port_is_named_in_one_line(studio, tmp_path):
    environment = {**studio.environment, "EVENROW_DATA": str(tmp_path)}
    command = studio.manage("start", "--port", str(studio.port))
    second = subprocess.run(command, env=environment, cwd=ROOT, capture_output=True, text=True)
    assert second.returncode == 1
    assert second.stderr.strip().count("\n") == 0
    assert f"Port {studio.port} cannot be used" in second.stderr


@pytest.mark.any_database
def test_a_killed_worker_is_started_anew_and_its_task_is_done(studio, full, count_proof):
    kills = 20 if full else 2
    for number in range(kills):
        name = f"task{number}"
        wait_for(studio.worker, 120, studio.words)
        studio.enqueue(name, 60)
        wait_for(lambda name=name: studio.count(f"{name}.began") == 1, 120, studio.words)
        os.kill(studio.worker(), signal.SIGKILL)
        wait_for(lambda name=name: studio.count(f"{name}.ended") == 1, 120, studio.words)
        assert studio.count(f"{name}.began") == 2
    count_proof("workers killed in the middle of a task", kills)


@pytest.mark.any_database
def test_the_end_of_everything_loses_no_task(studio):
    studio.enqueue("rest", 60)
    wait_for(lambda: studio.count("rest.began") == 1, 120, studio.words)
    studio.process.kill()
    studio.process.wait()
    wait_for(lambda: studio.answer("/account/login/") is None, 60)
    studio.open()
    wait_for(lambda: studio.count("rest.ended") == 1, 120, studio.words)


@pytest.mark.any_database
def test_ctrl_c_ends_server_and_worker(studio):
    children = studio.children()
    assert len(children) == 2
    studio.close()
    assert not any(Path(f"/proc/{pid}").exists() for pid in children)
    assert studio.answer("/") is None
    assert "Traceback" not in studio.words()
