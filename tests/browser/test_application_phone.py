"""The way to a place, on a phone: the call, the application, the offer, signing in by code."""

import re

import pytest
from django.core import mail
from playwright.sync_api import expect

from catalogue.drafts.patterns import load_pattern
from testing.models import Application
from testing.places.places import give_place
from tests.browser.looks import problems
from tests.builders import sample
from tests.present import present
from tests.testing.builders import make_call, make_studio

pytestmark = pytest.mark.browser

CODE = re.compile(r"^\s*([A-Z0-9]{3,}-?[A-Z0-9]{2,})\s*$", re.MULTILINE)


@pytest.fixture
def live_server(file_server):
    """Signing in writes the session in several requests, as in a studio."""
    return file_server


@pytest.fixture
def call(live_server):
    make_studio()
    pattern = load_pattern(document=sample("brackenmere_pullover"), by=None)
    return make_call(pattern=pattern, measurements=["bust", "cross_back"])


def check_looks(page):
    assert problems(page, least_height=44) == [], page.url


def follow(page, name):
    """Follow a link and wait until its page is there."""
    before = page.url
    page.get_by_role("link", name=name).last.click()
    page.wait_for_url(lambda url: url != before)
    page.wait_for_load_state()


def apply_for(page, call):
    page.goto("/calls/")
    check_looks(page)
    follow(page, "Brackenmere Pullover")
    check_looks(page)
    follow(page, "Apply for a place")
    expect(page.locator("svg .dimension")).to_have_count(2)
    expect(page.locator("#sizes table")).to_be_visible()
    check_looks(page)
    page.get_by_label("Your name").fill("Wren Alder")
    page.get_by_label("E-mail address").fill("wren@larkmoss.example")
    page.get_by_label("Bust girth").fill("96")
    page.get_by_label("Cross back").fill("about so")
    page.get_by_label("First choice").select_option("M")
    page.get_by_label("How much have you made before?").select_option(index=2)
    page.get_by_label("I agree").check()
    page.get_by_role("button", name="Apply for a place").click()
    expect(page.get_by_text("“about so” can't be read as a number")).to_be_visible()
    expect(page.get_by_label("Bust girth")).to_have_value("96")
    check_looks(page)
    page.get_by_label("Cross back").fill("36")
    page.get_by_role("button", name="Apply for a place").click()
    expect(page.get_by_role("heading", name="Thank you for applying")).to_be_visible()
    check_looks(page)


IN_LIGHT = pytest.mark.only_keeps_rows("how pages look; in light the same path is gone on both")


@pytest.mark.parametrize("theme", ["light", pytest.param("dark", marks=IN_LIGHT)])
def test_from_the_call_to_the_first_question(window, call, theme):
    page = window(width=320, theme=theme)
    apply_for(page, call)
    give_place(application=Application.objects.get(), size="M")
    page.goto(present(re.search(r"/offers/\S+", str(mail.outbox[-1].body)))[0])
    check_looks(page)
    page.get_by_role("button", name="Take the place").click()
    expect(page.get_by_role("heading", name="Type the code")).to_be_visible()
    check_looks(page)
    page.get_by_label("Code").fill(present(CODE.search(str(mail.outbox[-1].body)))[1])
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Brackenmere Pullover")).to_be_visible()
    check_looks(page)
    follow(page, re.compile("^Next: Gauge"))
    check_looks(page)
