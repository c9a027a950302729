"""The practice piece on a narrow window: ticks show it at once, and its page and plan fit in both themes."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.models import PracticeChoice
from tests.browser.looks import problems
from tests.builders import make_person
from tests.catalogue.builders import make_pattern

pytestmark = pytest.mark.browser


IN_LIGHT = pytest.mark.only_keeps_rows("how pages look; in light the same is saved on both")


@pytest.mark.parametrize("theme", ["light", pytest.param("dark", marks=IN_LIGHT)])
def test_a_tick_shows_the_piece_at_once_and_saving_keeps_it(window, live_server, theme):
    pattern = make_pattern("thistledrift_waistcoat")
    page = window(width=320, person=make_person(role="designer"), theme=theme)
    page.goto(reverse("practice", args=[pattern.slug]))
    page.get_by_label("The same mirrored: armhole curve").check()
    result = page.locator("#practice-result")
    expect(result.get_by_text("Practice piece: 6 stitches, 7 rows.")).to_be_visible()
    page.get_by_role("button", name="Preview").click()
    expect(page.get_by_text("This is a preview")).to_be_visible()
    assert "preview=1" in page.url
    assert "csrf" not in page.url
    assert not PracticeChoice.objects.exists()
    assert problems(page) == []
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("link", name="Plan for filming it")).to_be_visible()
    assert PracticeChoice.objects.get().techniques == ["mirror:armhole_curve"]
    page.get_by_role("link", name="Plan for filming it").click()
    expect(page.get_by_text("Both pieces side by side: one is the mirror of the other.")).to_be_visible()
    assert problems(page) == []
