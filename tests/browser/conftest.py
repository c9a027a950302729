"""A real browser: Debian's Chromium, driven over the program's own pages."""

import os
import shutil
from pathlib import Path

import pytest
from django.conf import settings as program
from django.test import Client
from playwright.sync_api import expect

from catalogue.drafts.patterns import load_pattern
from tests.builders import sample
from tests.file_database import file_server, shared_database  # noqa: F401  fixtures
from tests.testing.builders import make_call, make_place, make_studio

LONGEST_MS = 120_000  # no test waits it out, unless what it waits for never comes
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")

expect.set_options(timeout=LONGEST_MS)
# The browser's driver runs an event loop in the thread of the tests; the database is used between its calls.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")


def pytest_collection_modifyitems(items):
    """Without Chromium these tests say that they were left out; where it is required, they fail.

    In CI a test that fails is run once more, and what it said at first ends the report: a busy machine's
    moment is no red run, and no secret either.
    """
    there = CHROMIUM or os.environ.get("EVENROW_REQUIRE_BROWSER")
    for item in items:
        if "browser" not in item.path.parts:
            continue
        if not there:
            item.add_marker(
                pytest.mark.skip(reason="Chromium is not installed: these pages were not looked at")
            )
        elif os.environ.get("CI"):
            item.add_marker(pytest.mark.flaky(reruns=1))


@pytest.fixture(scope="session", autouse=True)
def static_folder():
    """The server starts before a test has set its own folder, and warns where there is none."""
    Path(program.STATIC_ROOT).mkdir(parents=True, exist_ok=True)


@pytest.fixture(scope="session")
def browser_type_launch_args():
    if not CHROMIUM:
        pytest.fail("EVENROW_REQUIRE_BROWSER is set, but there is no Chromium")
    return {"executable_path": CHROMIUM, "args": ["--no-sandbox", "--disable-gpu"]}


@pytest.fixture
def window(browser, live_server):
    """Open a window: window(theme="dark", width=320, person=None) gives a page that knows the address."""
    opened = []

    def open_window(*, theme="light", width=1400, person=None, javascript=True, worker="block"):
        context = browser.new_context(
            base_url=live_server.url,
            viewport={"width": width, "height": 900},
            color_scheme=theme,
            java_script_enabled=javascript,
            service_workers=worker,
        )
        opened.append(context)
        if person is not None:
            client = Client()
            client.force_login(person)
            cookie = client.cookies["sessionid"].value
            context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
        page = context.new_page()
        page.set_default_timeout(LONGEST_MS)
        return page

    yield open_window
    for context in opened:
        context.close()


@pytest.fixture
def place(live_server):
    """A place in a call of the pullover."""
    make_studio()
    return make_place(make_call(pattern=load_pattern(document=sample("brackenmere_pullover"), by=None)))


@pytest.fixture
def phone(window, place):
    """The window of the tester who has the place, as narrow as a phone."""
    return window(width=320, person=place.person)
