"""More about the garment on a phone: how the pages look, and that ticks are kept like words."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from testing.models import Entry
from tests.browser.looks import problems

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("ignore::ResourceWarning")]


@pytest.fixture
def live_server(file_server):
    return file_server


def send(page):
    page.locator("[data-question] form [type=submit]").click()


@pytest.mark.only_keeps_rows("how pages look; the table of rights makes them all")
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_each_question_fits_a_phone(window, place, theme):
    page = window(width=320, person=place.person, theme=theme)
    page.goto(reverse("making_more", args=[place.pk]))
    assert problems(page, least_height=44) == []
    for address in page.eval_on_selector_all("ul.entries a", "links => links.map(link => link.href)"):
        page.goto(address)
        assert problems(page, least_height=44) == [], address


@pytest.mark.only_keeps_rows("drafts are kept by the browser; tests of its pages save the same")
def test_ticks_are_kept_and_so_is_what_was_unticked(phone, place):
    phone.goto(reverse("making_altered", args=[place.pk]))
    phone.locator("input[name=altered_0]").check()
    phone.reload()
    expect(phone.locator("input[name=altered_0]")).to_be_checked()
    send(phone)
    expect(phone.locator("#kept")).to_have_text("Sent.")
    phone.goto(reverse("making_altered", args=[place.pk]))
    phone.locator("input[name=altered_0]").uncheck()
    phone.locator("input[name=altered_1]").check()
    phone.reload()
    expect(phone.locator("input[name=altered_0]")).not_to_be_checked()
    expect(phone.locator("input[name=altered_1]")).to_be_checked()


@pytest.mark.only_keeps_rows("drafts are kept by the browser; tests of its pages save the same")
def test_a_note_that_was_sent_is_not_taken_for_typed_anew_on_the_way_back(phone, place):
    phone.goto(reverse("making_note", args=[place.pk]))
    phone.locator("textarea").fill("A pleasure.")
    send(phone)
    expect(phone.locator("#kept")).to_have_text("Sent.")
    phone.go_back()
    expect(phone.locator("textarea")).to_have_value("")
    assert phone.evaluate("() => Object.keys(localStorage).filter(key => key.includes(' draft '))") == []


def test_consent_is_taken_back_without_a_connection_and_sent_when_it_is_back(phone, place):
    uses = reverse("making_photo_uses", args=[place.pk])
    phone.goto(uses)
    phone.locator("input[name=page]").check()
    phone.locator("select[name=age]").select_option("adult")
    send(phone)
    expect(phone.locator("#kept")).to_have_text("Sent.")
    assert [entry.name for entry in Entry.objects.all()] == ["page"]
    phone.goto(uses)
    phone.locator("input[name=page]").uncheck()
    phone.context.set_offline(True)
    send(phone)
    expect(phone.locator("#kept")).to_contain_text("Kept on this phone")
    phone.context.set_offline(False)
    expect(phone.locator("#kept")).to_contain_text("The answer that was kept on this phone has been sent.")
    assert not Entry.objects.exists()


def test_what_the_studio_says_of_a_gauge_stands_on_the_page_that_comes_next(phone, place):
    phone.goto(reverse("making_gauge", args=[place.pk, "main"]))
    # the pattern has 14 stitches and 10 rows
    phone.locator("input[name=stitches]").fill("15")
    phone.locator("input[name=rows]").fill("10")
    send(phone)
    expect(phone.locator("#kept")).to_have_text("Sent.")
    expect(phone.locator(".message-warning")).to_contain_text("You have 15 stitches, the pattern 14")
