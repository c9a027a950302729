"""Stitch patterns in a browser: the chart follows what is typed, and the pages keep to what all pages do."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.browser.looks import problems
from tests.builders import make_person
from tests.catalogue.editions.stitch_samples import make_sampler

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


GRID = 4  # the stitch pattern of the sampler that is a grid of colours


@pytest.fixture
def designer(live_server):
    return make_person(role="designer")


@pytest.mark.only_keeps_rows("how pages look; the table of rights makes them all")
@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1400])
def test_list_and_form_keep_to_what_pages_must(window, designer, theme, width):
    pattern = make_sampler()
    page = window(theme=theme, width=width, person=designer)
    for address, *number in (("stitch_patterns",), ("stitch_pattern", 2), ("stitch_pattern", GRID)):
        page.goto(reverse(address, args=[pattern.slug, *number]))
        page.wait_for_load_state("networkidle")
        assert problems(page) == []


def test_cells_of_a_grid_are_set_by_clicks_and_by_keys(window, designer):
    page = window(person=designer)
    page.goto(reverse("stitch_pattern", args=[make_sampler().slug, GRID]))
    typed, cells = page.locator("#id_grid"), page.locator("#grid-cells td")
    before = typed.input_value().splitlines()
    assert before[0] == "A|AAABAAAA|AA"
    page.get_by_role("button", name="Colour B").click()
    cells.first.click()
    expect(typed).to_have_value("\n".join(["B|AAABAAAA|AA", *before[1:]]))
    expect(cells.first).to_be_focused()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("b")
    page.keyboard.press("End")
    page.keyboard.press("Enter")
    after = ["B|AAABAAAA|AA", "A|BABABAAA|AB", *before[2:]]
    expect(typed).to_have_value("\n".join(after))
    expect(page.get_by_role("gridcell", name="Row 5, cell 11: B", exact=True)).to_be_focused()
    expect(page.locator("#stitch-preview svg title").first).to_contain_text("Row 5", use_inner_text=False)
    page.get_by_role("button", name="Add a row on top").click()
    expect(typed).to_have_value("\n".join(["A|AAAAAAAA|AA", *after]))
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/stitch-patterns/")
    assert "Diamonds is saved." in page.locator("main, body").first.inner_text()


@pytest.mark.only_keeps_rows("a script of the page writes and shows it; nothing is saved")
def test_cells_are_there_for_grids_alone(window, designer):
    pattern = make_sampler()
    page = window(person=designer)
    page.goto(reverse("stitch_pattern", args=[pattern.slug, 2]))
    expect(page.locator("#grid-cells")).to_be_hidden()
    page.goto(reverse("stitch_pattern_new", args=[pattern.slug]))
    page.get_by_label("Multiple").fill("4")
    page.get_by_label("Plus", exact=False).fill("1")
    page.get_by_role("button", name="Add a row on top").click()
    expect(page.locator("#id_grid")).to_have_value("|AAAA|A")


@pytest.mark.only_keeps_rows("a script of the page writes and shows it; nothing is saved")
def test_the_chart_follows_what_is_typed(window, designer):
    pattern = make_sampler()
    page = window(person=designer)
    page.goto(reverse("stitch_pattern_new", args=[pattern.slug]))
    page.get_by_label("Name", exact=False).first.fill("Zigzag")
    page.get_by_label("Multiple").fill("4")
    page.get_by_label("Rows in words").fill("*K2tog, yo, k2; repeat from * to end.\nPurl.")
    chart = page.locator("#stitch-preview svg title").first
    expect(chart).to_contain_text("Chart of Zigzag. Row 1 (RS): *K2tog, yo, k2", use_inner_text=False)


@pytest.mark.only_keeps_rows("a button shows it; nothing is saved")
def test_without_scripts_a_button_shows_it(window, designer):
    pattern = make_sampler()
    page = window(person=designer, javascript=False)
    page.goto(reverse("stitch_pattern", args=[pattern.slug, 2]))
    page.get_by_label("Rows in words").fill("Knit.\nPurl.\n")
    page.get_by_role("button", name="Show").click()
    assert "Row 2 (WS)" in page.locator("#stitch-preview").inner_text()
    assert page.get_by_label("Rows in words").input_value().startswith("Knit.")


@pytest.mark.only_keeps_rows("a script of the page writes and shows it; nothing is saved")
def test_symbols_write_the_words_of_a_row_where_the_cursor_is(window, designer):
    page = window(person=designer)
    page.goto(reverse("stitch_pattern_new", args=[make_sampler().slug]))
    rows = page.locator("#id_rows")
    for name in ("Begin a repeat", "Write k1", "Write yo", "Write k2tog", "End the repeat"):
        page.get_by_role("button", name=name, exact=True).click()
    assert rows.input_value() == "*k1, yo, k2tog; repeat from * to end"
    rows.press("Enter")
    page.get_by_role("button", name="Write p1", exact=True).click()
    assert rows.input_value().splitlines()[1] == "p1"
