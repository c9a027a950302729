"""An erratum's life through the pages: reported by a tester, confirmed, corrected, told, guarded."""

import pytest
from django.core import mail
from django.urls import reverse

from catalogue.models import Erratum, Holder, Version
from testing.results.results import add_remark
from tests.browser.looks import problems
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_version
from tests.catalogue.conftest import quick_pdf  # noqa: F401 used by name
from tests.catalogue.errata.test_errata import mended_armhole, wrong_armhole
from tests.present import present
from tests.testing.builders import make_call, make_place

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("quick_pdf"),
]


@pytest.fixture
def remark(settings):
    """1.0 is out with a sleeve eight rows too long; its tester says so. Two people hold 1.0."""
    settings.STUDIO_URL = "https://larkmoss.example"
    pattern = make_pattern()
    edit(pattern, wrong_armhole)
    version = make_version(pattern, number="1.0")
    for name in ("ida", "olive"):
        Holder.objects.create(pattern=pattern, version=version, email=f"{name}@larkmoss.example")
    call = make_call(pattern=pattern, version=False)
    type(call).objects.filter(pk=call.pk).update(version=version)
    call.refresh_from_db()
    place = make_place(call, size="M")
    return add_remark(placement=place, place="values.sleeve_rows", text="Eight rows too many?")


def at(page, name, *args):
    page.goto(reverse(name, args=args))


def test_an_erratum_from_report_to_guard(window, remark):
    pattern, call = remark.result.version.pattern, remark.result.placement.call
    page = window(person=make_person(role="designer"))
    at(page, "remark_erratum", pattern.slug, call.pk, remark.pk)
    page.locator("select[name=place]").select_option("values.sleeve_rows")
    page.locator("[name=says]").fill("too many rows")
    page.locator("[name=should_say]").fill("8 rows fewer")
    page.locator("main form button[type=submit], main form input[type=submit]").last.click()
    erratum = Erratum.objects.get()
    assert (erratum.source, present(erratum.found_in).number) == ("remark", "1.0")

    at(page, "errata", pattern.slug)
    assert problems(page) == []
    page.keyboard.press("ArrowDown")
    page.keyboard.press("c")
    page.get_by_role("button", name="show it to makers").click()
    page.get_by_text("The erratum is confirmed.").wait_for()

    at(page, "erratum", pattern.slug, erratum.pk)
    longest = max(_rows(erratum.found_in)) - 8
    page.get_by_label("What must be true").fill(f"sleeve_rows <= {longest:g} rows")
    page.get_by_label("What is wrong when it is not true").fill("The sleeve is too long.")
    page.get_by_role("button", name="Guard it").click()
    page.get_by_text("In the draft it fails in").wait_for()

    edit(pattern, mended_armhole)
    make_version(pattern, number="1.1", corrects=[erratum])
    Holder.objects.create(pattern=pattern, version=Version.objects.get(minor=1), email="new@larkmoss.example")
    at(page, "corrections", pattern.slug, "1.0")
    page.get_by_text("8 rows fewer").wait_for()
    assert problems(page) == []

    at(page, "holders")
    page.get_by_role("link", name=f"{pattern.title} 1.1").click()
    page.get_by_text("To holders of 1.0 (2)").wait_for()
    assert problems(page) == []
    page.get_by_role("button", name="Send to 2 holders").click()
    page.get_by_text("2 of 2 e-mails are done").wait_for()
    told = [letter.to[0] for letter in mail.outbox if letter.subject.startswith("Corrections to")]
    assert sorted(told) == ["ida@larkmoss.example", "olive@larkmoss.example"]

    edit(pattern, wrong_armhole)
    at(page, "publish", pattern.slug, "release")
    page.get_by_text("The sleeve is too long (wanted: “Sleeve, rows” at most").wait_for()
    page.locator("[name=number]").fill("1.2")
    page.get_by_role("button", name="as a release").click()
    page.get_by_text("Nothing was published").first.wait_for()
    assert not Version.objects.filter(minor=2).exists()


def _rows(version):
    from catalogue.versions.records import read_record

    return read_record(version.record)["results"]["values"]["sleeve_rows"]["worked"]
