"""One designer's cuff-to-cuff cardigan made by hand in a browser: clicks, keys and pages counted.

It has five sizes, 34 values, 3 pick-ups, 3 pieces, 9 parts of yarn and 10 steps. The goals are our own.
"""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.patterns import graded
from catalogue.models import Pattern
from tests.browser.hands import Hands
from tests.builders import make_person, make_studio

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.only_keeps_rows("keys and clicks are counted; tests of its pages save the same"),
]

MOST_CLICKS, MOST_KEYS, MOST_PAGES = 120, 2_500, 15
MOST_KEYS_FROM_A_BEGINNING = 900
MOST_SECONDS = 15 * 60

VALUES = """
Ease = 12 cm
Chest = bust + ease
Band = 4 cm
Band rows = band * main.rows
Body rows = chest / 2 * main.rows
Neck = cross_back * 40 %
Neck rows = neck * main.rows
Shoulder rows = (body_rows - neck_rows) / 2
Back width = body_rows / main.rows
Front rows = shoulder_rows + neck_rows / 2 - band_rows
Armhole = armhole_depth + 3 cm
Armhole sts = armhole * main.stitches
Top sts = 2 * armhole_sts
Top width = top_sts / main.stitches
Length = back_waist_length + 18 cm
Body sts = (length - band) * main.stitches
Side sts = body_sts - armhole_sts
All sts = 2 * body_sts
Body length = body_sts / main.stitches + band
Drop = (back_width - cross_back) / 2
Cuff = 6 cm
Cuff rows = cuff * main.rows
Sleeve rows = (arm_length_to_underarm - drop) * main.rows - cuff_rows
Wrist sts = upper_arm * 75 % * main.stitches
Wrist = wrist_sts / main.stitches
Sleeve length = (sleeve_rows + cuff_rows) / main.rows
Neck drop = 8 cm
Drop sts = neck_drop * main.stitches
Edge sts = body_sts - drop_sts
Hem rows = body_rows + 2 * front_rows
Front width = front_rows / main.rows
Belt length = 150 cm
Belt rows = belt_length * main.rows
Belt sts = 5 cm * main.stitches
"""
PICK_UPS = """
Hem band = 3 per 2 along hem_rows
Front band = 1 along edge_sts
Neck band = 3 per 2 along neck_rows
"""
YARN = """
Back = body_sts * body_rows
Right front = body_sts * front_rows
Left front = body_sts * front_rows
Sleeves = (wrist_sts + top_sts) * sleeve_rows
Cuffs = 2 * wrist_sts * cuff_rows
Hem = hem_band * band_rows
Front edges = 2 * front_band * band_rows
Collar = neck_band * band_rows
Belt = belt_sts * belt_rows
"""
PIECES = {
    "Back": ("rectangle", {"width": "back_width", "height": "body_length"}),
    "Front": ("rectangle", {"width": "front_width", "height": "body_length"}),
    "Sleeve": ("trapezium", {"bottom": "wrist", "top": "top_width", "height": "sleeve_length"}),
}
SECTIONS = {
    "Right sleeve": (
        "Ch {wrist_sts}. Work {cuff_rows} rows for the cuff.",
        "Increase evenly to {top_sts} sts over {sleeve_rows} rows.",
    ),
    "Body": (
        "Ch {side_sts} at each end. ({all_sts} sts)",
        "Work {shoulder_rows} rows over all sts.",
        "Leave the back. Work {front_rows} rows for the front.",
        "Work {neck_rows} rows over the {body_sts} sts of the back.",
        "Work the left front as the right, then join both.",
    ),
    "Left sleeve": ("Work as the right sleeve, in reverse.",),
    "Bands": (
        "Work {hem_band} tr along the hem, {band_rows} rows.",
        "Work the belt: ch {belt_sts}, work {belt_rows} rows.",
    ),
}


@pytest.fixture
def hands(window):
    make_studio()
    page = window(person=make_person(role="designer"))
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(reverse("desk"))
    return Hands(page)


def piece(hands, label, shape, sides, *, is_last):
    page = hands.page
    hands.click(page.locator("[name=label]"))
    hands.type(label)
    if shape != "rectangle":
        hands.choose(page.locator("[name=shape]"), value=shape)
    for side, line in sides.items():
        hands.choose(page.locator(f"select[name^=side_{side}]"), value=line)
    hands.click(page.get_by_role("button", name="Save" if is_last else "Save and add another", exact=True))
    page.wait_for_url("**/sheet/**" if is_last else "**/add/pieces/")


