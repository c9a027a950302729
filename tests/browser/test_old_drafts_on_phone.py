"""What was half typed, and then something changed beneath it: the units, the account."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.models import Person
from testing.models import Entry
from tests.browser.test_tester_phone import cut, kept, open_chest, send, store_of
from tests.browser.waiting import wait_until

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.only_keeps_rows("drafts are kept by the browser; tests of its pages save and erase the same"),
]


@pytest.fixture
def live_server(file_server):
    return file_server


def test_what_was_half_typed_keeps_its_meaning_when_the_units_are_switched(window, place):
    page = window(width=320, person=place.person)
    open_chest(page, place)
    page.locator("input[name=length]").fill("20")
    page.get_by_role("button", name="I measure in inches").click()
    expect(kept(page)).to_have_text("Units changed.")
    expect(page.locator("input[name=length]")).to_have_value("20 cm")
    expect(page.locator("#typed-before")).to_be_visible()
    send(page)
    expect(page.get_by_text("You entered 20 cm")).to_be_visible()
    page.goto(reverse("making_gauge", args=[place.pk, "main"]))
    page.locator("input[name=stitches]").fill("20")
    page.locator("input[name=rows]").fill("25,4")
    page.get_by_role("button", name="I measure in centimetres").click()
    # 4 in are 101.6 mm exactly: 20 over 4 in are 19.7 over 10 cm, 25.4 are 25.
    expect(page.locator("input[name=stitches]")).to_have_value("19.7")
    expect(page.locator("input[name=rows]")).to_have_value("25")
    page.locator("input[name=stitches]").fill("18 cords")
    send(page)
    expect(page.locator(".invalid-feedback")).to_be_visible()
    expect(page.locator("#typed-before")).to_have_count(0)
    page.locator("input[name=stitches]").fill("18")
    send(page)
    expect(kept(page)).to_contain_text("Sent.")
    assert Entry.objects.get(part="measured").meant == {"mm": 200.0}
    assert Entry.objects.get(part="gauge").meant == {"stitches": 0.18, "rows": 0.25}


def test_erasing_takes_everything_from_the_phone_as_well(window, place):
    page = window(width=320, person=place.person, worker="allow")
    page.goto(reverse("making", args=[place.pk]))
    page.wait_for_selector("html[data-questions-kept]", state="attached")
    open_chest(page, place)
    page.locator("input[name=length]").fill("20")
    assert store_of(page)
    page.goto(reverse("my_data_erase"))
    expect(page.get_by_text("answers that you typed and have not sent")).to_be_visible()
    page.get_by_role("button", name="Yes, erase everything about me").click()
    expect(page.get_by_role("heading", name="Everything about you is erased")).to_be_visible()
    wait_until(page, "async () => !(await caches.keys()).length")
    # What the page still asks for goes past the worker, and is not kept again.
    page.evaluate("async () => (await fetch(document.querySelector('link[rel=stylesheet]').href)).text()")
    assert page.evaluate("() => caches.keys()") == []
    assert store_of(page) == []
    assert not Person.objects.filter(pk=place.person.pk).exists()
    cut(page)
    page.goto(reverse("making", args=[place.pk]))
    expect(page.get_by_role("heading", name="No connection")).to_be_visible()


def test_a_window_that_stayed_open_sends_and_keeps_nothing_once_everything_is_erased(window, place):
    page = window(width=320, person=place.person)
    open_chest(page, place)
    page.locator("input[name=length]").fill("20")
    other = page.context.new_page()
    other.goto(reverse("my_data_erase"))
    other.get_by_role("button", name="Yes, erase everything about me").click()
    expect(other.get_by_role("heading", name="Everything about you is erased")).to_be_visible()
    expect(kept(page)).to_contain_text("Everything about you was erased.")
    page.locator("input[name=length]").fill("21")
    send(page)
    expect(kept(page)).to_have_text(
        "Everything about you was erased. What you type here is not sent and not kept. "
        "You can close this window."
    )
    assert page.url.endswith("/measure/chest/")
    assert store_of(page) == []
    assert not Entry.objects.exists()
