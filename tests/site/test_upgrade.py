"""What a release stored, this program brings up to its own tables: nothing is lost, all is whole and seen.

Each release leaves a backup in `tests/data/releases`, which stays there for good.
"""

import json
import os
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.db import connection

from tests.file_database import database_url

ROOT = Path(__file__).resolve().parents[2]
RELEASES = sorted((ROOT / "tests/data/releases").glob("*.zip"))
# Tables of which a newer program may have more or fewer rows than were stored, and why.
MADE_ANEW = {"catalogue.listingchoice"}


@contextmanager
def empty_database(name):
    """The environment of a database of its own, of the kind that this run has."""
    if connection.vendor == "sqlite":
        yield {"DATABASE_URL": ""}
        return
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE DATABASE {name}")
    try:
        yield {"DATABASE_URL": database_url().rpartition("/")[0] + f"/{name}"}
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f"DROP DATABASE {name} WITH (FORCE)")


def test_a_release_has_left_its_backup():
    assert RELEASES


@pytest.mark.parametrize("backup", RELEASES, ids=lambda path: path.stem)
@pytest.mark.django_db(transaction=True)
def test_what_a_release_stored_is_there_whole_and_to_be_seen(backup, tmp_path):
    with empty_database(f"upgraded_{os.getpid()}") as own:
        environment = {
            **os.environ,
            "EVENROW_DATA": str(tmp_path / "studio"),
            "DJANGO_SETTINGS_MODULE": "catalogue.site.settings",
            "PYTHONPATH": str(ROOT),
            "PYTHONWARNINGS": "ignore",
            **own,
        }
        command = [sys.executable, "-m", "tests.site.older_release", str(backup)]
        ended = subprocess.run(
            command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False
        )
    assert ended.returncode == 0, ended.stderr[-3000:]
    found = json.loads(ended.stdout.splitlines()[-1])
    kept = {table: number for table, number in found["told"].items() if table not in MADE_ANEW}
    assert {table: found["tables"].get(table) for table in kept} == kept
    assert set(found["pages"].values()) == {200}, found["pages"]
    assert len(found["pages"]) > 20
    assert backup.stat().st_size < 500_000
