"""Settings for the tests of the catalogue."""

import pytest

from catalogue.editions import RenderedPdf
from tests.builders import make_person


@pytest.fixture(autouse=True)
def _public_address(settings):
    settings.STUDIO_URL = "https://larkmoss.example"
    settings.IS_DEMO = False


@pytest.fixture
def quick_pdf(monkeypatch):
    """Publishing without painting: editions have tests of their own."""
    painted = RenderedPdf(b"%PDF-1.7 painted elsewhere", 1, "0" * 64, "0" * 64, {})
    monkeypatch.setattr("catalogue.versions.render_pdf", lambda **_: painted)


@pytest.fixture
def designer_client(client):
    """A browser in which a designer has signed in."""
    client.force_login(make_person(role="designer"))
    return client
