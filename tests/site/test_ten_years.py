"""A studio of ten years: every page is quick and asks the database little, every command ends in time."""

import time
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalogue.models import FrozenWork, Version
from catalogue.site.backups import write_backup
from catalogue.site.restoring import restore_backup
from catalogue.site.verification import studio_faults
from catalogue.versions.frozen_grades import forget_graded
from catalogue.versions.frozen_work import forget_memory
from tests.site.rights_table import TABLE
from tests.site.ten_years import FEW_WEEKS, TEN_YEARS, fill

pytestmark = pytest.mark.django_db
MOST_QUERIES = 25
FEWER = {"publish": 20}  # what is looked at before it asks of everything
MOST_MS = 400
MOST_SECONDS = 60
# Files and PDFs that are made on request: no pages.
MADE_ON_REQUEST = {
    "draft_pdf",
    "your_size",
    "holder_pdf_file",
    "corrections_file",
    "call_garment_file",
    "call_report",
}
# Makes a whole backup: a command that has an address.
COMMANDS = {"backup_download"}


@pytest.fixture
def aged(world, full):
    fill(world, TEN_YEARS if full else FEW_WEEKS)
    return world


def pages():
    """Every address that is looked at, with everybody who may."""
    for name, row in TABLE.items():
        if row.is_seen and name not in MADE_ON_REQUEST | COMMANDS:
            for who in ("nobody", "designer", "editor", "tester"):
                if who in row.who:
                    yield name, row, who


def looked_at(client, address):
    """Milliseconds of the processor of a page that was looked at before, and queries of the dearer look."""
    forget_kept_work()
    with CaptureQueriesContext(connection) as first:
        client.get(address).close()
    with CaptureQueriesContext(connection) as queries:
        began = time.process_time()
        answer = client.get(address)
        content = b"".join(answer.streaming_content) if answer.streaming else answer.content
        took = (time.process_time() - began) * 1000
    answer.close()
    assert content or answer.status_code != 200
    # Begins and ends of a writing ask for nothing.
    questions = [one for one in first if not one["sql"].startswith(("SAVEPOINT", "RELEASE"))]
    return took, max(len(queries), len(questions)), answer.status_code


def forget_kept_work():
    """Begin as after an update: a program that knows nothing of frozen versions yet."""
    FrozenWork.objects.all().delete()
    forget_memory()
    forget_graded()


def test_every_page_is_quick_and_asks_little(aged, full, count_proof):
    slow, asking = {}, {}
    for name, row, who in pages():
        client = Client()
        if aged.people[who]:
            client.force_login(aged.people[who])
        parts = {key: part(aged) if callable(part) else part for key, part in row.parts.items()}
        address = reverse(name, kwargs=parts)
        took, queries, status = looked_at(client, address)
        assert status in row.answers, name
        if full and took > MOST_MS:  # others may have wanted the machine at the same time
            took = min(took, *(looked_at(client, address)[0] for _ in range(2)))
        page = f"{name}, {who}"
        if queries > FEWER.get(name, MOST_QUERIES):
            asking[page] = queries
        if full and took > MOST_MS:
            slow[page] = round(took)
        count_proof("pages of a studio of ten years", 1)
    assert (asking, slow) == ({}, {})


def test_it_is_whole_and_comes_back_whole(aged, tmp_path, settings):
    assert list(studio_faults()) == []
    versions = Version.objects.count()
    write_backup(tmp_path / "backup.zip")
    restore_backup(tmp_path / "backup.zip", replace=True)
    assert Version.objects.count() == versions
    assert list(studio_faults()) == []


def test_every_command_ends_in_time(aged, full, tmp_path, settings, count_proof):
    backup = Path(tmp_path / "backup.zip")
    commands = {
        "backup": lambda: call_command("backup", str(backup)),
        "tend": lambda: call_command("tend"),
        "exportpattern": lambda: call_command(
            "exportpattern", aged.pattern.slug, out=tmp_path / "pattern.json"
        ),
        "restore": lambda: restore_backup(backup, replace=True),
    }
    took = {}
    for name, run in commands.items():
        began = time.process_time()
        run()
        took[name] = round(time.process_time() - began, 1)
        count_proof("commands on a studio of ten years", 1)
    assert {name: seconds for name, seconds in took.items() if seconds > MOST_SECONDS} == {}
