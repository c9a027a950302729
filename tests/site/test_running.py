"""How the studio runs: told in words to the designer, in one line to a watch, in logs without a person."""

import json
import logging
import re
import shutil
from datetime import timedelta
from pathlib import Path
from typing import NamedTuple
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.db import OperationalError, connection
from django.test import Client, override_settings
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from catalogue.models import FailedChore, Letter
from catalogue.publishing.publishing import make_editions_of
from catalogue.site import running, timings
from catalogue.site.environment import read_seconds
from catalogue.site.logs import JsonFormatter, log_formatter
from catalogue.studio.task_queue import MOST_STARTS, look_at_queue, return_tasks_of, start_again
from tests.builders import make_person, make_studio

pytestmark = pytest.mark.django_db


class Disk(NamedTuple):
    total: int
    used: int
    free: int


@pytest.fixture
def designer(client, settings, tmp_path):
    make_studio()
    settings.DATA_DIR = tmp_path
    client.force_login(make_person(role="designer"))
    return client


def queued(status="READY", **changes):
    """A task as the library stores it."""
    now = timezone.now()
    known = {
        "args_kwargs": {"args": [], "kwargs": {"version": 12345}},
        "task_path": make_editions_of.module_path,
        "queue_name": "default",
        "backend_name": "default",
        "run_after": now,
        "exception_class_path": "",
        "traceback": "",
    }
    return DBTaskResult.objects.create(status=status, **{**known, **changes})


def page_of(client):
    answer = client.get(reverse("running"))
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_a_studio_that_runs_well_says_so(designer):
    assert "All is well." in page_of(designer)


def test_a_failed_task_is_shown_with_its_reason_and_started_again(designer):
    failed = queued(
        "FAILED",
        finished_at=timezone.now(),
        exception_class_path="builtins.KeyError",
        traceback="KeyError: 'wren@larkmoss.example'",
        worker_ids=["one", "two", "three"],
    )
    page = page_of(designer)
    assert "PDFs of a version" in page
    assert "the program made a mistake (KeyError)" in page
    assert "wren@larkmoss.example" not in page  # what went wrong may tell of a person
    assert "12345" not in page
    answer = designer.post(reverse("task_again", args=[failed.pk]), follow=True)
    assert "It is in the queue again." in answer.content.decode()
    failed.refresh_from_db()
    assert (failed.status, failed.worker_ids, failed.traceback) == ("READY", [], "")
    again = designer.post(reverse("task_again", args=[failed.pk]), follow=True)
    assert "It is not among the failed ones any more" in again.content.decode()
    assert not start_again(uuid4())


def test_a_task_started_again_has_all_its_tries(designer):
    task = queued("RUNNING", started_at=timezone.now(), worker_ids=["dead"] * MOST_STARTS)
    assert return_tasks_of(worker_id="dead") == 0
    (failed,) = look_at_queue().failed
    assert "its worker ended each time" in failed.why
    assert start_again(failed.key)
    DBTaskResult.objects.filter(pk=task.pk).update(status="RUNNING", worker_ids=["dead"])
    assert return_tasks_of(worker_id="dead") == 1


def test_a_worker_that_takes_nothing_is_told(designer):
    task = queued()
    assert "asleep" not in page_of(designer)
    long_ago = timezone.now() - timedelta(minutes=11)
    DBTaskResult.objects.filter(pk=task.pk).update(run_after=long_ago, enqueued_at=long_ago)
    assert "The worker is asleep" in page_of(designer)
    DBTaskResult.objects.update(run_after=timezone.now() + timedelta(hours=1))
    page = page_of(designer)
    assert "asleep" not in page
    assert "<dt>Due later</dt><dd>1</dd>" in page


def test_a_full_disk_a_refused_mail_and_a_chore_are_told(designer, monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Disk(100 * 1024**3, 0, 200 * 1024**2))
    Letter.objects.create(to="ida@larkmoss.example", subject="Hello", state="failed")
    FailedChore.objects.create(undone="Old tasks are not forgotten", why="the database does not answer")
    page = page_of(designer)
    assert "The disk is nearly full: 200 MB are left" in page
    assert "The mail server refused 1 e-mail" in page
    assert f'href="{reverse("mails")}">Go there' in page
    assert "Old tasks are not forgotten: the database does not answer" in page
    assert "ida@larkmoss.example" not in page


def test_an_old_backup_is_told_and_a_new_one_is_noted(designer, tmp_path):
    call_command("backup", str(tmp_path / "studio.zip"))
    assert "backup" not in page_of(designer).partition("<dl")[0].partition("<h1>")[2]
    old = timezone.now() - timedelta(days=9, minutes=1)
    (tmp_path / running.LAST_BACKUP).write_text(json.dumps({"made_at": old.isoformat()}))
    assert "The last backup on this machine is 9 days old" in page_of(designer)
    (tmp_path / running.LAST_BACKUP).write_text("[]")
    assert running.last_backup() is None


