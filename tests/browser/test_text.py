"""The instructions written as one text by keys alone, beside the page as printed, in a browser."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.instructions.sections import sections_of
from tests.browser.looks import problems
from tests.builders import make_person
from tests.catalogue.builders import make_pattern

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("ignore::ResourceWarning")]
BLOCK = "::: when fastening=buttons\nSew on the buttons.\n:::"


@pytest.fixture
def live_server(file_server):
    return file_server


def open_text(window, pattern, person):
    page = window(person=person)
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(reverse("words_text", args=[pattern.slug]))
    return page


def fields(page):
    return page.locator("#text-lines textarea")


def shows(page, *texts):
    expect(fields(page)).to_have_count(len(texts))
    for place, text in enumerate(texts):
        expect(fields(page).nth(place)).to_have_value(text)


def test_a_section_is_written_by_keys_alone(window):
    pattern = make_pattern("puffinbay_child", sections=[])
    page = open_text(window, pattern, make_person(role="designer"))
    keys = page.keyboard
    fields(page).first.focus()
    keys.type("Back")
    keys.press("Enter")
    keys.type("Ch {back st")
    expect(page.get_by_role("option", name="Back, stitches")).to_have_attribute("aria-selected", "true")
    assert problems(page) == []
    keys.press("Enter")
    keys.type(" + 1.")
    keys.press("Enter")
    keys.type("Turn. Repeat.")
    shows(page, "Back", "Ch {back_stitches} + 1.", "Turn. Repeat.", "")
    for _ in "Repeat.":
        keys.press("ArrowLeft")
    keys.press("Enter")
    shows(page, "Back", "Ch {back_stitches} + 1.", "Turn. ", "Repeat.", "")
    keys.press("Backspace")
    shows(page, "Back", "Ch {back_stitches} + 1.", "Turn. Repeat.", "")
    keys.press("Alt+ArrowUp")
    shows(page, "Back", "Turn. Repeat.", "Ch {back_stitches} + 1.", "")
    keys.press("Control+z")
    shows(page, "Back", "Ch {back_stitches} + 1.", "Turn. Repeat.", "")
    expect(page.locator("#text-printed li.is-here")).to_have_text("Turn. Repeat.")
    keys.press("ArrowDown")
    keys.type("::: butt")
    first = page.get_by_role("option", name="when fastening=buttons")
    expect(first).to_have_attribute("aria-selected", "true")
    keys.press("Enter")
    keys.type("Sew on the buttons.")
    shows(page, "Back", "Ch {back_stitches} + 1.", "Turn. Repeat.", BLOCK)
    keys.press("Shift+Tab")  # before the block, into it, behind it
    keys.press("Tab")
    keys.press("Tab")
    keys.press("Enter")
    keys.type("# Front")
    shows(page, "Back", "Ch {back_stitches} + 1.", "Turn. Repeat.", BLOCK, "Front")
    expect(page.locator("#text-printed")).to_contain_text("Ch 50 (54, 58, 60, 64, 66) + 1.")
    page.emulate_media(color_scheme="dark", reduced_motion="reduce")
    page.set_viewport_size({"width": 320, "height": 900})
    assert problems(page) == []
    keys.press("Control+s")
    expect(page.locator("main")).to_contain_text("The instructions are saved.")
    steps = ["Ch {back_stitches} + 1.", "Turn. Repeat.", BLOCK]
    assert sections_of(pattern) == [{"title": "Back", "steps": steps}, {"title": "Front", "steps": []}]


@pytest.mark.only_keeps_rows("drafts are kept by the browser; the first test here saves on both")
def test_what_is_typed_outlives_a_reload_and_the_printed_page_follows_the_caret(window):
    steps = [*(f"Row {number}: turn and work back." for number in range(1, 31)), "Ch {back_stitches} + 1."]
    pattern = make_pattern("puffinbay_child", sections=[{"title": "Back", "steps": steps}])
    page = open_text(window, pattern, make_person(role="designer"))
    last = fields(page).last
    last.click()
    printed = page.locator("#text-printed .is-here")
    expect(printed).to_be_in_viewport()
    last.press("Control+End")
    page.keyboard.type(" Not saved.")
    expect(printed).to_contain_text("Not saved.")
    page.reload()
    page.get_by_role("button", name="Take it up").click()
    expect(page.locator("#text-printed")).to_contain_text("Not saved.")
    page.locator("#size").select_option("6y")
    expect(page.locator("#text-printed")).to_contain_text("Ch 58 + 1. Not saved.")
    assert problems(page) == []
    page.get_by_role("button", name="Read it through").click()
    expect(page.get_by_role("heading", name="read through")).to_be_visible()
    expect(page.locator("#text-printed")).to_contain_text("Not saved.")
    assert problems(page) == []
    page.get_by_role("button", name="Go on writing").click()
    page.get_by_role("button", name="Save the text").click()
    expect(page.locator("main")).to_contain_text("The instructions are saved.")
    assert sections_of(pattern)[-1]["steps"][-1].endswith(" Not saved.")
