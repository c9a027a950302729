"""Titles of browser windows say the page first, then what it is about, then the studio."""

import pytest
from django.urls import reverse

from tests.pages import page_text
from tests.testing.builders import (
    make_call,
    make_pattern,
    make_person,
    make_place,
    make_studio,
    make_version,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def studio():
    make_studio()


def title(client, name, *args, **query):
    page = page_text(client.get(reverse(name, args=args), query))
    return " ".join(page.partition("<title>")[2].partition("</title>")[0].split())


def test_pages_of_a_pattern_and_of_its_call_name_the_pattern(client):
    version = make_version(make_pattern(), number="1.0", kind="release")
    slug, named = version.pattern.slug, f"{version.pattern.title} · Larkmoss Studio"
    client.force_login(make_person("designer@larkmoss.example", "designer"))
    assert title(client, "sheet", slug) == f"Sheet · {named}"
    assert title(client, "errata", slug) == f"Errata · {named}"
    assert title(client, "version", slug, "1.0") == f"Version 1.0 · {named}"
    call = make_call(pattern=version.pattern, version=False)
    assert title(client, "call_results", slug, call.pk) == f"Results · {named}"
    assert (
        title(client, "corrections", slug, "1.0")
        == f"Corrections · {version.pattern.title} 1.0 · Larkmoss Studio"
    )


def test_what_a_tester_is_asked_names_the_garment(client):
    place = make_place(make_call())
    client.force_login(place.person)
    named = f"{place.call.pattern.title}, {place.size} · Larkmoss Studio"
    assert title(client, "making_hours", place.pk) == f"Hours · {named}"
    assert title(client, "making_remark", place.pk) == f"Remark · {named}"
