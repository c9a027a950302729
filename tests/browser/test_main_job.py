"""The whole job once, through the pages: from a pattern file to a corrected second version."""

import json
import re

import pytest
from django.core import mail
from playwright.sync_api import expect

from catalogue.models import Person, Version
from catalogue.versions.freezing import record_pattern
from catalogue.versions.frozen_grades import frozen_graded
from catalogue.versions.records import read_record
from grading.core.grade.grade import grade_at_gauge
from tests.browser.looks import problems
from tests.builders import make_person, make_studio, sample
from tests.catalogue.pictures import jpeg
from tests.present import present

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = "/desk/brackenmere-pullover"
# What the testers' swatches gave over 10 cm; the pattern's own gauge is 14 stitches and 10 rows.
GAUGES = {"Bram": {"stitches": 14.3, "rows": 10.2}, "Ysolde": {"stitches": 13.8, "rows": 9.9}}
PLANTED_ROWS = 34  # the sheet has 28 rows from the hem to the armhole
BODY_LENGTH = "Length from shoulder"


def send(page, button=None):
    """Press the named button, or the first that sends an answer."""
    if button is None:
        page.locator("main [type=submit]").first.click()
    else:
        page.get_by_role("button", name=button, exact=True).click()


def answer(page):
    """Send an answer from the phone and wait for the page that says it has arrived."""
    send(page)
    expect(page.locator("#kept")).to_contain_text("Sent.")


def check_looks(page, *, least_height=24):
    assert problems(page, least_height=least_height) == [], page.url


def load_sample(page, tmp_path):
    file = tmp_path / "brackenmere.json"
    file.write_text(json.dumps(sample("brackenmere_pullover")))
    page.goto("/desk/")
    page.locator("input[name=file]").set_input_files(file)
    send(page, "Load it")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Brackenmere Pullover")


def change_ease(page):
    page.goto(f"{DESK}/sheet/ease/")
    page.get_by_label("Value in the base size").fill("14 cm")
    expect(page.locator("#preview")).to_contain_text("numbers in 9 sizes")
    check_looks(page)
    send(page)
    # 37 in and 14 cm are 107.98 cm; half of it at 14 sts to 10 cm is 75.6, to the nearest even 76 (derived)
    row = page.locator("tr", has=page.get_by_role("link", name="Back and front, stitches"))
    expect(row.locator("td.number").nth(2)).to_have_text("76")
    check_looks(page)


def open_step(page, *, holding):
    page.goto(f"{DESK}/words/")
    page.locator("li", has_text=holding).get_by_role("link", name=re.compile("^Change")).first.click()


def plant_wrong_rows(page):
    open_step(page, holding="Work straight in hdc until")
    text = page.locator("textarea[name=text]")
    text.fill(text.input_value().replace("{side_rows} rows", f"{PLANTED_ROWS} rows"))
    check_looks(page)
    send(page)
    expect(
        page.get_by_text(f"Work straight in hdc until there are {PLANTED_ROWS} rows").first
    ).to_be_visible()


def publish(page, *, kind, number, note="", corrects=False):
    page.goto(f"{DESK}/versions/publish/{kind}/")
    if corrects:
        page.locator("input[name=corrects]").check()
    page.get_by_role("textbox", name="Number").fill(number)
    page.get_by_label("What changed, in your own words").fill(note)
    send(page, f"Publish Brackenmere Pullover as a {'test version' if kind == 'test' else 'release'}")
    page.goto(f"{DESK}/versions/{number}/")
    expect(page.get_by_role("heading", level=1)).to_contain_text(number)
    check_looks(page)


def open_call(page):
    page.goto(f"{DESK}/calls/new/")
    page.get_by_label("Invitation").fill("We look for makers of a drop-shoulder pullover.")
    for not_needed in ("Upper arm girth", "Cross back", "Arm length to underarm"):
        page.get_by_label(not_needed).uncheck()
    check_looks(page)
    send(page, "Save the call")
    page.wait_for_url(re.compile(r"/calls/\d+/$"))
    send(page, "Open the call")
    expect(page.get_by_role("button", name="Close applications")).to_be_visible()
    check_looks(page)
    return page.url


