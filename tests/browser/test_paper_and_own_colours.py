"""Pages on paper, in the reader's own colours, and with text twice as large."""

import pytest
from django.urls import reverse

from tests.browser.looks import BEYOND
from tests.site.rights_world import make_world

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.only_keeps_rows("how pages look; the table of rights makes them all"),
]

# A4 upright within margins of 1 cm, at 96 dots to the inch (CSS 2.1, 4.3.2: 1 in is 96 px).
PAPER_PX = 718
SLOW_MOTION_S = 0.001

# What is only there to be pressed or followed; headings, tables and pictures stay.
PRESSED = """() => [...document.querySelectorAll("nav, button, .btn, input[type=submit], .filters")]
  .filter(part => part.checkVisibility() && part.getBoundingClientRect().width > 1)
  .map(part => part.outerHTML.slice(0, 80))"""

# Tables that are cut off on paper: a region that hides something, or a cell beyond the sheet.
CUT = """() => [...document.querySelectorAll(".region")]
  .filter(part => part.checkVisibility())
  .filter(part => getComputedStyle(part).overflowX !== "visible" || part.scrollWidth > innerWidth + 1)
  .map(part => part.outerHTML.slice(0, 80))"""

# Marks of drawings that vanish: neither their line nor their area differs from what is behind all.
LOST = """() => {
  const back = getComputedStyle(document.body).backgroundColor;
  const none = ["none", back, "rgba(0, 0, 0, 0)"];
  return [...document.querySelectorAll("main svg :is(path, circle, line, polyline, polygon, rect, text)")]
    .filter(part => part.checkVisibility() && !part.closest("defs, clipPath, pattern"))
    .filter(part => { const style = getComputedStyle(part);
      return none.includes(style.fill) && none.includes(style.stroke); })
    .filter(part => !/\\bnone\\b|transparent/.test(part.getAttribute("fill") || ""))
    .map(part => part.outerHTML.slice(0, 100));
}"""


@pytest.fixture
def studio(settings, tmp_path):
    settings.EMAIL_FILE_PATH = settings.MAIL_DIR = str(tmp_path)
    return make_world()


def printed_pages(world):
    """Pages of the studio that one prints, by their names."""
    slug, call = world.pattern.slug, world.call.pk
    return {
        "sheet": reverse("sheet", args=[slug]),
        "yarn": reverse("yarn_page", args=[slug]),
        "errata": reverse("errata", args=[slug]),
        "versions": reverse("versions", args=[slug]),
        "call": reverse("call", args=[slug, call]),
        "results": reverse("call_results", args=[slug, call]),
        "proposal": reverse("proposal", args=[slug, call]),
        "guide": reverse("guide_part", args=["judging"]),
    }


def test_paper_has_whole_tables_and_nothing_to_press(window, studio):
    page = window(width=PAPER_PX, person=studio.people["designer"])
    page.emulate_media(media="print")
    found = {}
    for name, address in printed_pages(studio).items():
        assert page.goto(address).status == 200, name
        assert page.locator("h1").first.is_visible(), name
        found[name] = page.evaluate(PRESSED) + page.evaluate(CUT)
    assert {name: faults for name, faults in found.items() if faults} == {}


def test_the_readers_own_colours_keep_what_colour_told(window, studio):
    page = window(person=studio.people["designer"])
    page.emulate_media(forced_colors="active")
    pages = printed_pages(studio)
    slug = studio.pattern.slug
    pages |= {"pieces": reverse("pieces", args=[slug]), "grade": reverse("see_grade", args=[slug])}
    lost = {}
    for name, address in pages.items():
        page.goto(address)
        lost[name] = page.evaluate(LOST)
    assert {name: faults for name, faults in lost.items() if faults} == {}
    page.goto(pages["versions"])
    tabs = page.locator(".tabs a")
    lines = tabs.evaluate_all(
        "all => all.map(one => [one.ariaCurrent, getComputedStyle(one).borderBottomColor])"
    )
    back = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert [current is not None for current, _ in lines] == [colour != back for _, colour in lines]
    page.keyboard.press("Tab")
    focused = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert focused == "solid"


def test_text_twice_as_large_stays_on_the_page(window, studio):
    page = window(width=1280, person=studio.people["designer"])
    beyond = {}
    for name, address in printed_pages(studio).items():
        page.goto(address)
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        beyond[name] = page.evaluate(BEYOND)
    assert {name: faults for name, faults in beyond.items() if faults} == {}


def test_nothing_moves_for_those_who_ask_for_it(window, studio):
    page = window(person=studio.people["designer"])
    page.emulate_media(reduced_motion="reduce")
    page.goto(reverse("versions", args=[studio.pattern.slug]))
    longest = page.locator("main *").evaluate_all(
        "all => Math.max(...all.map(one => parseFloat(getComputedStyle(one).transitionDuration)))"
    )
    assert longest < SLOW_MOTION_S
