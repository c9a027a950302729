"""The sheet edited in place, in a browser: keys, clipboard, lines, undoing, drafts; and without scripts."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_pattern
from tests.browser.looks import problems
from tests.builders import make_person, make_studio
from tests.catalogue.desk_work import fresh, load, small_document, worked

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SIZE = 3  # the column of the first size
THERE_AND_BACK = """async () => {
  for (const key of ["End", "Home"]) {
    document.activeElement.dispatchEvent(new KeyboardEvent("keydown", { key, ctrlKey: true, bubbles: true }));
  }
  const down = [], scrollBy = window.scrollBy;
  window.scrollBy = (x, y) => y > 0 && down.push(y);
  for (let frame = 0; frame < 5; frame += 1) {
    await new Promise(requestAnimationFrame);
  }
  window.scrollBy = scrollBy;
  return down;
}"""


def cell(page, line, column):
    return page.locator(f"tr#{line} > *").nth(column)


def last_line(page, part):
    return page.locator(f"tbody[data-part={part}] tr.sheet-last > *")


def open_sheet(window, **choices):
    make_studio()
    pattern = load()
    page = window(person=make_person(role="designer"), **choices)
    page.goto(reverse("sheet", args=[pattern.slug]))
    return pattern, page


def values(pattern):
    return {one["name"]: one for one in pattern_document(fresh(pattern))["values"]}


def save(page):
    page.evaluate("window.isOld = true")
    page.locator("#changes").get_by_role("button", name="Save", exact=True).click()
    page.wait_for_function("() => !window.isOld")


def test_cells_are_typed_previewed_saved_and_undone_by_keyboard(window):
    pattern, page = open_sheet(window)
    cell(page, "values-chest", SIZE).click()
    expect(page.locator("#panel")).to_contain_text("84 cm + 8 cm")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowRight")
    expect(cell(page, "values-back", SIZE + 1)).to_be_focused()
    page.keyboard.press("Home")
    expect(cell(page, "values-back", 0)).to_be_focused()
    page.keyboard.press("End")
    page.keyboard.press("ArrowDown")
    expect(cell(page, "values-edge", SIZE + 2)).to_be_focused()
    page.keyboard.type("9")
    page.keyboard.press("Escape")
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("6")
    page.keyboard.type("8")
    page.keyboard.press("Enter")
    expect(page.locator("#changes")).to_contain_text("6 → 8")
    assert problems(page, least_height=24) == []
    expect(cell(page, "body-bust", 1)).to_have_text("cm")
    page.keyboard.press("Control+z")
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("6")
    page.keyboard.press("Control+y")
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("8")
    save(page)
    expect(page.locator("#changes")).to_contain_text("Saved.")
    assert worked(pattern, "edge") == [4, 4, 8]
    page.evaluate("window.isOld = true")
    page.get_by_role("button", name="Undo", exact=True).click()
    page.wait_for_function("() => !window.isOld")
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("6")
    page.get_by_role("button", name="Redo").click()
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("8")
    page.reload()
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("8")
    expect(page.locator("#unsaved")).to_contain_text("You left this unsaved: “Edge, rows”.")
    page.locator("#unsaved").get_by_role("button", name="Discard").click()
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("6")
    expect(page.locator("#unsaved")).to_be_hidden()


def test_blocks_go_to_and_from_a_spreadsheet_and_lines_are_made_and_moved(window):
    pattern, page = open_sheet(window)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    cell(page, "values-edge", SIZE).click()
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Control+c")
    assert page.evaluate("navigator.clipboard.readText()") == "4\t4"
    page.evaluate("navigator.clipboard.writeText('10\\t12\\t14\\n')")
    cell(page, "values-edge", SIZE).click()
    page.keyboard.press("Control+v")
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("14")
    page.keyboard.press("Shift+End")
    page.keyboard.press("Control+r")
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("10")
    page.keyboard.press("Control+z")
    page.evaluate(
        "navigator.clipboard.writeText('Neck depth\\t\\t\\t7 cm\\t7 cm\\t8 cm\\nCuff\\t\\tedge + 2 rows\\n')"
    )
    last_line(page, "values").first.click()
    page.keyboard.press("Control+v")
    made = page.locator("tbody[data-part=values] tr").filter(has_text="Cuff")
    expect(made).to_be_visible()
    made.locator("th").click()
    page.get_by_role("button", name="Up", exact=True).click()
    page.get_by_role("button", name="Duplicate").click()
    page.keyboard.press("F2")
    page.keyboard.press("Control+a")
    page.keyboard.type("Hem")
    page.keyboard.press("Enter")
    last_line(page, "body").nth(0).click()
    page.keyboard.type("Hip")
    page.keyboard.press("Tab")
    save(page)
    found = values(pattern)
    assert list(found) == ["ease", "chest", "back", "edge", "cuff", "hem", "neck_depth"]
    assert found["edge"]["list"] == [10, 12, 14]
    assert found["neck_depth"]["list"] == ["7 cm", "7 cm", "8 cm"]
    assert (found["hem"]["kind"], found["hem"]["formula"]) == ("rows", "edge + 2 rows")
    assert pattern_document(fresh(pattern))["body"]["hip"]["values"] == [None, None, None]
    cell(page, "values-hem", 0).click()
    page.get_by_role("button", name="Delete the line").click()
    expect(page.locator("tr#values-hem")).to_have_count(0)
    page.get_by_role("searchbox", name="Find").fill("neck")
    expect(page.locator("tr#values-neck_depth > .in-range")).to_have_text("Neck depth")


def test_a_formula_is_completed_by_label_and_by_a_click_and_a_conflict_shows_both(window):
    pattern, page = open_sheet(window, theme="dark")
    cell(page, "values-back", 2).click()
    page.keyboard.type("bu")
    expect(page.get_by_role("option", name="Bust girth")).to_be_visible()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    cell(page, "values-ease", SIZE).click()
    expect(page.locator("input.sheet-input")).to_have_value("bust + ease")
    assert problems(page, least_height=24) == []
    page.keyboard.press("Enter")
    expect(page.locator("#changes")).to_contain_text("stitches")
    page.keyboard.press("Control+z")
    cell(page, "values-edge", SIZE).click()
    page.keyboard.type("2")
    page.keyboard.press("Enter")
    edit_pattern(pattern=fresh(pattern), revision=1, change=with_edge_of_six)
    page.locator("#changes").get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("#changes")).to_contain_text("yours is “2”, theirs is “6”")
    page.get_by_role("button", name="Keep mine").click()
    save(page)
    assert worked(pattern, "edge") == [2, 4, 6]


@pytest.mark.only_keeps_rows("a script of the page shows it; nothing is saved")
def test_an_answer_of_the_server_takes_nothing_away_that_is_being_typed(window):
    _, page = open_sheet(window)
    last_line(page, "values").first.click()
    page.keyboard.type("Cuff")
    page.keyboard.press("Tab")
    page.keyboard.type("edge + ")
    # The label alone is asked about meanwhile, and the answer has come.
    expect(page.locator("#changes")).not_to_contain_text("Not saved yet.")
    page.keyboard.type("2 rows")
    expect(page.locator("input.sheet-input")).to_have_value("edge + 2 rows")
    page.keyboard.press("Enter")
    expect(page.locator("#changes")).to_contain_text("Cuff: S 6, M 6, L 8")


def with_edge_of_six(document):
    edited = [{**one, "list": [6, 4, 6]} if one["name"] == "edge" else one for one in document["values"]]
    return {**document, "values": edited}


def test_everything_can_be_done_without_scripts(window):
    pattern, page = open_sheet(window, javascript=False, width=320)
    page.get_by_role("link", name="Chest wanted").click()
    expect(page.get_by_text("84 cm + 8 cm")).to_be_visible()
    page.locator("#id_formula").fill("bust + eaze")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("Did you mean “ease”?")).to_be_visible()
    page.locator("#id_formula").fill("bust + ease + 1 cm")
    page.get_by_role("button", name="Save", exact=True).click()
    changed = "6 numbers in 3 sizes (“Chest wanted” and “Back, stitches”)"
    printed = "printed: 64 → 65 (size S), 70 → 71 (size M)"
    expect(page.get_by_text(f"{changed}; {printed}").first).to_be_visible()
    assert worked(pattern, "chest") == [930.0, 1010.0, 1100.0]


def test_an_amount_typed_over_several_sizes_is_added_to_each(window):
    pattern, page = open_sheet(window)
    shown = [cell(page, "values-chest", SIZE + n).inner_text() for n in range(3)]
    cell(page, "values-chest", SIZE + 1).click()
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.type("+2 cm")
    page.keyboard.press("Enter")
    wider = [shown[0], *(f"{float(text) + 2:g}" for text in shown[1:])]
    for n, text in enumerate(wider):
        expect(cell(page, "values-chest", SIZE + n)).to_have_text(text)
    page.keyboard.press("Control+z")
    expect(cell(page, "values-chest", SIZE + 2)).to_have_text(shown[2])
    page.keyboard.press("Control+y")
    cell(page, "values-edge", SIZE).click()
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.type("+2 cm")
    page.keyboard.press("Enter")
    expect(page.locator("#values-edge .is-refused")).to_have_count(2)
    expect(page.locator("#changes")).to_contain_text("to add, type it without a unit")
    page.keyboard.press("Control+z")
    expect(page.locator("#values-edge .is-refused")).to_have_count(0)
    page.keyboard.type("-1")
    page.keyboard.press("Tab")
    expect(cell(page, "values-edge", SIZE)).to_have_text("3")
    expect(cell(page, "values-edge", SIZE + 1)).to_have_text("3")
    expect(cell(page, "values-edge", SIZE + 2)).to_have_text("6")
    save(page)
    assert worked(pattern, "edge") == [3, 3, 6]
    assert worked(pattern, "chest") == [10 * float(text) for text in wider]


@pytest.mark.only_keeps_rows("a script of the page shows it; nothing is saved")
def test_in_a_narrow_window_the_keys_pass_over_the_columns_that_it_hides(window):
    _, page = open_sheet(window, width=320)
    cell(page, "values-back", SIZE).click()
    for key, column in (("ArrowLeft", 0), ("ArrowRight", SIZE), ("ArrowRight", SIZE + 1), ("Home", 0)):
        page.keyboard.press(key)
        expect(cell(page, "values-back", column)).to_be_focused()
    page.set_viewport_size({"width": 320, "height": 400})
    assert page.evaluate(THERE_AND_BACK) == [], "what was chosen before is scrolled to again"
    page.reload()
    assert problems(page) == []


@pytest.mark.only_keeps_rows("a script of the page shows it; nothing is saved")
def test_a_measurement_typed_over_its_counts_leads_to_them_and_what_is_chosen_is_seen(window):
    make_studio()
    seam = {"name": "seam", "label": "Seam", "kind": "length", "formula": "edge / main.rows"}
    pattern = load(values=[*small_document()["values"], seam])
    page = window(person=make_person(role="designer"))
    page.goto(reverse("sheet", args=[pattern.slug]))
    cell(page, "values-seam", SIZE + 1).click()
    page.keyboard.press("Shift+ArrowRight")
    colours = [
        cell(page, "values-seam", SIZE + at).evaluate("cell => getComputedStyle(cell).backgroundColor")
        for at in range(3)
    ]
    assert colours[0] != colours[1] == colours[2]
    page.keyboard.type("+2 cm")
    page.keyboard.press("Enter")
    expect(page.locator("#changes")).to_contain_text(
        "The piece is worked by “Edge, rows”, which does not change"
    )
    typed_over = cell(page, "values-seam", SIZE + 1).inner_text()
    page.get_by_role("button", name="Take back Seam, go to Edge, rows").click()
    expect(cell(page, "values-edge", SIZE + 2)).to_be_focused()
    chosen = [cell(page, "values-edge", SIZE + at).get_attribute("aria-selected") for at in range(3)]
    assert chosen == [None, "true", "true"]  # the sizes that were chosen are chosen there, too
    expect(page.locator("#changes")).to_be_empty()  # what was typed over the counts is not saved with them
    expect(cell(page, "values-seam", SIZE + 1)).not_to_have_text(typed_over)
    before = [cell(page, "values-edge", SIZE + at).inner_text() for at in range(3)]
    page.keyboard.type("+6")
    page.keyboard.press("Enter")
    expect(page.locator("#changes")).to_contain_text("“Edge, rows”")
    expect(page.locator("#changes")).not_to_contain_text("becomes a list")
    after = [cell(page, "values-edge", SIZE + at).inner_text() for at in range(3)]
    assert [int(new) - int(old) for old, new in zip(before, after, strict=True)] == [0, 6, 6]
    cell(page, "values-edge", SIZE + 1).click()
    page.keyboard.press("Shift+ArrowRight")
    with page.expect_navigation():
        page.get_by_role("button", name="Save").click()
    expect(cell(page, "values-edge", SIZE + 2)).to_be_focused()
    expect(cell(page, "values-edge", SIZE + 1)).to_have_attribute("aria-selected", "true")