def write_the_text(hands):
    page = hands.page
    hands.click(page.get_by_role("navigation", name="Parts of the pattern").get_by_role("link").nth(1))
    hands.click(page.get_by_role("link", name=re.compile("as one text", re.IGNORECASE)))
    hands.click(page.locator("#text-lines textarea").first)
    for place, (title, steps) in enumerate(SECTIONS.items()):
        hands.type(title if place == 0 else f"# {title}")
        for step in steps:
            hands.press("Enter")
            hands.type(step)
        hands.press("Enter")
    hands.save()
    expect(page.locator("main")).to_contain_text("The instructions are saved.")


def check_the_cardigan(*, least_steps):
    pattern = Pattern.objects.select_related("sheet").get()
    document = pattern_document(pattern)
    counts = {part: len(document[part]) for part in ("sizes", "pick_ups", "pieces", "yarn_sections")}
    assert counts == {"sizes": 5, "pick_ups": 3, "pieces": 3, "yarn_sections": 9}
    assert len(document["values"]) >= 34
    assert sum(len(section["steps"]) for section in document["sections"]) >= least_steps
    found = graded(pattern)
    assert [one.says for one in found.findings if one.weight == "stop"] == []
    assert all(number > 0 for value in found.values.values() for number in value.worked)
    assert all(need["colours"]["A"]["weight"][0] > 100 for need in found.as_json()["yarn"])


def tell(hands, count_proof, how):
    for what in ("clicks", "keys", "pages", "seconds"):
        count_proof(f"a cardigan {how}, {what}", round(getattr(hands, what)))


def test_a_cardigan_from_an_empty_sheet_takes_fewer_keys_than_a_spreadsheet(hands, count_proof):
    page = hands.page
    hands.click(page.get_by_role("link", name="New pattern"))
    hands.click(page.locator("[name=title]"))
    hands.type("Larkmoss Sideways Cardigan")
    hands.choose(page.locator("[name=craft]"), value="crochet")
    hands.choose(page.locator("[name=table]"), value="yarn-woman")
    hands.fill(page.locator("[name=sizes]"), "S to 2X")
    hands.click(page.get_by_role("button", name="Begin"))
    page.wait_for_url("**/sheet/")
    hands.lines("fabrics", "Main = 14 x 8 over 10 cm, 9 g")
    hands.lines("values", VALUES)
    hands.lines("pick_ups", PICK_UPS)
    hands.lines("yarn_sections", YARN)
    hands.save()
    expect(page.locator("tr#yarn_sections-belt")).to_contain_text("A, main")
    hands.click(page.get_by_role("link", name="Add a piece"))
    for place, (label, (shape, sides)) in enumerate(PIECES.items(), 1):
        piece(hands, label, shape, sides, is_last=place == len(PIECES))
    write_the_text(hands)
    tell(hands, count_proof, "from an empty sheet")
    check_the_cardigan(least_steps=10)
    assert hands.clicks <= MOST_CLICKS
    assert hands.keys <= MOST_KEYS
    assert hands.pages <= MOST_PAGES


def type_over(hands, row, text):
    hands.click(hands.page.locator(f"tr#{row} > .sheet-source"))
    hands.type(text)
    hands.press("Enter")


def test_the_same_from_a_beginning_takes_a_third_of_the_keys(hands, count_proof):
    page = hands.page
    hands.click(page.get_by_role("link", name="New pattern"))
    hands.click(page.get_by_role("link", name="Sideways cardigan, cuff to cuff"))
    hands.click(page.locator("[name=title]"))
    hands.type("Larkmoss Sideways Cardigan")
    hands.choose(page.locator("[name=fabric]"), value="double")
    for field, text in {"stitches": "14", "rows": "8", "weight": "9", "sizes": "S to 2X"}.items():
        hands.click(page.locator(f"[name={field}]"))
        hands.type(text)
    hands.click(page.get_by_role("checkbox", name=re.compile("Belt")))
    hands.click(page.get_by_role("button", name="Begin"))
    page.wait_for_url("**/sheet/")
    type_over(hands, "yarn_sections-sleeves-and-cuffs", "(sleeve_top_stitches + cuff_stitches) * sleeve_rows")
    type_over(hands, "yarn_sections-bands", "hem_band * band_rows")
    hands.lines("pick_ups", "Front edge = 1 along front_edge_stitches")
    hands.lines(
        "yarn_sections",
        """
Cuffs = 2 * cuff_stitches * cuff_rows
Front bands = 2 * front_band_stitches * band_rows
Neck curves = 2 * neck_curve_stitches * band_rows
Back neck = back_neck * band_rows
""",
    )
    hands.save()
    expect(page.locator("tr#yarn_sections-back-neck")).to_contain_text("A, main")
    tell(hands, count_proof, "from a beginning")
    check_the_cardigan(least_steps=10)
    assert hands.clicks <= MOST_CLICKS
    assert hands.keys <= MOST_KEYS_FROM_A_BEGINNING
    assert hands.pages <= MOST_PAGES
    assert hands.seconds <= MOST_SECONDS
