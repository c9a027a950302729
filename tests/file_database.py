"""A database in a file, for tests in which several things happen at once."""

import sqlite3
from contextlib import closing

import pytest
from django.db import connection


@pytest.fixture
def shared_database(transactional_db, tmp_path):
    """A database in which threads wait for each other, as in a studio; SQLite's in memory can't."""
    if connection.vendor != "sqlite":
        yield
        return
    path = tmp_path / "race.sqlite3"
    connection.ensure_connection()
    in_memory, name = connection.connection, connection.settings_dict["NAME"]
    with closing(sqlite3.connect(path)) as copy:
        in_memory.backup(copy)
    connection.connection = None
    connection.settings_dict["NAME"] = str(path)
    yield
    connection.close()
    connection.settings_dict["NAME"] = name
    connection.connection = in_memory


@pytest.fixture
def file_server(shared_database):
    """A server whose threads have connections of their own, each to the same database."""
    from pytest_django.live_server_helper import LiveServer

    server = LiveServer("localhost")
    yield server
    server.stop()


def database_url():
    """The database of this test, as the environment names it."""
    known = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{known['NAME']}"
    at = f"{known['HOST'] or 'localhost'}:{known['PORT'] or 5432}"
    return f"postgres://{known['USER']}:{known['PASSWORD']}@{at}/{known['NAME']}"
