"""A tester's page has the practice piece that their version was frozen with."""

import re

import pytest
from django.urls import reverse

from catalogue.models import PracticeChoice
from tests.catalogue.builders import make_pattern
from tests.pages import page_text
from tests.testing.builders import make_call, make_place

pytestmark = pytest.mark.django_db


@pytest.fixture
def choice():
    pattern = make_pattern("brackenmere_pullover")
    ticks = ["mirror:front_neck", "pick_up:armhole_row_ends"]
    return PracticeChoice.objects.create(pattern=pattern, techniques=ticks)


def test_a_tester_works_the_piece_of_their_version_before_they_begin(client, choice):
    place = make_place(make_call(pattern=choice.pattern), size="M", email="wren@larkmoss.example")
    choice.delete()
    client.force_login(place.person)
    page = page_text(client.get(reverse("making_read", args=[place.pk])))
    assert "Practice piece: work it before you begin" in page
    # 7 stitches along 5 rows are 11 along 8.
    assert "Practice piece: 5 stitches, 8 rows; an edge of 11 stitches." in page
    assert "Mirrored practice piece" in page
    assert page.index("work it before you begin") < page.rindex("How to measure it")


@pytest.mark.parametrize(("colours", "is_told"), [("solid", True), ("striped", False)])
def test_stripes_that_a_garment_has_not_are_left_out(client, colours, is_told):
    pattern = make_pattern("thistledrift_waistcoat")
    PracticeChoice.objects.create(pattern=pattern, techniques=["stripes:drift"])
    place = make_place(make_call(pattern=pattern), size="M", email="wren@larkmoss.example")
    place.options = {"pockets": "yes", "colours": colours}
    place.save()
    client.force_login(place.person)
    page = page_text(client.get(reverse("making_read", args=[place.pk])))
    assert ("drift (A, B, A, C, B): only in striped colors." in page) == is_told


@pytest.mark.parametrize(("sleeves", "is_told"), [("none", True), ("long", False)])
def test_a_technique_of_an_option_that_a_garment_has_not_is_left_out(client, choice, sleeves, is_told):
    place = make_place(make_call(pattern=choice.pattern), size="M", email="wren@larkmoss.example")
    place.options = {"sleeves": sleeves}
    place.save()
    client.force_login(place.person)
    page = page_text(client.get(reverse("making_read", args=[place.pk])))
    told = "Pick-up along row ends: armhole row ends (Armhole): only with long sleeves"
    assert (told in page) == is_told


def test_a_version_without_a_piece_shows_none(client):
    call = make_call(pattern=make_pattern("brackenmere_pullover"))
    place = make_place(call, size="M", email="wren@larkmoss.example")
    client.force_login(place.person)
    assert "ractice piece" not in page_text(client.get(reverse("making_read", args=[place.pk])))


def test_the_copy_to_read_leads_to_each_of_its_parts_and_back_from_its_foot(client):
    place = make_place(make_call(), size="M", email="wren@larkmoss.example")
    client.force_login(place.person)
    html = client.get(reverse("making_read", args=[place.pk])).content.decode()
    parts = html.split('aria-label="Parts of this page">')[1].split("</nav>")[0]
    leads = re.findall(r'href="#([^"]+)"', parts)
    assert leads[:3] == ["needs", "gauge", "part-1"]
    assert leads[-1] == "measure"
    assert all(html.count(f'id="{one}"') == 1 for one in leads)
    assert f'href="{reverse("making", args=[place.pk])}"' in html.split('id="measure"')[1]
