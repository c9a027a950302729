"""Three jobs of a designer made by hand in a browser, timed by a model, beside the same in a spreadsheet.

What is counted at the spreadsheet stands in each test. Where it is quicker, the test says so.
"""

import json

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.patterns import graded
from catalogue.models import Pattern
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.browser.hands import Hands, Spreadsheet
from tests.builders import make_person, make_studio, sample
from tests.catalogue.desk_work import load
from tests.grading.core.older.test_reading import TEXT
from tests.present import present

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.only_keeps_rows("keys and clicks are counted; tests of its pages save the same"),
]

MOST_SECONDS = {"pasted": 10 * 60, "gauge": 60, "older": 15 * 60}
UNITS = {"length": "cm", "stitches": "sts", "rows": "rows"}

FABRICS = """
Main = 14 x 10 over 10 cm, swatch 20 x 14 weighs 12.6 g
Rib = 15 x 11 over 10 cm, swatch 12 x 20 weighs 10.4 g
"""
CHECKS = """
Chest near target = abs(chest - chest_target) <= 1 cm
Shoulders add up = 2 * shoulder_stitches + neck_stitches = back_stitches
Sleeve fits arm = upper_sleeve >= upper_arm + 4 cm
Sleeve narrows = sleeve_top_stitches > cuff_stitches
"""
YARN = """
Back and front = 2 * back_stitches * (side_rows + armhole_rows) - neck_half_stitches * neck_rows
Hem rib = 2 * rib_stitches * rib_rows
Sleeves = (sleeve_top_stitches + cuff_stitches) * sleeve_rows
Cuff rib = 2 * rib_stitches * cuff_rib_rows
"""
# The same as rows of a spreadsheet; rows are numbered as they would lie there.
SHEET_ROWS = {
    "Chest near target": "=ABS(B10-B8)<=1",
    "Shoulders add up": "=2*B14+B12=B9",
    "Sleeve fits arm": "=B36>=B3+4",
    "Sleeve narrows": "=B26>B28",
    "Back and front, g": "=(2*B9*(B22+B20)-B25*B24)*$B$46",
    "Hem rib, g": "=2*B16*B17*$B$47",
    "Sleeves, g": "=(B26+B28)*B34*$B$46",
    "Cuff rib, g": "=2*B16*B29*$B$47",
    "All, with 10 %": "=SUM(B42:B45)*1.1",
    "Metres": "=B48*2.2",
    "Balls": "=ROUNDUP(B48/50;0)",
}


@pytest.fixture
def page(window):
    make_studio()
    page = window(person=make_person(role="designer"))
    page.on("dialog", lambda dialog: dialog.accept())
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    return page


def tell(count_proof, job, here, there):
    for what in ("clicks", "keys", "pages", "seconds"):
        count_proof(f"{job}, {what} here", round(getattr(here, what)))
    for what in ("clicks", "keys", "seconds"):
        count_proof(f"{job}, {what} at a spreadsheet", round(getattr(there, what)))
    assert here.seconds <= MOST_SECONDS[job]


def pasted_lines():
    """The pullover as it stands in a spreadsheet: label, unit, an empty column, a number for each size."""
    pattern = read_pattern(sample("brackenmere_pullover"))
    made = grade(pattern)
    bodies = [
        [one.name.replace("_", " "), "", "", *(f"{present(number) / 10:g}" for number in one.entries)]
        for one in pattern.body
    ]
    values = [
        [
            value.name.replace("_", " "),
            UNITS[value.kind],
            "",
            *(f"{number / (10 if value.kind == 'length' else 1):.4f}".rstrip("0").rstrip(".")
              for number in made.values[value.name].worked),
        ]
        for value in pattern.values
    ]  # fmt: skip
    return pattern, made, *("\n".join("\t".join(row) for row in rows) for rows in (bodies, values))


