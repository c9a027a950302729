"""The grid in a real browser: keys, origins of numbers, editing beside it, pasting, and without scripts."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.looks import problems
from tests.builders import make_person, make_studio
from tests.catalogue.desk_work import fresh, load, worked

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def cell(page, name, place):
    return page.locator(f"tr[data-name={name}] td.number").nth(place)


def open_sheet(window, **choices):
    make_studio()
    pattern = load()
    page = window(person=make_person(role="designer"), **choices)
    page.goto(reverse("sheet", args=[pattern.slug]))
    return pattern, page


def test_keys_move_and_the_panel_says_where_a_number_comes_from(window):
    _, page = open_sheet(window)
    cell(page, "chest", 0).click()
    expect(page.locator("#panel")).to_contain_text("84 cm + 8 cm")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowRight")
    expect(cell(page, "back", 1)).to_be_focused()
    expect(page.locator("#panel tr[aria-current]").first).to_contain_text("70 sts")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(cell(page, "edge", 0)).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.locator("#panel")).to_be_focused()
    assert problems(page, least_height=24) == []


def test_a_formula_is_edited_beside_the_grid_with_a_preview(window):
    pattern, page = open_sheet(window)
    cell(page, "chest", 0).click()
    page.keyboard.press("Enter")
    expect(page.locator("#id_formula")).to_be_focused()
    page.keyboard.type(" + 10 cm")
    expect(page.locator("#preview")).to_contain_text("6 numbers in 3 sizes")
    expect(page.locator("tr#values-edge")).to_be_visible()
    assert problems(page, least_height=24) == []
    page.get_by_role("button", name="Save", exact=True).click()
    expect(cell(page, "chest", 0)).to_have_text("102")
    page.get_by_role("button", name="Undo the last edit").click()
    expect(cell(page, "chest", 0)).to_have_text("92")
    assert fresh(pattern).sheet.revision == 3


def test_a_row_from_a_spreadsheet_is_pasted_across_a_list(window):
    pattern, page = open_sheet(window)
    page.goto(reverse("value", args=[pattern.slug, "edge"]))
    page.locator("#id_list__0").focus()
    page.evaluate(
        """() => {
            const data = new DataTransfer();
            data.setData("text/plain", "8\\t10\\t12\\n");
            const how = {clipboardData: data, bubbles: true, cancelable: true};
            const pasting = new ClipboardEvent("paste", how);
            document.getElementById("id_list__0").dispatchEvent(pasting);
        }"""
    )
    expect(page.locator("#id_list__2")).to_have_value("12")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(cell(page, "edge", 2)).to_have_text("12")
    assert worked(pattern, "edge") == [8, 10, 12]


def test_everything_can_be_done_without_scripts(window):
    pattern, page = open_sheet(window, javascript=False, width=320)
    page.get_by_role("link", name="Chest wanted").click()
    expect(page.get_by_text("84 cm + 8 cm")).to_be_visible()
    page.locator("#id_formula").fill("bust + eaze")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("the nearest name is “ease”")).to_be_visible()
    page.locator("#id_formula").fill("bust + ease + 1 cm")
    page.get_by_role("button", name="Save", exact=True).click()
    printed = "6 numbers in 3 sizes; printed: 64 → 65 (size S), 70 → 71 (size M), 76 → 77 (size L)."
    expect(page.get_by_text(printed).first).to_be_visible()
    assert worked(pattern, "chest") == [930.0, 1010.0, 1100.0]
