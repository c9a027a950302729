"""Every page of the program in a real browser: accessible, nothing beyond the window, targets big enough."""

import pytest
from django.urls import reverse

from tests.browser.looks import problems
from tests.site.rights_table import SEEN, TABLE
from tests.site.rights_world import make_world

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.only_keeps_rows("how pages look; the table of rights makes them all"),
]

# Each page once in either theme, narrow or wide; in full, in all four windows.
QUICK = [("light", 320), ("dark", 1400)]
ALL = [*QUICK, ("dark", 320), ("light", 1400)]
WINDOWS = [pytest.param(theme, width, id=f"{theme}-{width}") for theme, width in ALL]
WHO = ["nobody", "tester", "designer"]
TESTERS_OWN = "/making/"


def pages_of(person, world):
    """Addresses that this person may look at and nobody before them in the list was shown already."""
    earlier = set(WHO[: WHO.index(person)])
    for name, row in TABLE.items():
        if row.is_seen and row.answers >= SEEN and person in row.who and not earlier & row.who:
            parts = {key: part(world) if callable(part) else part for key, part in row.parts.items()}
            yield reverse(name, kwargs=parts)


def look(page, address):
    """What is wrong with one page; None where the address leads to a file or elsewhere."""
    answer = page.request.get(address, max_redirects=0)
    if answer.status != 200 or "text/html" not in answer.headers.get("content-type", ""):
        return None
    # The server has made the page: the window shows that very answer.
    page.route(lambda asked: asked == answer.url, lambda route: route.fulfill(response=answer), times=1)
    page.goto(address)
    if page.locator("html[lang]").count() == 0 or page.locator("main").count() == 0:
        return None  # a piece of a page, fetched by the page that holds it
    return problems(page, least_height=44 if address.startswith(TESTERS_OWN) else 24)


@pytest.mark.parametrize(("theme", "width"), WINDOWS)
@pytest.mark.parametrize("person", WHO)
def test_every_page_can_be_used_by_everybody(window, request, settings, tmp_path, person, theme, width):
    if (theme, width) not in QUICK and not request.config.getoption("--full"):
        pytest.skip("the other two windows are looked at with --full")
    settings.EMAIL_FILE_PATH = settings.MAIL_DIR = str(tmp_path)
    world = make_world()
    world.editor_pk = world.people["editor"].pk
    world.photo_width = world.result_photo.files[0]["width_px"]
    world.photo_form = world.result_photo.files[0]["format"]
    page = window(theme=theme, width=width, person=world.people[person])
    seen = {address: look(page, address) for address in pages_of(person, world)}
    looked_at = {address: found for address, found in seen.items() if found is not None}
    assert len(looked_at) >= {"nobody": 10, "tester": 9, "designer": 25}[person], sorted(seen)
    assert {address: found for address, found in looked_at.items() if found} == {}
