"""Helps and special stitches on the public page: everybody sees which come with it, some may open them."""

import pytest
from django.urls import reverse

from catalogue.helps.helps import save_help
from tests.catalogue.builders import make_pattern, make_version
from tests.catalogue.helps.builders import TYPED, make_help, name_in_step
from tests.catalogue.special_stitches.builders import make_stitch, take_over
from tests.pages import page_text

pytestmark = pytest.mark.django_db


@pytest.fixture
def pattern(quick_pdf):
    pattern = make_pattern()
    take_over(pattern, make_stitch())
    name_in_step(pattern, make_help(pictured=1).name)
    make_version(pattern)
    return pattern


def test_a_visitor_sees_which_helps_come_with_it_as_the_version_has_them(client, pattern):
    found = pattern.versions.get().frozen_helps.get().help
    save_help(found=found, by=None, **{**TYPED, "title": "Otherwise"})
    page = page_text(client.get(reverse("pattern_page", args=[pattern.slug])))
    assert "Foundation chain (1 picture and a video)" in page
    assert "Otherwise" not in page
    assert found.code not in page
    assert "Special stitches are explained: Puff stitch (ps)." in page


def test_who_may_have_the_pattern_opens_them_there(client, pattern):
    type(pattern).objects.update(is_free=True)
    page = page_text(client.get(reverse("pattern_page", args=[pattern.slug])))
    address = pattern.versions.get().frozen_helps.get().help.get_absolute_url()
    assert f'<a href="{address}">Foundation chain</a>' in page
    assert client.get(address).status_code == 200


def test_a_pattern_without_helps_says_nothing_of_them(client, quick_pdf):
    pattern = make_version().pattern
    page = page_text(client.get(reverse("pattern_page", args=[pattern.slug])))
    assert "Help that comes with it" not in page
