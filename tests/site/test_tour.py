"""The tour of the demo: five stops that lead on, can be left, and are there for its designer alone."""

import pytest
from django.urls import NoReverseMatch, reverse

from catalogue.site.tour import STOPS
from tests.builders import make_person
from tests.catalogue.builders import make_pattern, make_version

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("the demo is in a SQLite database of its own, whatever DATABASE_URL names"),
]
LEAVE = "/tour/leave/"


@pytest.fixture
def designer_client(client):
    client.force_login(make_person(role="designer"))
    return client


@pytest.fixture
def demo(settings):
    settings.IS_DEMO = True
    settings.ROOT_URLCONF = "tests.site.demo_addresses"
    pattern = make_pattern(title="Brackenmere Pullover")
    make_version(pattern, kind="release", number="1.0")
    return pattern


def test_a_studio_has_no_tour():
    with pytest.raises(NoReverseMatch):
        reverse("tour")


def test_the_tour_goes_from_stop_to_stop_and_ends(demo, designer_client):
    page = designer_client.get("/tour/").content.decode()
    assert all(stop.title in page for stop in STOPS)
    for number, stop in enumerate(STOPS, start=1):
        answer = designer_client.post(f"/tour/{number}/", follow=True)
        page = answer.content.decode()
        assert answer.status_code == 200
        assert f"Stop {number} of {len(STOPS)}: {stop.title}." in page
        assert ("Next stop" in page) == (number < len(STOPS))
    assert designer_client.post(f"/tour/{len(STOPS) + 1}/")["Location"] == reverse("desk")
    assert "Stop " not in designer_client.get(reverse("desk")).content.decode()


def test_the_tour_can_be_left_at_any_stop(demo, designer_client):
    designer_client.post("/tour/2/")
    assert "Stop 2 of" in designer_client.get(reverse("desk")).content.decode()
    assert designer_client.post(LEAVE)["Location"] == reverse("desk")
    assert "Stop 2 of" not in designer_client.get(reverse("desk")).content.decode()


def test_nobody_else_takes_the_tour(demo, client):
    assert client.get("/tour/").status_code == 302
    assert client.post("/tour/1/").status_code == 302