def apply(page, *, name, bust):
    page.goto("/calls/")
    page.get_by_role("link", name=re.compile("Brackenmere")).first.click()
    check_looks(page)
    page.get_by_role("link", name=re.compile("Apply")).first.click()
    page.get_by_label("Your name").fill(name)
    page.get_by_label("E-mail address").fill(f"{name.lower()}@larkmoss.example")
    page.get_by_label("Bust girth").fill(bust)
    page.get_by_label("First choice").select_option("M")
    page.get_by_label("How much have you made before?").select_option("A few garments")
    page.get_by_label("I agree").check()
    check_looks(page)
    send(page, "Apply for a place")
    expect(page).to_have_url(re.compile("/applied/$"))
    check_looks(page)


def give_place(page, call, *, name):
    page.goto(call)
    page.get_by_label(f"Size for {name}").select_option("M")
    page.locator("li.entry", has_text=name).get_by_role("button", name="Offer this place").click()
    page.get_by_text("What the others wrote").click()
    expect(page.locator("ul.compared > li", has_text=name)).to_contain_text("offered a place")
    check_looks(page)


def last_mail_to(name):
    return [one for one in mail.outbox if one.to == [f"{name.lower()}@larkmoss.example"]][-1].body


def accept(page, *, name):
    page.goto(present(re.search(r"https?://[^/\s]+(/offers/\S+)", last_mail_to(name))).group(1))
    check_looks(page)
    send(page, "Take the place")
    expect(page).to_have_url(re.compile("/account/"))
    code = present(re.search(r"^\s*([A-Z0-9]{3,}-?[A-Z0-9]{3,})\s*$", last_mail_to(name), re.MULTILINE))[1]
    page.get_by_label(re.compile("code", re.IGNORECASE)).first.fill(code)
    send(page)
    expect(page.get_by_text("Brackenmere Pullover").first).to_be_visible()
    check_looks(page, least_height=44)


def garment_of(name):
    """The garment of a tester who worked the text as printed, wrong rows included; lengths in mm."""
    version = Version.objects.get()
    record = read_record(version.record)
    worked = {one: value.worked for one, value in frozen_graded(record).values.items()}
    worked = {**worked, "side_rows": worked["side_rows"] * 0 + PLANTED_ROWS}
    over = {"stitches": 100.0, "rows": 100.0}
    gauge = {"main": {way: GAUGES[name][way] / over[way] for way in over}}
    return grade_at_gauge(record_pattern(record), gauge, worked)


def send_results(page, *, name, place):
    garment = garment_of(name)
    page.goto(f"/making/{place}/gauge/main/")
    page.locator("input[name=stitches]").fill(str(GAUGES[name]["stitches"]))
    page.locator("input[name=rows]").fill(str(GAUGES[name]["rows"]))
    check_looks(page, least_height=44)
    answer(page)
    for measurement in ("chest", "body_length", "armhole_depth", "sleeve_length"):
        page.goto(f"/making/{place}/measure/{measurement}/")
        page.locator("input[name=length]").fill(f"{garment[measurement][2] / 10:.1f}")
        answer(page)
    page.goto(f"/making/{place}/yarn/")
    page.get_by_label(re.compile("grams used")).first.fill("560")
    answer(page)


def send_photo_and_remark(page, *, place, tmp_path):
    picture = tmp_path / "front.jpg"
    picture.write_bytes(jpeg())
    page.goto(f"/making/{place}/photo/")
    page.locator("input[name=photo]").set_input_files(picture)
    page.get_by_label("What it shows").fill("The finished front, lying flat.")
    answer(page)
    page.goto(f"/making/{place}/remark/")
    page.locator("select[name=place]").select_option("sections[0].steps[2]")
    page.get_by_label("Your remark").fill("34 rows make it much longer than the measurements say.")
    check_looks(page, least_height=44)
    answer(page)
    page.goto(f"/making/{place}/")
    expect(page.get_by_text(re.compile(r"\d+ of \d+ answers sent")).first).to_be_visible()
    check_looks(page, least_height=44)


def download_own_copy(page, *, place):
    page.goto(f"/making/{place}/")
    with page.expect_download() as download:
        page.get_by_role("link", name=re.compile("test copy")).first.click()
    assert download.value.path().read_bytes().startswith(b"%PDF-")


