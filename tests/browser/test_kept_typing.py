"""What is typed into the form of an entry is not lost by a reload."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.drafts.documents import pattern_document
from tests.builders import make_person, make_studio
from tests.catalogue.desk_work import fresh, load

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.only_keeps_rows("drafts are kept by the browser; tests of its pages save the same"),
]


def test_typing_is_offered_after_a_reload_and_gone_once_it_is_saved(window):
    make_studio()
    pattern = load()
    page = window(person=make_person(role="designer"))
    page.on("dialog", lambda dialog: dialog.accept())
    address = reverse("entry_new", args=[pattern.slug, "shapings"])
    page.goto(address)
    page.get_by_label("Name", exact=False).first.fill("Sleeve taper")
    page.locator("[name=from]").select_option(label="Back, stitches")
    page.reload()
    expect(page.locator("[name=name]")).to_have_value("")
    page.get_by_role("button", name="Take it up").click()
    expect(page.locator("[name=name]")).to_have_value("Sleeve taper")
    expect(page.locator("[name=from]")).to_have_value("back")
    for name, number in {"to": "40", "over": "30", "each": "2"}.items():
        page.locator(f"[name={name}_typed]").fill(number)
    # The sentence that will be printed stands beside the form by itself.
    expect(page.locator("#preview")).to_contain_text("decrease 1 st at each end of every")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/sheet/**")
    page.goto(address)
    expect(page.get_by_role("button", name="Take it up")).to_have_count(0)


def test_a_swatch_is_offered_after_a_reload_and_gone_once_it_is_in_the_diary(window):
    make_studio()
    pattern = load()
    page = window(person=make_person(role="designer"))
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(reverse("swatches", args=[pattern.slug]))
    typed = {"made_on": "2025-03-02", "after_stitches": "14,5", "after_rows": "8", "note": "5 mm hook"}
    for name, text in typed.items():
        page.locator(f"[name={name}]").fill(text)
    page.reload()
    expect(page.locator("[name=note]")).to_have_value("")
    page.get_by_role("button", name="Take it up").click()
    for name, text in typed.items():
        expect(page.locator(f"[name={name}]")).to_have_value(text)
    page.get_by_role("button", name="Add to the diary").click()
    expect(page.get_by_text("The swatch is saved in the diary.")).to_be_visible()
    expect(page.get_by_text("After blocking 14.5 stitches")).to_be_visible()
    expect(page.get_by_role("button", name="Take it up")).to_have_count(0)


def test_what_changed_is_offered_again_to_who_left_to_mend_what_stops_the_publication(window):
    make_studio()
    pattern = load()  # it has no yarn, which stops it
    page = window(person=make_person(role="designer"))
    page.on("dialog", lambda dialog: dialog.accept())
    address = reverse("publish", args=[pattern.slug, "test"])
    page.goto(address)
    expect(page.get_by_text("What you type here stays in this browser")).to_be_visible()
    page.locator("[name=note]").fill("The edge is longer.")
    page.get_by_role("link", name="Correct the yarn").click()
    page.wait_for_url("**/yarn/")
    page.goto(address)
    page.get_by_role("button", name="Take it up").click()
    expect(page.locator("[name=note]")).to_have_value("The edge is longer.")


def test_a_table_of_corners_grows_as_it_is_filled_in_and_is_taken_up_whole(window):
    """A piece of eight corners is entered in one go: a form shows three rows at first."""
    make_studio()
    pattern = load()
    page = window(person=make_person(role="designer"))
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(reverse("entry_new", args=[pattern.slug, "pieces"]))
    page.locator("[name=label]").fill("Flap")
    page.locator("[name=shape]").select_option("")
    corners = [(0, 0), (20, 0), (20, 10), (18, 12), (16, 14), (10, 16), (4, 14), (0, 10)]
    for place, (across, up) in enumerate(corners):
        page.locator(f"[name=outline-{place}-0]").fill(f"{across} cm")
        page.locator(f"[name=outline-{place}-1]").fill(f"{up} cm")
    added = page.get_by_label("Up, 9")
    expect(added).to_have_value("")
    page.reload()
    page.get_by_role("button", name="Take it up").click()
    expect(page.locator("[name=outline-7-1]")).to_have_value("10 cm")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url("**/sheet/**")
    flap = pattern_document(fresh(pattern))["pieces"][-1]
    assert [flap["label"], len(flap["outline"])] == ["Flap", len(corners)]
