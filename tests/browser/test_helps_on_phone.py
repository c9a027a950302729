"""Helps on a tester's phone: read and printed, and named on a remark, also where there is no connection."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.models import Help
from testing.models import Remark
from tests.browser.looks import problems
from tests.builders import make_studio
from tests.catalogue.builders import make_pattern
from tests.catalogue.helps.builders import make_help, name_in_step
from tests.catalogue.special_stitches.builders import make_stitch, take_over
from tests.testing.builders import make_call, make_place

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("ignore::ResourceWarning")]
PLAIN = "sections[0].steps[2]"
NAMED = "sections[0].steps[1]"


@pytest.fixture
def live_server(file_server):
    return file_server


@pytest.fixture
def place(live_server):
    """A place in a call of a pullover with a help and a special stitch."""
    make_studio()
    pattern = make_pattern()
    take_over(pattern, make_stitch(pictured=1))
    name_in_step(pattern, make_help(pictured=1).name, step=1)
    return make_place(make_call(pattern=pattern))


def test_a_help_opens_prints_and_takes_a_remark_without_a_connection(window, place):
    page = window(width=320, person=place.person, worker="allow")
    read = reverse("making_read", args=[place.pk])
    page.goto(reverse("making", args=[place.pk]))
    page.wait_for_function("() => navigator.serviceWorker.controller")
    page.goto(reverse("making_remark", args=[place.pk]))
    page.goto(reverse("making_counted", args=[place.pk]))
    page.goto(read)
    page.locator("details.help summary").click()
    assert problems(page, least_height=44) == []
    page.context.set_offline(True)
    page.goto(read)
    picture = page.locator("details.help img")
    expect(picture).not_to_be_visible()
    page.emulate_media(media="print")
    expect(picture).to_be_visible()
    page.emulate_media(media="screen")
    page.locator("details.help summary").click()
    expect(picture).to_be_visible()
    assert picture.evaluate("one => one.complete && one.naturalWidth > 0")
    count = page.get_by_role("link", name="Stitch count").last
    step = str(count.get_attribute("href")).partition("?step=")[2]
    count.click()
    expect(page.locator("select[name=row]")).to_have_value(re.compile(rf"^{re.escape(step)}\."))
    page.goto(read)
    page.locator("details.help summary").click()
    page.get_by_role("link", name="Still stuck?").click()
    steps, helps = page.locator("select[name=place]"), page.locator("select[name=help]")
    expect(steps).to_have_value(NAMED)
    expect(helps).to_have_value(Help.objects.get().code)
    steps.select_option(PLAIN)
    expect(helps).not_to_be_visible()
    steps.select_option(NAMED)
    helps.select_option(label="Help 1: Foundation chain")
    page.locator("textarea[name=text]").fill("It twists.")
    assert problems(page, least_height=44) == []
    page.locator("[data-question] form [type=submit]").click()
    expect(page.locator("#kept")).to_contain_text("Kept on this phone")
    page.context.set_offline(False)
    expect(page.locator("#kept")).to_contain_text("The answer that was kept on this phone has been sent.")
    remark = Remark.objects.select_related("help").get()
    assert (remark.place, remark.help, remark.text) == (NAMED, Help.objects.get(), "It twists.")


@pytest.mark.only_keeps_rows("a script of the page chooses; nothing is sent")
def test_the_help_in_the_address_goes_before_an_old_draft_of_which_the_words_stay(window, place):
    page = window(width=320, person=place.person)
    remark = reverse("making_remark", args=[place.pk])
    page.goto(remark)
    page.locator("select[name=place]").select_option("sections[0].steps[0]")
    page.locator("textarea[name=text]").fill("It twists.")
    page.goto(f"{remark}?help={Help.objects.get().code}")
    expect(page.locator("select[name=place]")).to_have_value(NAMED)
    expect(page.locator("select[name=help]")).to_have_value(Help.objects.get().code)
    expect(page.locator("textarea[name=text]")).to_have_value("It twists.")
