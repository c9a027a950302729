"""Chores: each runs by itself; its failure is told with place and remedy, tried again, and ends nothing."""

import errno
import logging
import os
import subprocess
from dataclasses import replace
from functools import partial
from typing import Any

import pytest
from botocore.exceptions import EndpointConnectionError
from django.core.management import CommandError, call_command
from django.db import OperationalError
from django.urls import reverse

from catalogue.models import FailedChore
from catalogue.site import supervisor
from catalogue.studio import chores
from catalogue.studio.chores import Chore, do_chore, do_each
from catalogue.studio.out_of_reach import FilesOutOfReach, told_of
from testing.running import tending
from tests.builders import make_person
from tests.site.running_studio import Studio, wait_for

ALL = (*supervisor.TIDYING, *supervisor.TENDING)
FAILURES = (
    FilesOutOfReach("the folder /srv/files is read-only; let it be written to"),
    PermissionError(errno.EACCES, "Permission denied"),
    EndpointConnectionError(endpoint_url="http://127.0.0.1:1"),
    OperationalError("the database is away"),
    ValueError("wren@larkmoss.example has no swatch"),
    MemoryError(),
)


@pytest.fixture(autouse=True)
def nothing_was_said_before(monkeypatch):
    monkeypatch.setattr(chores, "_WRITTEN", {})


def failing(problem):
    def do():
        raise problem

    return do


@pytest.mark.django_db
@pytest.mark.parametrize("problem", FAILURES, ids=lambda problem: type(problem).__name__)
@pytest.mark.parametrize("broken", ALL, ids=lambda chore: chore.undone.replace(" ", "_"))
def test_a_chore_that_raises_leaves_all_others_done(broken, problem):
    done: list[Chore] = []
    round_of = [
        replace(chore, do=failing(problem) if chore is broken else partial(done.append, chore))
        for chore in ALL
    ]
    supervisor._do(round_of)
    assert done == [chore for chore in ALL if chore is not broken]
    assert [failed.undone for failed in FailedChore.objects.all()] == [broken.undone]
    supervisor._do(ALL)
    assert not FailedChore.objects.exists()


@pytest.mark.django_db
def test_each_failure_says_what_is_undone_where_and_what_to_do(caplog):
    with caplog.at_level(logging.WARNING):
        for problem in FAILURES:
            assert do_chore(Chore("The swatches are not washed", failing(problem))).why
    said = [record.getMessage() for record in caplog.records]
    assert said[0] == (
        "The swatches are not washed: the folder /srv/files is read-only; let it be written to. "
        "It is tried again."
    )
    assert "the database does not answer (the database is away)" in said[3]
    assert "made a mistake (ValueError)" in said[4]
    assert all(line.count(". ") == 1 for line in said)
    kept = FailedChore.objects.get()
    assert "MemoryError" in kept.why
    assert "wren@" not in "".join(said)


@pytest.mark.django_db
def test_the_same_failure_is_written_down_once_and_its_end_too(caplog):
    chore = Chore("The swatches are not washed", failing(OperationalError("away")))
    with caplog.at_level(logging.WARNING):
        do_chore(chore)
        do_chore(chore)
        do_chore(replace(chore, do=lambda: 1))
        do_chore(replace(chore, do=lambda: 1))
    assert [record.levelname for record in caplog.records] == ["ERROR", "WARNING"]


def test_a_database_that_is_away_hides_no_failure_and_ends_nothing(monkeypatch, caplog):
    def away(*_, **__):
        raise OperationalError("away")

    monkeypatch.setattr(FailedChore.objects, "update_or_create", away)
    monkeypatch.setattr(FailedChore.objects, "filter", lambda **_: None)
    with caplog.at_level(logging.WARNING):
        assert do_chore(Chore("The swatches are not washed", failing(OperationalError("away")))).why
    assert "The swatches are not washed: the database does not answer" in caplog.text


def test_what_fails_for_one_is_done_for_the_others_and_raised_at_the_end():
    done = []

    def wash(number):
        if number in (2, 3):
            raise ValueError(f"swatch {number}")
        done.append(number)
        return 1

    with pytest.raises(ValueError, match="swatch 2"):
        do_each([1, 2, 3, 4], wash)
    assert done == [1, 4]
    assert do_each([1, 4], wash) == 2


def test_a_store_that_takes_its_time_does_not_hold_up_the_watch(monkeypatch):
    tried = []
    clock = iter(range(0, 1000, 20))
    monkeypatch.setattr("catalogue.studio.chores.time.monotonic", lambda: next(clock))

    def wait(number):
        tried.append(number)
        raise ValueError("slow")

    with pytest.raises(ValueError, match="slow"):
        do_each(range(50), wait)
    assert len(tried) < 5


