"""The head of a page: one for each person, on every page, with the part marked that the page belongs to."""

import re

import pytest
from django.urls import reverse

from catalogue.studio.context import part_of
from tests.pages import page_text
from tests.testing.builders import make_call, make_pattern, make_person, make_studio

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def studio():
    make_studio()


@pytest.fixture
def designer(client):
    client.force_login(make_person("designer@larkmoss.example", "designer"))
    return client


def head_of(client, name, *args):
    page = page_text(client.get(reverse(name, args=args)))
    return page.partition("<header")[2].partition("</header>")[0]


def marked(head):
    return re.findall(r'aria-current="true">([^<]+)<', head)


@pytest.mark.parametrize(
    ("name", "part"),
    [
        ("desk", "Patterns"),
        ("beginnings", "Patterns"),
        ("testers", "Testers"),
        ("holders", "Holders"),
        ("bounces", "Holders"),
        ("studio_settings", "Studio"),
        ("running", "Studio"),
        ("studio_dates", "Studio"),
        ("my_account", "My account"),
        ("guide", "Guide"),
    ],
)
def test_the_part_that_a_page_belongs_to_is_marked(designer, name, part):
    assert marked(head_of(designer, name)) == [part]


def test_pages_of_visitors_belong_to_no_part_of_the_studio():
    assert part_of(reverse("catalogue")) == part_of(reverse("call_list")) == ""


def test_the_guide_and_the_call_as_testers_see_it_keep_the_head_of_who_looks(designer):
    call = make_call()
    for head in (
        head_of(designer, "guide"),
        head_of(designer, "guide_part", "start"),
        head_of(designer, "call_as_testers", call.pattern.slug, call.pk),
    ):
        assert "Sign out" in head
        assert reverse("holders") in head


def test_a_tester_keeps_their_head_in_the_guide_and_a_visitor_has_theirs(client):
    assert "Sign out" not in head_of(client, "guide")
    client.force_login(make_person("bram@larkmoss.example"))
    assert re.findall(r">([^<\s][^<]*)</(?:a|button)>", head_of(client, "guide")) == [
        *("My test garments", "My account", "Guide", "Sign out"),
    ]


def test_the_name_of_a_pattern_leads_from_its_pages_to_its_own(designer):
    pattern = make_pattern()
    own = reverse("desk_pattern", args=[pattern.slug])

    def crumb(name):
        page = page_text(designer.get(reverse(name, args=[pattern.slug])))
        return page.partition('class="crumb')[2].partition("</p>")[0]

    assert f'href="{own}">{pattern.title}</a>' in crumb("sheet")
    assert own not in crumb("desk_pattern")
    assert pattern.title in crumb("desk_pattern")
