"""Writing a step beside the page as printed, and a version whose editions are in the making, in a browser."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.models import WordsDraft
from catalogue.publishing.publishing import Publication, freeze_version, make_editions
from tests.browser.looks import problems
from tests.builders import make_person
from tests.catalogue.builders import ADDRESS, make_pattern

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("ignore::ResourceWarning")]
WINDOWS = [("light", 320), ("dark", 320), ("light", 1400), ("dark", 1400)]


@pytest.fixture
def live_server(file_server):
    return file_server


@pytest.fixture
def pattern(live_server):
    return make_pattern("puffinbay_child")


@pytest.fixture
def designer(pattern):
    return make_person(role="designer")


def step_address(pattern, name="step"):
    return reverse(name, kwargs={"slug": pattern.slug, "section": 2, "step": 1})


def type_at_end(page, text):
    page.locator("#id_text").press("Control+End")
    page.locator("#id_text").press_sequentially(text)


@pytest.mark.only_keeps_rows("how pages look; the table of rights makes them all")
@pytest.mark.parametrize(("theme", "width"), WINDOWS)
def test_a_step_can_be_written_in_every_window(window, pattern, designer, theme, width):
    page = window(theme=theme, width=width, person=designer)
    page.goto(step_address(pattern))
    assert problems(page) == []
    type_at_end(page, " {back")
    expect(page.get_by_role("listbox", name="Names that fit")).to_be_visible()
    assert problems(page) == []
    page.keyboard.press("Escape")
    page.locator("#id_text").fill("Work {nothing_of_that_name} rows, 3 cm.")
    expect(page.locator("#preview")).to_contain_text("nothing_of_that_name")
    expect(page.locator("#preview .finding").first).to_be_visible()
    assert problems(page) == []


@pytest.mark.only_keeps_rows("a script of the page writes and shows it; nothing is saved")
def test_a_name_is_completed_by_keys_and_prints_its_numbers_at_once(window, pattern, designer):
    page = window(person=designer)
    page.goto(step_address(pattern))
    type_at_end(page, " Then {shoulder_")
    page.keyboard.press("Enter")
    expect(page.locator("#id_text")).to_have_value(re.compile(r"Then \{shoulder_stitches\}$"))
    expect(page.get_by_role("listbox")).to_have_count(0)
    expect(page.locator("#preview")).to_contain_text("Then 16 (18, 19, 20, 21, 22)")
    page.locator("#size").select_option("6y")
    expect(page.locator("#preview")).to_contain_text("ch 59. Then 19")


@pytest.mark.only_keeps_rows("a script of the page writes and shows it; nothing is saved")
def test_the_page_beside_it_prints_other_units_and_terms(window, pattern, designer):
    page = window(person=designer)
    page.goto(step_address(pattern))
    page.locator("#id_text").fill("Work 1 htr in each ch for {3 cm}.")
    expect(page.locator("#preview")).to_contain_text("1 htr in each ch for 3 cm")
    page.locator("#terms").select_option("US")
    expect(page.locator("#preview")).to_contain_text("1 hdc in each ch for 3 cm")
    page.locator("#units").select_option("in")
    expect(page.locator("#preview")).to_contain_text("for 1¼ in")  # 3 cm = 1.18 in: to the nearest ¼


def test_what_is_typed_keeps_itself_until_it_is_saved(window, pattern, designer):
    page = window(person=designer)
    page.goto(step_address(pattern))
    type_at_end(page, " Count them.")
    expect(page.locator("#draft-state")).to_have_text("Kept as a draft, not saved yet.")
    page.reload()
    expect(page.locator("#draft-text")).to_contain_text("Count them.")
    assert problems(page) == []
    page.get_by_role("link", name="Put it into the form").click()
    expect(page.locator("#id_text")).to_have_value(re.compile("Count them"))
    page.get_by_role("button", name="Save the step").click()
    expect(page.locator(".printed")).to_contain_text("ch 51 (55, 59, 61, 65, 67). Count them.")
    assert not WordsDraft.objects.exists()


@pytest.mark.parametrize("javascript", [True, False])
def test_a_typed_number_becomes_the_name_of_its_value_by_one_click(window, pattern, designer, javascript):
    page = window(person=designer, javascript=javascript)
    page.goto(step_address(pattern))
    page.locator("#id_text").fill("With A, ch 50 (54, 58, 60, 64, 66) + 1. Work 33 rows.")
    if not javascript:  # without it the numbers are found when the step is saved
        page.get_by_role("button", name="Save the step").click()
    page.get_by_role("button", name="Write {back_stitches}").click()
    if javascript:
        expect(page.locator("#id_text")).to_have_value("With A, ch {back_stitches} + 1. Work 33 rows.")
        expect(page.locator("#preview")).to_contain_text("ch 50 (54, 58, 60, 64, 66) + 1. Work 33 rows.")
        assert problems(page) == []
        page.get_by_role("button", name="Save the step").click()
    expect(page.get_by_text("With A, ch {back_stitches} + 1. Work 33 rows.")).to_be_visible()
    page.get_by_role("button", name="Write {side_rows}").click()
    expect(page.get_by_text("With A, ch {back_stitches} + 1. Work {side_rows} rows.")).to_be_visible()
    expect(page.locator("main")).to_contain_text("Printed: 33 → 20 (size 2y)")
    assert not WordsDraft.objects.exists()


@pytest.mark.only_keeps_rows("how a page looks; another test here saves the same on both")
@pytest.mark.parametrize(("theme", "width"), WINDOWS)
def test_typed_numbers_are_pointed_at_in_every_window(window, pattern, designer, theme, width):
    page = window(theme=theme, width=width, person=designer)
    page.goto(step_address(pattern))
    page.locator("#id_text").fill("Ch 50 (54, 58, 60, 64, 66) + 1. Work 33 rows for 28 cm. (700 sts)")
    expect(page.get_by_role("button", name="Write {back_stitches}")).to_be_visible()
    assert problems(page) == []
    page.get_by_role("button", name="Save the step").click()
    expect(page.get_by_role("button", name="Write {28 cm}")).to_be_visible()
    assert problems(page) == []


@pytest.fixture
def waiting(pattern, designer, settings):
    settings.PUBLIC_URL = ADDRESS
    return freeze_version(
        Publication(pattern=pattern, kind="test", number="0.1", note="First of all.", by=designer)
    )


@pytest.mark.only_keeps_rows("how pages look; the table of rights makes them all")
@pytest.mark.parametrize(("theme", "width"), WINDOWS)
def test_the_making_of_editions_can_be_watched_in_every_window(window, waiting, designer, theme, width):
    page = window(theme=theme, width=width, person=designer)
    page.goto(reverse("version", args=[waiting.pattern.slug, "0.1"]))
    expect(page.get_by_role("progressbar", name="Editions made")).to_be_visible()
    expect(page.get_by_role("status")).to_contain_text("0 of 1 editions made")
    assert problems(page) == []


def test_editions_appear_on_the_page_once_they_are_made(window, waiting, designer):
    page = window(person=designer)
    page.goto(reverse("version", args=[waiting.pattern.slug, "0.1"]))
    expect(page.get_by_role("progressbar")).to_be_visible()
    make_editions(waiting)
    expect(page.get_by_role("progressbar")).to_have_count(0)
    expect(page.locator("ul.editions a")).to_have_count(1)
    expect(page.locator("ul.editions")).to_contain_text(re.compile(r"PDF, \d+ pages"))
    expect(page.get_by_text("it is published once all its editions are made")).to_have_count(0)
    expect(page.get_by_role("button", name="Take this version back")).to_have_count(0)
    assert problems(page) == []


@pytest.mark.only_keeps_rows("how a page looks; tests of its page store the same")
def test_an_edition_that_could_not_be_made_says_why_and_what_to_do(window, waiting, designer):
    waiting.editions.update(state="failed", says="The PDF could not be made: it has no pages.")
    waiting.state = "failed"
    waiting.save()
    page = window(width=320, theme="dark", person=designer)
    page.goto(reverse("version", args=[waiting.pattern.slug, "0.1"]))
    expect(page.locator("main")).to_contain_text("it has no pages")
    expect(page.get_by_role("button", name="Try again")).to_be_visible()
    assert problems(page) == []