def test_a_sheet_is_pasted_from_a_spreadsheet_to_a_complete_one(page, count_proof):
    """At the spreadsheet the numbers are there: counted is what makes its sheet as complete.

    That is two swatches, four checks, the yarn of four parts, its sum, metres and balls, each filled right.
    It takes as long; the spreadsheet takes fewer keys, for what is there need not be brought.
    """
    pattern, made, bodies, values = pasted_lines()
    hands = Hands(page)
    page.goto(reverse("desk"))
    hands.click(page.get_by_role("link", name="New pattern"))
    hands.click(page.locator("[name=title]"))
    hands.type("Larkmoss Pasted Pullover")
    hands.choose(page.locator("[name=craft]"), value="crochet")
    hands.click(page.locator("[name=sizes]"))
    hands.press("Control+a")
    hands.bring("\t".join(pattern.sizes))
    hands.click(page.get_by_role("button", name="Begin"))
    page.wait_for_url("**/sheet/")
    for part, block in (("body", bodies), ("values", values)):
        hands.click(page.locator(f"tbody[data-part={part}] tr.sheet-last > th"))
        hands.bring(block)
    hands.lines("fabrics", FABRICS)
    hands.save()
    hands.lines("checks", CHECKS)
    hands.lines("yarn_sections", YARN)
    rib = page.locator("tbody[data-part=yarn_sections] tr").filter(has_text="rib")
    for place in range(2):
        hands.click(rib.nth(place).locator("> td").first)
        hands.type("A, rib")
        hands.press("Enter")
    hands.save()
    stored = Pattern.objects.select_related("sheet").get()
    found = graded(stored)
    assert [one.says for one in found.findings if one.weight == "stop"] == []
    assert len(found.values) == len(pattern.values)
    for name, value in made.values.items():
        assert found.values[name].worked == pytest.approx(value.worked, abs=0.01), name
    assert found.checks == made.checks
    fabrics = [one["fabric"] for one in pattern_document(stored)["yarn_sections"]]
    assert fabrics == ["main", "rib", "main", "rib"]
    assert all(grams > 300 for grams in found.yarn[0].colours["A"].weight_g)
    sheet = Spreadsheet()
    sheet.clicked()
    sheet.cells("20", "14", "12.6", "12", "20", "10.4", "=D46/(B46*C46)", "=D47/(B47*C47)")
    for label, formula in SHEET_ROWS.items():
        sheet.row(label, formula)
    tell(count_proof, "pasted", hands, sheet)
    assert hands.seconds < 1.2 * sheet.seconds
    assert sheet.keys < hands.keys


def test_the_gauge_of_a_second_swatch_is_typed_and_what_moves_is_seen(page, count_proof):
    """At the spreadsheet a copy of the old numbers is kept before, and what differs is worked out beside it.

    Without that the spreadsheet takes one cell, and shows the new numbers alone.
    """
    pattern = load("brackenmere_pullover")
    page.goto(reverse("sheet", args=[pattern.slug]))
    hands = Hands(page)
    hands.click(page.locator("tr#fabrics-main > .sheet-source"))
    hands.press("F2")
    hands.press("Home")
    hands.press("Delete", times=2)
    hands.type("14.5")
    hands.press("Enter")
    expect(page.locator("#changes")).to_contain_text("numbers in 9 sizes")
    expect(page.locator("#changes")).to_contain_text("→")
    quick = Spreadsheet()
    quick.clicked()
    quick.typed("14.5")
    quick.pressed("Enter")
    sheet = Spreadsheet()
    sheet.pressed("Control+a")
    sheet.pressed("Control+c")
    sheet.clicked()  # another sheet
    sheet.pressed("Control+Shift+v")
    sheet.pressed("Enter")
    sheet.clicked()  # a third one, for what differs
    sheet.typed("=Sheet1.B2-Sheet2.B2")
    sheet.pressed("Enter")
    sheet.clicked(2)
    sheet.pressed("Shift")
    sheet.pressed("Control+d")
    sheet.pressed("Control+r")
    sheet.clicked()  # back
    sheet.clicked()
    sheet.typed("14.5")
    sheet.pressed("Enter")
    sheet.clicked()  # and to what differs
    tell(count_proof, "gauge", hands, sheet)
    count_proof("gauge, seconds at a spreadsheet that does not show what moved", round(quick.seconds))
    assert quick.seconds < hands.seconds < sheet.seconds


def test_the_text_of_an_older_pattern_is_brought_in(page, count_proof):
    """At the spreadsheet each list is typed from the text; words and numbers stay two documents."""
    page.goto(reverse("desk"))
    hands = Hands(page)
    hands.click(page.get_by_role("link", name="Paste its text"))
    hands.choose(page.locator("[name=craft]"), value="knitting")
    hands.click(page.locator("[name=text]"))
    hands.bring(TEXT)
    hands.click(page.get_by_role("button", name="Read it"))
    lists = page.locator(".older-list")
    labels = lists.locator("[name$=-label]").evaluate_all("fields => fields.map(one => one.value)")
    hands.acts += len(labels)  # each list is looked at once
    hands.click(page.get_by_role("button", name="Create the pattern"))
    page.wait_for_url("**/words/**")
    pattern = Pattern.objects.select_related("sheet").get()
    document = pattern_document(pattern)
    values = [value for value in document["values"] if "list" in value]
    assert len(values) >= 5
    assert "{back_cast_on_stitches}" in json.dumps(document["sections"])
    stops = [one.says for one in graded(pattern).findings if one.weight == "stop"]
    assert len(stops) == 1  # the text itself has one number too few
    assert "“bind off 5 (6, 7) sts” has 3 numbers for 4 sizes" in stops[0]
    sheet = Spreadsheet()
    sheet.clicked()
    for value in values:
        sheet.cells(str(value.get("label", value["name"])), *(str(one) for one in value["list"]))
        sheet.pressed("Enter")
    tell(count_proof, "older", hands, sheet)
    assert hands.seconds < sheet.seconds
