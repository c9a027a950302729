import pytest

from tests.file_database import file_server, shared_database  # noqa: F401  fixtures
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