def see_results(page, call):
    """Only the length of the body is beyond its tolerance, for both testers: the plot shows lozenges."""
    page.goto(f"{call}results/")
    whole = page.locator("svg.plot[aria-labelledby='plot-title plot-desc']")
    expect(whole.locator(".plot-dot-doubtful")).to_have_count(2)
    expect(whole.locator(".plot-dot")).to_have_count(6)
    beyond = page.locator("table tbody tr", has_text="beyond the tolerance")
    expect(beyond).to_have_count(2)
    for place in range(2):
        expect(beyond.nth(place)).to_contain_text(BODY_LENGTH)
    expect(page.get_by_text(f"{BODY_LENGTH} is 6.0 cm too long").first).to_be_visible()
    check_looks(page)


def file_erratum(page, call):
    page.goto(f"{call}results/")
    page.locator("li.entry", has_text="34 rows make it").get_by_role("link").first.click()
    page.get_by_label("What it says").fill("Work straight in hdc until there are 34 rows")
    page.get_by_label("What it should say").fill("Work straight in hdc until there are 30 rows")
    check_looks(page)
    send(page)


def confirm_and_correct(page):
    """The editor confirms the mistake, mends the step, and makes the body as long as was meant."""
    page.goto(f"{DESK}/versions/")
    page.locator("main").get_by_role(
        "link", name=re.compile("sections|Back, step 3|step", re.IGNORECASE)
    ).first.click()
    page.get_by_role("link", name=re.compile("Confirm|is a mistake", re.IGNORECASE)).first.click()
    page.get_by_role("button", name="show it to makers").click()
    open_step(page, holding="Work straight in hdc until")
    text = page.locator("textarea[name=text]")
    text.fill(text.input_value().replace(f"{PLANTED_ROWS} rows", "{side_rows} rows"))
    send(page)
    page.goto(f"{DESK}/sheet/side_rows/")
    formula = page.locator("textarea[name=formula], input[name=formula]").first
    formula.fill(formula.input_value().replace("33 cm", "36 cm"))
    send(page)


@pytest.mark.filterwarnings("ignore::ResourceWarning")
def test_the_main_job_from_a_pattern_file_to_a_corrected_version(window, tmp_path, settings):
    settings.STUDIO_URL = "https://larkmoss.example"
    make_studio()
    designer = window(person=make_person(role="designer"))
    editor = window(person=make_person(role="editor"), theme="dark")

    load_sample(designer, tmp_path)
    change_ease(designer)
    plant_wrong_rows(designer)
    publish(designer, kind="test", number="0.1")
    call = open_call(designer)

    testers = {}
    for name, bust in (("Bram", "94"), ("Ysolde", "93.5")):
        testers[name] = window(width=320)
        apply(testers[name], name=name, bust=bust)
        give_place(designer, call, name=name)
        accept(testers[name], name=name)
    for name, page in testers.items():
        place = Person.objects.get(email=f"{name.lower()}@larkmoss.example").placements.get().pk
        download_own_copy(page, place=place)
        send_results(page, name=name, place=place)
        send_photo_and_remark(page, place=place, tmp_path=tmp_path)

    see_results(designer, call)
    publish(designer, kind="release", number="1.0", note="First release.")
    file_erratum(editor, call)
    confirm_and_correct(editor)
    publish(
        designer, kind="release", number="1.1", note="The body is as long as the sheet says.", corrects=True
    )

    visitor = window()
    visitor.goto("/patterns/brackenmere-pullover/1.0/corrections/")
    main = visitor.locator("main")
    expect(main).to_contain_text("1.1")
    expect(main).to_contain_text("Work straight in hdc until there are 30 rows")
    # 36 cm less 6 cm of rib are 30 rows at 10 to 10 cm, where 27 were rounded to 28: 2 cm more (derived)
    expect(main).to_contain_text(BODY_LENGTH)
    expect(main.locator("li", has_text="M:").first).to_have_text(re.compile(r"52 cm.+becomes\s+54 cm"))
    check_looks(visitor)
    assert visitor.context.cookies() == []
