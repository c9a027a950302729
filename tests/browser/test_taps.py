"""How much a tester has to tap and type on a phone, from the offer to “I am done”, counted in a browser."""

import re

import pytest
from django.core import mail
from playwright.sync_api import expect

from catalogue.drafts.patterns import load_pattern
from testing.models import Entry, Result, ResultPhoto
from testing.places.places import give_place, offer_key
from tests.browser.looks import problems
from tests.builders import sample
from tests.catalogue.pictures import jpeg
from tests.present import present
from tests.testing.builders import make_application, make_call, make_studio

pytestmark = [
    pytest.mark.browser,
    pytest.mark.only_keeps_rows("taps and keys are counted; tests of its pages save the same"),
    # Leaving a page while it still asks for something leaves the server's end of it to be collected.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]

CODE = re.compile(r"^\s*([A-Z0-9]{3,}-?[A-Z0-9]{2,})\s*$", re.MULTILINE)
# A tap into each field, one that sends each question, and a few on the way.
MOST_TAPS, MOST_KEYS = 31, 40


@pytest.fixture
def live_server(file_server):
    """Signing in writes the session in several requests, as in a studio."""
    return file_server


class Thumb:
    """Taps and types as a tester does, and counts."""

    def __init__(self, page):
        self.page, self.taps, self.keys = page, 0, 0

    def tap(self, one):
        self.taps += 1
        one.click()

    def type(self, one, text):
        self.tap(one)
        self.keys += len(text)
        one.press_sequentially(text)

    def press(self, name):
        before = self.page.url
        self.tap(self.page.get_by_role("button", name=name))
        self.page.wait_for_url(lambda url: url != before)
        self.page.wait_for_load_state()


NUMBERS = {
    "stitches": "14",
    "rows": "10",
    "chest": "106",
    "neck_width": "19",
    "armhole_depth": "18",
    "body_length": "52",
    "sleeve_length": "42",
    "upper_sleeve": "36",
    "wrist": "25",
    "colour_0": "560",
    "hours": "41",
}


def answer_question(thumb, picture):
    """Answer the question that is open, whatever it is, and send it."""
    page = thumb.page
    form = page.locator("[data-question] form")
    photo = form.locator("input[name=photo]")
    if photo.count():
        thumb.taps += 1
        photo.set_input_files(picture)
        expect(form.locator("input[name=alt]")).to_have_value("Brackenmere Pullover, size M")
    value = page.url.split("?")[0].rstrip("/").rsplit("/", 1)[-1]
    for field in form.locator("input[type=text]:not([name=alt])").all():
        name = present(field.get_attribute("name"))
        thumb.type(field, NUMBERS.get(name, NUMBERS.get(value, "")))
    before = page.url
    thumb.tap(form.locator("[type=submit]"))
    page.wait_for_url(lambda url: url != before)
    page.wait_for_load_state()


def look_at_the_copy(page):
    """The copy that flows on a phone is looked at, and left again."""
    garment = page.url
    page.get_by_role("link", name="Read it here").click()
    expect(page.get_by_role("heading", name="How to measure it")).to_be_visible()
    assert problems(page, least_height=44) == []
    page.goto(garment)


def test_from_the_offer_to_done(window, live_server, tmp_path):
    make_studio()
    call = make_call(pattern=load_pattern(document=sample("brackenmere_pullover"), by=None))
    placement = give_place(application=make_application(call), size="M")
    picture = tmp_path / "front.jpg"
    picture.write_bytes(jpeg())
    page = window(width=390)
    thumb = Thumb(page)
    page.goto(f"/offers/{offer_key(placement)}/")
    assert problems(page, least_height=44) == []
    thumb.press("Take the place")
    thumb.type(page.get_by_label("Code"), present(CODE.search(str(mail.outbox[-1].body)))[1])
    thumb.press("Sign in")
    expect(page.get_by_role("heading", name="Brackenmere Pullover")).to_be_visible()
    look_at_the_copy(page)
    thumb.tap(page.get_by_role("link", name=re.compile("^Next: Gauge")))
    page.wait_for_url("**/gauge/**")
    while page.locator("[data-question] form").count():
        answer_question(thumb, picture)
    thumb.press("I am done")
    expect(page.get_by_text("Thank you").first).to_be_visible()
    assert Result.objects.get().done_at is not None
    assert Entry.objects.filter(part="measured").count() == 7
    assert Entry.objects.filter(part="gauge").count() == 2
    assert ResultPhoto.objects.count() == 1
    assert (thumb.taps <= MOST_TAPS, thumb.keys <= MOST_KEYS) == (True, True), (thumb.taps, thumb.keys)
