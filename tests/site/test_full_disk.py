"""A full disk: what can't be saved is answered with a sentence and what was typed; pages are still served."""

import io
import logging

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from catalogue.models import Pattern
from tests.builders import make_person
from tests.catalogue import pictures
from tests.file_database import shared_database as shared_database  # a fixture

FULL = ("database or disk is full", 'could not extend file "base/1/2": No space left on device')
NO_ROOM = "The studio has no room to save"


def new_pattern(title):
    """What a designer types to begin a pattern."""
    words = {"home_units": "cm", "home_terms": "US", "sizes": "S\nM\nL"}
    return {"title": title, "craft": "crochet", **words}


@pytest.fixture
def fill_disk():
    """Every write is refused as a full disk refuses it; reading goes on."""

    def fill(words=FULL[0]):
        def refuse(execute, sql, params, many, context):
            if sql.split(maxsplit=1)[0] in ("INSERT", "UPDATE", "DELETE"):
                raise OperationalError(words)
            return execute(sql, params, many, context)

        return connection.execute_wrapper(refuse)

    return fill


@pytest.mark.django_db
@pytest.mark.parametrize("words", FULL)
def test_a_save_on_a_full_disk_says_so_and_what_was_typed_can_be_sent_again(client, fill_disk, caplog, words):
    client.force_login(make_person(role="designer"))
    with fill_disk(words), caplog.at_level(logging.ERROR):
        answer = client.post(reverse("desk_new"), new_pattern("Reed & <Moss>"))
    page = answer.content.decode()
    assert answer.status_code == 503
    assert answer["Retry-After"]
    assert NO_ROOM in page
    assert 'name="title" value="Reed &amp; &lt;Moss&gt;"' in page
    assert 'name="sizes" value="S\nM\nL"' in page
    assert "Send it again" in page
    assert "go back to the form and choose them again" not in page
    assert "is full" in caplog.text
    assert not Pattern.objects.exists()


@pytest.mark.django_db
def test_files_that_were_sent_to_a_full_disk_have_to_be_chosen_again(client, fill_disk):
    client.force_login(make_person(role="designer"))
    with fill_disk():
        sent = {**new_pattern("Moss"), "picture": io.BytesIO(pictures.jpeg())}
        page = client.post(reverse("desk_new"), sent).content.decode()
    assert "go back to the form and choose them again" in page


@pytest.mark.django_db
def test_a_session_that_finds_no_room_is_answered_the_same_way(client, monkeypatch):
    """It is stored after the page was made."""

    def refuse(*_, **__):
        raise OperationalError(FULL[0])

    client.raise_request_exception = False
    monkeypatch.setattr("django.contrib.sessions.middleware.SessionMiddleware.process_response", refuse)
    answer = client.post(reverse("account_login"), {"login": "wren@larkmoss.example"})
    assert answer.status_code == 503
    assert NO_ROOM in answer.content.decode()
    assert "wren@larkmoss.example" in answer.content.decode()


@pytest.mark.django_db
def test_pages_are_served_on_a_full_disk(client, fill_disk):
    client.force_login(make_person(role="designer"))
    with fill_disk():
        for name in ("desk", "call_list", "catalogue"):
            assert client.get(reverse(name)).status_code == 200


def test_a_database_that_may_not_grow_is_answered_with_the_sentence(shared_database):
    """SQLite's own words, of a real file that has no room left."""
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL has no such limit; its words are tried above.")
    client = Client()
    client.force_login(make_person(role="designer"))
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")  # pages that other tests freed would be room
        cursor.execute("PRAGMA page_count")
        cursor.execute(f"PRAGMA max_page_count = {cursor.fetchone()[0]}")
    for number in range(60):
        title = f"The Heather Waistcoat {number}"
        answer = client.post(reverse("desk_new"), new_pattern(title))
        if answer.status_code == 503:
            break
    assert NO_ROOM in answer.content.decode()
    assert title in answer.content.decode()
