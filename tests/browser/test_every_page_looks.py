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

# Each page in either theme, narrow and wide; in full, in all four windows.
QUICK = [("light", 320), ("dark", 1400)]
ALL = [*QUICK, ("dark", 320), ("light", 1400)]
WHO = ["nobody", "tester", "designer"]
TESTERS_OWN = "/making/"


def pages_of(person, world):
    """Addresses that this person may look at and nobody before them in the list was shown already."""
    earlier = set(WHO[: WHO.index(person)])
    for name, row in TABLE.items():
        if row.is_seen and row.answers >= SEEN and person in row.who and not earlier & row.who:
            parts = {key: part(world) if callable(part) else part for key, part in row.parts.items()}
            yield reverse(name, kwargs=parts)


def look(windows, address):
    """What is wrong with one page in each window; None where the address leads to a file or elsewhere.

    The server makes the page once: neither theme nor width gets to it. Each window shows that very answer.
    """
    answer = next(iter(windows.values())).request.get(address, max_redirects=0)
    if answer.status != 200 or "text/html" not in answer.headers.get("content-type", ""):
        return None
    found = {}
    for name, page in windows.items():
        page.route(lambda asked: asked == answer.url, lambda route: route.fulfill(response=answer), times=1)
        page.goto(address)
        if page.locator("html[lang]").count() == 0 or page.locator("main").count() == 0:
            return None  # a piece of a page, fetched by the page that holds it
        found[name] = problems(page, least_height=44 if address.startswith(TESTERS_OWN) else 24)
    return {name: said for name, said in found.items() if said}


@pytest.mark.parametrize("person", WHO)
def test_every_page_can_be_used_by_everybody(window, full, settings, tmp_path, person):
    settings.EMAIL_FILE_PATH = settings.MAIL_DIR = str(tmp_path)
    world = make_world()
    world.editor_pk = world.people["editor"].pk
    world.photo_width = world.result_photo.files[0]["width_px"]
    world.photo_form = world.result_photo.files[0]["format"]
    windows = {
        (theme, width): window(theme=theme, width=width, person=world.people[person])
        for theme, width in (ALL if full else QUICK)
    }
    seen = {address: look(windows, address) for address in pages_of(person, world)}
    looked_at = {address: found for address, found in seen.items() if found is not None}
    assert len(looked_at) >= {"nobody": 10, "tester": 9, "designer": 25}[person], sorted(seen)
    assert {address: found for address, found in looked_at.items() if found} == {}
