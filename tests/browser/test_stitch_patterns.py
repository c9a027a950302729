"""Stitch patterns in a browser: the chart follows what is typed, and the pages keep to what all pages do."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.looks import problems
from tests.builders import make_person
from tests.catalogue.editions.stitch_samples import make_sampler

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def designer(live_server):
    return make_person(role="designer")


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1400])
def test_list_and_form_keep_to_what_pages_must(window, designer, theme, width):
    pattern = make_sampler()
    page = window(theme=theme, width=width, person=designer)
    for address in ("stitch_patterns", "stitch_pattern"):
        number = () if address == "stitch_patterns" else (2,)
        page.goto(reverse(address, args=[pattern.slug, *number]))
        assert problems(page) == []


def test_the_chart_follows_what_is_typed(window, designer):
    pattern = make_sampler()
    page = window(person=designer)
    page.goto(reverse("stitch_pattern_new", args=[pattern.slug]))
    page.get_by_label("Name", exact=False).first.fill("Zigzag")
    page.get_by_label("Multiple").fill("4")
    page.get_by_label("Rows in words").fill("*K2tog, yo, k2; repeat from * to end.\nPurl.")
    chart = page.locator("#stitch-preview svg title").first
    expect(chart).to_contain_text("Chart of Zigzag. Row 1 (RS): *K2tog, yo, k2", use_inner_text=False)


def test_without_scripts_a_button_shows_it(window, designer):
    pattern = make_sampler()
    page = window(person=designer, javascript=False)
    page.goto(reverse("stitch_pattern", args=[pattern.slug, 2]))
    page.get_by_label("Rows in words").fill("Knit.\nPurl.\n")
    page.get_by_role("button", name="Show").click()
    assert "Row 2 (WS)" in page.locator("#stitch-preview").inner_text()
    assert page.get_by_label("Rows in words").input_value().startswith("Knit.")
