"""The tables of an empty database: made by the migrations once, kept in a file, and taken from there.

To make them takes longer than most tests. Django still asks on what was taken whether all migrations are
done, and does those that are not. The file is known by all that tables are made from: it is never
of another time.
"""

import hashlib
import os
import sqlite3
import sys
from contextlib import closing
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection

ROOT = Path(__file__).resolve().parents[1]
MADE_FROM = (
    "*/migrations/*.py",
    "*/models.py",
    "*/models/**/*.py",
    "*/fields.py",
    "catalogue/site/settings.py",
    "requirements.lock",
)


def kept_file():
    """Where the tables are kept; nothing is there before they were made."""
    found = hashlib.sha256(f"{sys.version} {sqlite3.sqlite_version}".encode())
    for path in sorted(path for pattern in MADE_FROM for path in ROOT.glob(pattern)):
        found.update(path.read_bytes())
    return Path(settings.DATA_DIR) / f"tables-{found.hexdigest()[:16]}.sqlite3"


def take_tables(into):
    """Put the tables into an empty database, where they are kept."""
    try:
        with closing(sqlite3.connect(f"{kept_file().as_uri()}?mode=ro", uri=True)) as kept:
            kept.backup(into)
    except sqlite3.OperationalError:  # not made yet, or just now put away by who made newer ones
        return


def keep_tables(made):
    """Keep the tables of a database, and no older ones."""
    file = kept_file()
    if file.exists():
        return
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    written = file.with_suffix(f".{os.getpid()}")
    with closing(sqlite3.connect(written)) as kept:
        made.backup(kept)
    for older in file.parent.glob("tables-*.sqlite3"):
        older.unlink(missing_ok=True)
    written.replace(file)


@pytest.fixture(scope="session")
def tables_taken(django_db_modify_db_settings):
    """The test database in memory, with tables before Django looks at it."""
    if connection.vendor != "sqlite":
        yield
        return
    name = connection.creation._get_test_db_name()  # type: ignore[attr-defined]
    with closing(sqlite3.connect(name, uri=True)) as held:  # in memory while somebody holds it
        take_tables(held)
        yield


@pytest.fixture(scope="session")
def django_db_setup(tables_taken, django_db_setup, django_db_blocker):
    """Tables are kept for the next process as soon as Django has made them."""
    if connection.vendor == "sqlite":
        with django_db_blocker.unblock():
            connection.ensure_connection()
            keep_tables(connection.connection)
