"""Lines of the sheet by the pointer, and a sheet as large as any: how soon it stands and answers a key."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.drafts.patterns import load_pattern
from catalogue.site.benches.sheets import pattern_document as large_document
from tests.browser.looks import problems
from tests.browser.test_sheet_grid import cell, open_sheet, save, values
from tests.builders import make_person, make_studio

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# As many times as a bare table of as many cells: what the sheet adds is styles, links and its scripts.
MOST_TIMES = 6
# From a key to the next frame, in ms; a quiet machine of two cores needs about 60.
MOST_KEY_MS = 1_000
# First content on the screen less the moment at which the first byte had come: the browser's own work.
PAINT = """() => {
  const [page] = performance.getEntriesByType("navigation");
  const [paint] = performance.getEntriesByName("first-contentful-paint");
  return paint ? paint.startTime - page.responseStart : null;
}"""
# From a key to the next frame that shows what it did.
KEY = """async () => {
  const began = performance.now();
  const key = new KeyboardEvent("keydown", { key: "ArrowDown", bubbles: true });
  document.activeElement.dispatchEvent(key);
  await new Promise(done => requestAnimationFrame(() => setTimeout(done)));
  return performance.now() - began;
}"""


def drag(page, line, onto):
    """Take a line by its grip and hold it over the upper half of another."""
    page.evaluate("document.fonts.ready.then(() => true)")
    page.locator(f"tr#{line}").evaluate("row => row.scrollIntoView({ block: 'center', behavior: 'instant' })")
    start = page.locator(f"tr#{line} .sheet-grip").bounding_box()
    end = page.locator(f"tr#{onto} > th").bounding_box()
    page.mouse.move(start["x"] + start["width"] / 2, start["y"] + start["height"] / 2)
    page.mouse.down()
    page.mouse.move(end["x"] + 40, end["y"] + 4, steps=5)


def test_a_line_is_dragged_to_another_place(window):
    pattern, page = open_sheet(window)
    drag(page, "values-edge", "values-chest")
    expect(page.locator("tr#values-chest")).to_have_class("is-drop-above")
    page.mouse.up()
    expect(page.locator("tbody[data-part=values] tr").nth(2)).to_have_id("values-edge")
    expect(cell(page, "values-edge", 0)).to_be_focused()
    assert problems(page) == []
    save(page)
    assert list(values(pattern)) == ["ease", "edge", "chest", "back"]


@pytest.mark.only_keeps_rows("a script of the page refuses it; nothing is saved")
def test_a_line_is_not_dropped_among_lines_of_another_kind(window):
    _, page = open_sheet(window)
    drag(page, "values-edge", "body-bust")
    page.mouse.up()
    expect(page.locator(".is-drop-above, .is-drop-below")).to_have_count(0)
    expect(page.locator("#changes")).to_be_empty()
    drag(page, "values-edge", "values-back")
    page.mouse.up()
    expect(page.locator("#changes")).not_to_be_empty()


def paint_ms(page, address):
    """The first paint of a page, the best of three loads."""
    paints = []
    for _ in range(3):
        page.goto(address)
        page.wait_for_function("() => performance.getEntriesByName('first-contentful-paint').length")
        paints.append(page.evaluate(PAINT))
    return min(paints)


@pytest.mark.only_keeps_rows("how fast the browser is; nothing is saved")
def test_the_largest_sheet_stands_and_answers_a_key_at_once(window, count_proof):
    make_studio()
    pattern = load_pattern(document=large_document(sizes=24, values=400), by=None)
    page = window(person=make_person(role="designer"))
    row = f"<tr><th>A line of the sheet</th>{'<td>12.5</td>' * 26}</tr>"
    bare = f"<!doctype html><title>Bare</title><table>{row * 430}</table>"
    page.route("**/bare/", lambda route: route.fulfill(body=bare, content_type="text/html"))
    bare_ms = paint_ms(page, "/bare/")
    sheet_ms = paint_ms(page, reverse("sheet", args=[pattern.slug]))
    page.locator("tbody[data-part=values] td").first.click()
    key_ms = min(page.evaluate(KEY) for _ in range(9))
    for what, taken in {"sheet": sheet_ms, "bare table": bare_ms, "key": key_ms}.items():
        count_proof(f"24 x 400, ms, {what}", round(taken))
    assert sheet_ms < MOST_TIMES * bare_ms
    assert key_ms < MOST_KEY_MS
