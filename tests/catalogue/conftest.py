"""Settings for the tests of the catalogue."""

import hashlib

import pytest

from catalogue.editions.ingredients import RenderedPdf
from catalogue.editions.rendering import Rendered
from tests.builders import make_person
from tests.file_database import file_server, shared_database  # noqa: F401  fixtures


@pytest.fixture(autouse=True)
def _public_address(settings):
    settings.STUDIO_URL = "https://larkmoss.example"
    settings.IS_DEMO = False


@pytest.fixture
def quick_pdf(monkeypatch):
    """Publishing without painting: editions have tests of their own."""

    def press(*, record, wanted, **_):
        for place, choices in enumerate(wanted):
            content = f"%PDF-1.7 painted elsewhere {choices} {record}".encode()
            sha256 = hashlib.sha256(content).hexdigest()
            yield Rendered(place, RenderedPdf(content, 1, sha256, sha256, {}))

    monkeypatch.setattr("catalogue.publishing.publishing.render_editions", press)


@pytest.fixture
def designer_client(client):
    """A browser in which a designer has signed in."""
    client.force_login(make_person(role="designer"))
    return client
