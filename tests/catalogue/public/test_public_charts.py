"""Charts on the public page: named always, one small one shown where the designer allows it."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.catalogue.builders import make_pattern, make_version
from tests.catalogue.editions.stitch_samples import make_sampler

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]
MOST_BYTES = 100_000


def page_of(pattern):
    return Client().get(reverse("pattern_page", args=[pattern.slug])).content.decode()


def test_a_visitor_reads_which_charts_the_pdf_has_and_sees_none():
    pattern = make_sampler()
    make_version(pattern)
    page = page_of(pattern)
    assert (
        "The PDF has these in words and as charts: Scattered seeds, Trellis, Cable, Diamonds, Wide border."
        in page
    )
    assert 'class="chart"' not in page


def test_the_smallest_chart_is_shown_once_the_designer_allows_it(designer_client):
    pattern = make_sampler()
    make_version(pattern)
    versions, allowed = (
        reverse("versions", args=[pattern.slug]),
        reverse("pattern_chart", args=[pattern.slug]),
    )
    assert 'name="shows_chart"' in designer_client.get(versions).content.decode()
    answer = designer_client.post(allowed, {"shows_chart": "on"}, follow=True).content.decode()
    assert "Visitors see one small chart now." in answer
    page = page_of(pattern)
    shown = {
        name
        for name in ("Scattered seeds", "Trellis", "Cable", "Diamonds", "Wide border")
        if f"Chart of {name}." in page
    }
    assert shown == {"Scattered seeds"}
    assert len(page.encode()) < MOST_BYTES
    designer_client.post(allowed, {})
    assert 'class="chart"' not in page_of(pattern)


def test_a_pattern_without_charts_offers_none(designer_client):
    pattern = make_pattern("puffinbay_child")
    make_version(pattern)
    assert "shows_chart" not in designer_client.get(reverse("versions", args=[pattern.slug])).content.decode()
    assert "<h2>Charts</h2>" not in page_of(pattern)
