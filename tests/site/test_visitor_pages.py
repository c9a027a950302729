"""Pages of visitors say whether they are still the same; those of people are kept by nobody."""

import gzip
import time
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

import pytest
from django.urls import reverse

from catalogue.models import Studio
from catalogue.site import visitor_pages
from catalogue.site.visitor_pages import VISITED, SeenPages
from tests.site.rights_table import TABLE

pytestmark = pytest.mark.django_db
MADE_EACH_TIME = {"corrections_file"}  # a PDF, which takes seconds here


def address_of(name, world):
    parts = TABLE[name].parts
    return reverse(name, kwargs={key: part(world) if callable(part) else part for key, part in parts.items()})


def test_every_page_of_visitors_answers_that_it_is_still_the_same(world, client):
    for name in sorted(VISITED - MADE_EACH_TIME):
        address = address_of(name, world)
        first = client.get(address)
        assert first["Cache-Control"] == "public, no-cache", name
        by_mark = client.get(address, headers={"If-None-Match": first["ETag"]})
        by_time = client.get(address, headers={"If-Modified-Since": first["Last-Modified"]})
        assert (by_mark.status_code, by_time.status_code) == (304, 304), name
        assert by_mark.content == b""
        assert client.get(address, headers={"If-None-Match": '"another"'}).content == first.content


def test_whatever_changes_a_page_is_seen_at_once(world, client):
    address = address_of("catalogue", world)
    first = client.get(address)
    Studio.objects.update(name="Larkmoss and Daughters")
    again = client.get(address, headers={"If-None-Match": first["ETag"]})
    assert again.status_code == 200
    assert "Larkmoss and Daughters" in again.content.decode()
    assert again["ETag"] != first["ETag"]


def test_the_moment_is_that_at_which_the_content_was_first_seen(monkeypatch):
    pages, now = SeenPages(), 1_000_000.5
    monkeypatch.setattr(time, "time", lambda: now)
    assert pages.since("/patterns/", '"a"') == 1_000_000
    now += 50
    assert pages.since("/patterns/", '"a"') == 1_000_000
    assert pages.since("/patterns/", '"b"') == 1_000_050
    now += 50
    assert pages.since("/patterns/", '"a"') == 1_000_100  # as it once was, and yet another than just before
    monkeypatch.setattr(visitor_pages, "MOST_REMEMBERED", 1)
    pages.since("/other/", '"a"')
    now += 50
    assert pages.since("/patterns/", '"a"') == 1_000_150


def test_pages_of_people_have_no_mark(world, client):
    client.force_login(world.people["designer"])
    for name in sorted(VISITED - MADE_EACH_TIME):
        answer = client.get(address_of(name, world))
        assert "ETag" not in answer, name
        assert "no-store" in answer["Cache-Control"], name


def test_a_compressed_page_has_the_same_mark_each_time(world, client):
    address, asked = address_of("pattern_page", world), {"Accept-Encoding": "gzip"}
    first, second = client.get(address, headers=asked), client.get(address, headers=asked)
    assert first["Content-Encoding"] == "gzip"
    assert first["ETag"] == second["ETag"]
    assert first["ETag"].startswith("W/")  # the same page, not the same bytes
    assert gzip.decompress(first.content) == client.get(address).content
    assert "Accept-Encoding" in first["Vary"]
    known = client.get(address, headers={**asked, "If-None-Match": first["ETag"]})
    assert known.status_code == 304
    said = parsedate_to_datetime(first["Last-Modified"])
    assert said <= datetime.fromtimestamp(time.time() + 1, UTC)
