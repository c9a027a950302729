"""Pages of visitors say whether they are still the same; those of people are kept by nobody."""

import gzip
import time

import pytest
from django.contrib.messages import INFO
from django.contrib.messages.storage.cookie import CookieStorage
from django.http import HttpResponse
from django.test import RequestFactory
from django.urls import reverse
from django.utils.http import http_date

from catalogue.models import Studio
from catalogue.site.visitor_pages import VISITED
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
        assert by_mark.status_code == 304, name
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


def test_two_changes_of_one_second_are_both_seen(world, client):
    address = address_of("catalogue", world)
    first = client.get(address)
    assert "Last-Modified" not in first  # it has whole seconds, and each process would know another
    Studio.objects.update(name="Larkmoss and Daughters")
    now = http_date(time.time())
    again = client.get(address, headers={"If-Modified-Since": now})
    assert again.status_code == 200
    assert "Larkmoss and Daughters" in again.content.decode()
    once_more = client.get(address, headers={"If-Modified-Since": now, "If-None-Match": first["ETag"]})
    assert once_more.content == again.content


def test_a_page_with_a_message_for_one_person_is_kept_by_nobody_else(world, client):
    address = address_of("catalogue", world)
    told, earlier = CookieStorage(RequestFactory().get("/")), HttpResponse()
    told.add(INFO, "Wren, your wish was sent.")
    told.update(earlier)
    client.cookies["messages"] = earlier.cookies["messages"].value
    answer = client.get(address)
    assert "Wren, your wish was sent." in answer.content.decode()
    assert "ETag" not in answer
    assert answer["Cache-Control"] == "private, no-store"


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
