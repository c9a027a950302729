import sqlite3
from contextlib import closing

import pytest
from django.db import connection

from tests.testing.builders import make_call, make_person, make_place, make_studio


@pytest.fixture
def studio(db):
    return make_studio()


@pytest.fixture
def designer(studio):
    return make_person("designer@larkmoss.example", "designer", name="Linnet Moor")


@pytest.fixture
def editor(studio):
    return make_person("editor@larkmoss.example", "editor", name="Teal Heron")


@pytest.fixture
def call(studio):
    return make_call()


@pytest.fixture
def place(call):
    return make_place(call)


@pytest.fixture
def as_designer(client, designer):
    client.force_login(designer)
    return client


@pytest.fixture
def as_tester(client, place):
    client.force_login(place.person)
    return client


@pytest.fixture
def shared_database(transactional_db, tmp_path):
    """A database in which threads wait for each other, as in a studio; SQLite's in memory can't."""
    if connection.vendor != "sqlite":
        yield
        return
    path = tmp_path / "race.sqlite3"
    in_memory, name = connection.connection, connection.settings_dict["NAME"]
    with closing(sqlite3.connect(path)) as copy:
        in_memory.backup(copy)
    connection.connection = None
    connection.settings_dict["NAME"] = str(path)
    yield
    connection.close()
    connection.settings_dict["NAME"] = name
    connection.connection = in_memory
