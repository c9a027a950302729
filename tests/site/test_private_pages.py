"""Pages that tell of a person are kept nowhere: not by a browser, not by a server on the way."""

import pytest
from django.test import Client
from django.urls import resolve, reverse

from catalogue.site.private_pages import OWN_WORK
from tests.site.rights_table import TABLE

pytestmark = pytest.mark.django_db
PUBLIC = ("catalogue", "pattern_page", "call_list", "call_page", "privacy", "corrections", "sign_up")
BY_KEY = (
    "application",
    "offer",
    "holder_confirm",
    "unsubscribe",
    "holder_forget",
    "holder_pdf",
    "holder_pdf_file",
    "holder_read",
    "invitation",
    "setup",
    "account_login",
)
PICTURES_AND_FILES = {"photo_file", "edition_file", "corrections_file"}  # these say how long they may be kept


def address_of(name, world):
    parts = TABLE[name].parts
    return reverse(name, kwargs={key: part(world) if callable(part) else part for key, part in parts.items()})


def kept(client, address):
    answer = client.get(address)
    answer.close()
    return answer.get("Cache-Control", "")


def is_own_work(address):
    return resolve(address).route.startswith(OWN_WORK)


@pytest.mark.parametrize("person", ["tester", "designer"])
def test_what_somebody_signed_in_looks_at_is_kept_nowhere(world, person):
    client = Client()
    client.force_login(world.people[person])
    seen = [name for name, row in TABLE.items() if row.is_seen and person in row.who]
    said = {name: kept(client, address_of(name, world)) for name in seen if name not in PICTURES_AND_FILES}
    private = {name for name, words in said.items() if "no-store" in words}
    assert {"my_making", "my_data", "making"} <= private or person == "designer"
    assert {"call", "testers", "holders", "people", "mails", "errata"} <= private or person == "tester"
    assert [name for name in sorted(set(said) - private) if not is_own_work(address_of(name, world))] == []


def test_the_work_on_a_sheet_and_its_words_may_be_come_back_to(world):
    client = Client()
    client.force_login(world.people["designer"])
    assert [kept(client, address_of(name, world)) for name in ("sheet", "entry", "step", "facts")] == [""] * 4


def test_what_a_key_opens_is_kept_nowhere(world, client):
    assert [name for name in BY_KEY if "no-store" not in kept(client, address_of(name, world))] == []


def test_public_pages_may_be_kept_and_ask_for_no_cookie(world, client):
    for name in PUBLIC:
        answer = client.get(address_of(name, world))
        assert "no-store" not in answer.get("Cache-Control", ""), name
        assert not answer.cookies or name == "sign_up", name