@pytest.mark.django_db
def test_the_designers_home_page_says_what_is_left_undone(client):
    do_chore(Chore("The swatches are not washed", failing(FAILURES[0])))
    client.force_login(make_person(role="editor"))
    assert "swatches" not in client.get(reverse("desk")).content.decode()
    client.force_login(make_person(role="designer"))
    page = client.get(reverse("desk")).content.decode()
    assert "The swatches are not washed: the folder /srv/files is read-only; let it be written to." in page
    do_chore(Chore("The swatches are not washed", lambda: 1))
    assert "swatches" not in client.get(reverse("desk")).content.decode()


@pytest.mark.django_db
def test_the_command_ends_with_what_was_not_done(monkeypatch, capsys):
    erasing = "Personal data whose day has come is not erased"
    broken = [
        replace(chore, do=failing(FAILURES[0])) if chore.undone == erasing else chore
        for chore in tending.CHORES
    ]
    monkeypatch.setattr(tending, "CHORES", broken)
    with pytest.raises(CommandError, match=r"is not erased: the folder /srv/files is read-only; let it be"):
        call_command("tend")
    assert capsys.readouterr().out == "0 offers lapsed, 0 reminders.\n"


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (errno.EROFS, "The folder {folder} is read-only; let it be written to."),
        (errno.EACCES, "The folder {folder} may not be used; let the user that runs Evenrow write there."),
        (errno.EPERM, "The folder {folder} may not be used; let the user that runs Evenrow write there."),
        (errno.ENOSPC, "The disk of {folder} is full; make room there."),
        (
            errno.EIO,
            "The folder {folder} can't be used (Input/output error); see that its disk is there and sound.",
        ),
    ],
)
def test_what_is_wrong_with_a_folder_is_one_sentence_with_its_name(tmp_path, number, says):
    with pytest.raises(FilesOutOfReach) as told, told_of(tmp_path):
        raise OSError(number, os.strerror(number))
    assert str(told.value) == says.format(folder=tmp_path)


def test_a_worker_that_cannot_be_started_is_tried_again(monkeypatch, db):
    said: list[str] = []
    dead: Any = None
    running: Any = supervisor.Running(dead, dead, "one")
    monkeypatch.setattr(supervisor, "_start_worker", lambda _: failing(OSError(errno.ENOMEM, "no room"))())
    supervisor._restart_worker(running, said.append)
    assert said == ["The worker ended and can't be started: no room. It is tried again."]
    monkeypatch.setattr(supervisor, "_start_worker", lambda _: "worker")
    supervisor._restart_worker(running, said.append)
    assert running.worker == "worker"


SEED = """
import datetime as dt, io
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.contrib.sessions.backends.db import SessionStore
from catalogue.photos.pictures import clean_picture
from testing.models import TestCall
from testing.results.own_photos import add_photo
from tests.catalogue import pictures
from tests.testing import builders
builders.make_studio()
designer = builders.make_person("designer@larkmoss.example", "designer")
place = builders.make_place(builders.make_call())
add_photo(placement=place, photo=clean_picture(io.BytesIO(pictures.jpeg())), alt="The front")
TestCall.objects.update(erase_on=dt.date.today() - dt.timedelta(days=1))
session = SessionStore()
session["_auth_user_id"], session["_auth_user_hash"] = str(designer.pk), designer.get_session_auth_hash()
session["_auth_user_backend"] = "allauth.account.auth_backends.AuthenticationBackend"
session.save()
print(session.session_key)
"""
TEND_AND_COUNT = """
from django.core.management import call_command
from catalogue.models import FailedChore
from testing.models import Application
call_command("tend")
print(Application.objects.count(), FailedChore.objects.count())
"""
READ_ONLY = 'mount --bind "$0" "$0" && mount -o remount,bind,ro "$0" && exec "$@"'


def read_only(folder):
    """Words before a command that make a folder read-only for it alone, as root too; none where rights do."""
    if os.geteuid() != 0:
        folder.chmod(0o555)
        return []
    before = ["unshare", "--mount", "sh", "-c", READ_ONLY, str(folder)]
    if subprocess.run([*before, "true"], capture_output=True).returncode:
        pytest.skip("This root may not mount anything, so no folder can be made read-only for it.")
    return before


@pytest.mark.any_database
def test_a_studio_whose_files_are_read_only_goes_on_and_says_so(studio_folder):
    studio = Studio(studio_folder)
    session = studio.do(SEED)
    files = studio_folder / "files"
    try:
        studio.open(*read_only(files))
        wait_for(lambda: "Personal data whose day has come is not erased" in studio.words(), 60, studio.words)
        page = studio.page(reverse("desk"), session)
        assert f"is not erased: the folder {files} is read-only; let it be written to." in page
        assert studio.answer(reverse("call_list")) == 200
        assert len(studio.children()) == 2
        assert studio.words().count("Traceback") == 0
        assert [path for path in (files / "results").rglob("*") if path.is_file()]
    finally:
        files.chmod(0o755)
        studio.close()
    assert studio.do(TEND_AND_COUNT).splitlines()[-1] == "0 0"
    assert not list((files / "results").rglob("*"))
