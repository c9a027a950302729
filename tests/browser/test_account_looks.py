"""Account and error pages in a real browser: both themes, a narrow and a wide window."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.models import Person
from catalogue.studio.roles import DESIGNER, give_role
from tests.browser.looks import problems

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.only_keeps_rows("how pages look; the table of rights makes them all"),
]

VISITORS = [
    "account_login",
    "account_request_login_code",
    "account_reset_password",
    "account_reset_password_done",
]
SIGNED_IN = ["mfa_index", "account_change_password", "account_logout", "account_reauthenticate"]
WINDOWS = [(theme, width) for theme in ("light", "dark") for width in (320, 1400)]


@pytest.fixture
def designer():
    person = Person.objects.create_user("wren@example.com", "weave a long row", name="Wren")
    give_role(person=person, role=DESIGNER)
    return person


@pytest.mark.parametrize(("theme", "width"), WINDOWS)
def test_pages_of_visitors_can_be_used_by_everybody(window, theme, width):
    page = window(theme=theme, width=width)
    for name in VISITORS:
        page.goto(reverse(name))
        assert problems(page) == [], name


@pytest.mark.parametrize(("theme", "width"), WINDOWS)
def test_pages_of_an_account_can_be_used_by_everybody(window, designer, theme, width):
    page = window(theme=theme, width=width, person=designer)
    for name in SIGNED_IN:
        page.goto(reverse(name))
        assert problems(page) == [], name


@pytest.mark.parametrize(("theme", "width"), WINDOWS)
def test_errors_of_a_form_can_be_heard_and_read(window, designer, theme, width):
    page = window(theme=theme, width=width)
    page.goto(reverse("account_login"))
    page.locator("main form").first.evaluate("form => form.noValidate = true")
    page.get_by_label("E-mail address").fill("wren@example.com")
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.locator(".invalid-feedback")).to_be_visible()
    expect(page.locator("input[name=login]")).to_have_value("wren@example.com")
    assert problems(page) == []


def test_a_missing_page_looks_like_ours(window):
    page = window(theme="dark", width=320)
    assert page.goto("/no/such/page/").status == 404
    assert problems(page) == []


def test_the_theme_follows_the_system_alone(window):
    grounds = {}
    for theme in ("light", "dark"):
        page = window(theme=theme)
        page.goto(reverse("account_reset_password_done"))
        grounds[theme] = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert page.context.cookies() == []
    assert grounds == {"light": "rgb(250, 245, 234)", "dark": "rgb(28, 24, 20)"}


def test_our_own_fonts_are_used_and_nothing_comes_from_elsewhere(window, live_server):
    page = window()
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(reverse("account_login"))
    page.evaluate("document.fonts.ready.then(() => true)")
    assert page.evaluate(
        "document.fonts.check('16px Literata') && document.fonts.check('16px \"Source Sans 3\"')"
    )
    assert any("literata" in address for address in asked)
    assert all(address.startswith((live_server.url, "data:")) for address in asked)


def test_the_keyboard_reaches_the_page_past_the_head(window):
    page = window()
    page.goto(reverse("account_login"))
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the page")).to_be_in_viewport()
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Send me a code")).to_be_focused()
    width = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
    assert width == "3px"


def test_testers_get_big_targets(window):
    page = window(width=320)
    page.goto(reverse("account_request_login_code"))
    assert problems(page, least_height=44) == []
