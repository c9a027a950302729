"""The places of a call are typed once for every size."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.looks import problems
from tests.testing.builders import make_pattern, make_person

pytestmark = [
    pytest.mark.browser,
    pytest.mark.only_keeps_rows("a script of the page fills its fields; nothing is saved"),
]


def test_one_line_fills_every_size_and_single_sizes_may_differ(window):
    pattern = make_pattern()
    page = window(width=320, person=make_person(role="designer"))
    page.goto(reverse("call_new", args=[pattern.slug]))
    page.get_by_label("Every size: at least").fill("2")
    least = page.locator("input[name^=at_least_]")
    assert least.evaluate_all("fields => fields.every(field => field.value === '2')")
    expect(page.locator("[data-places-total]")).to_contain_text(f"{2 * least.count()} places are needed")
    least.first.fill("3")
    assert page.get_by_label("Every size: at least").input_value() == "2"
    expect(page.locator("[data-places-total]")).to_contain_text(f"{2 * least.count() + 1} places are needed")
    assert problems(page) == []
    assert page.locator("[name=every_at_least], :invalid[id^=every_]").count() == 0