def test_the_address_is_tried(designer, live_server, settings):
    settings.STUDIO_URL = live_server.url
    settings.ALLOWED_HOSTS = ["*"]
    answer = designer.post(reverse("running_address"), follow=True)
    assert f"{live_server.url} answers." in answer.content.decode()
    settings.STUDIO_URL = "http://127.0.0.1:9"  # discard: nothing listens there
    answer = designer.post(reverse("running_address"), follow=True)
    assert "can’t be reached from this machine: nothing answers there" in answer.content.decode()
    assert running.try_address("file:///etc/passwd") == "it does not begin with http:// or https://"
    assert "with the error 404" in running.try_address(f"{live_server.url}/nothing-here")


def test_an_address_that_is_none_or_speaks_no_http_is_told(designer, no_web_server):
    for address, why in (
        (f"http://{no_web_server}", "something answers there, but no web server"),
        ("http://larkmoss.example/my studio", "there is a blank or another sign in it that no address has"),
    ):
        with override_settings(STUDIO_URL=address):
            answer = designer.post(reverse("running_address"), follow=True)
        assert answer.status_code == 200
        assert f"can’t be reached from this machine: {why}." in answer.content.decode()


def test_whoever_watches_asks_without_signing_in(client):
    make_studio()
    answer = client.get(reverse("health"))
    assert (answer.status_code, answer.content, answer["Cache-Control"]) == (
        200,
        b"evenrow is alive\n",
        "no-store",
    )


def test_whoever_watches_is_told_in_one_line_that_the_database_is_away(client, monkeypatch):
    def fail(*_):
        raise OperationalError("connection refused")

    monkeypatch.setattr(connection, "cursor", fail)
    for known in ({}, {settings.SESSION_COOKIE_NAME: "kept"}):
        client.cookies.load(known)
        down = client.get(reverse("health"))
        assert (down.status_code, down.content) == (503, b"the database does not answer\n")
        assert down["Cache-Control"] == "no-store"
        assert down["Content-Type"] == "text/plain; charset=utf-8"


def test_a_slow_request_is_written_down_by_its_route_alone(settings, caplog):
    make_studio()
    settings.SLOW_REQUEST_SECONDS = 0.000001
    Client().get("/patterns/hush-hush/?words=wren")
    (line,) = [one for one in caplog.records if one.name == timings.__name__]
    assert "/patterns/<slug:slug>/ answered 404" in line.getMessage()
    assert "hush" not in line.getMessage()
    written = json.loads(JsonFormatter().format(line))
    assert written["route"] == "/patterns/<slug:slug>/"
    assert written["seconds"] >= 0
    assert "wren" not in JsonFormatter().format(line)
    caplog.clear()
    settings.SLOW_REQUEST_SECONDS = 60.0
    Client().get("/patterns/")
    assert [one for one in caplog.records if one.name == timings.__name__] == []


def test_a_line_for_programs_is_one_object_and_as_discreet(caplog):
    try:
        dict[str, str]()["wren@larkmoss.example"]
    except KeyError:
        logging.getLogger("larkmoss").exception("No row of %s\nin sight", "ida@larkmoss.example")
    text = JsonFormatter().format(caplog.records[-1])
    assert "\n" not in text
    written = json.loads(text)
    assert written["level"] == "error"
    assert written["says"] == "No row of …@…\nin sight"
    assert "larkmoss.example" not in written["traceback"]


def test_how_long_a_task_took_is_written_down(caplog, settings):
    caplog.set_level(logging.INFO)
    settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
    make_editions_of.enqueue(version=987654)
    (line,) = [one for one in caplog.records if one.name == timings.__name__]
    assert line.figures["task"] == "make_editions_of"
    assert line.figures["state"] == "successful"
    assert "987654" not in JsonFormatter().format(line)


@pytest.mark.parametrize(
    ("name", "text"), [("EVENROW_SLOW_SECONDS", word) for word in ("soon", "0", "-1", "nan", "1e9")]
)
def test_a_limit_that_is_none_is_refused(monkeypatch, name, text):
    monkeypatch.setenv(name, text)
    with pytest.raises(ImproperlyConfigured, match=f"{name} is “{text}”: give seconds"):
        read_seconds(name, usual=1.0)


def test_every_task_has_words():
    root = Path(__file__).resolve().parents[2]
    named = {
        name
        for part in ("catalogue", "testing")
        for path in (root / part).rglob("*.py")
        for name in re.findall(r"^@task\([^)]*\)\ndef (\w+)", path.read_text(), re.MULTILINE)
    }
    assert named == set(running.TASK_WORDS)


def test_a_log_of_another_kind_is_refused():
    assert log_formatter("json").endswith("JsonFormatter")
    with pytest.raises(ImproperlyConfigured, match="set it to json for one JSON object a line"):
        log_formatter("xml")
