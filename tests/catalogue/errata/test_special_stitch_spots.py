"""Errata in special stitches: named, quoted, found in the versions that print them, told as corrected."""

import pytest
from django.urls import reverse

from catalogue.errata.errata import Mistake, erratum_spot, judge_erratum, report_erratum, standing_by_version
from catalogue.errata.quoting import says_there, why_not_quoted
from catalogue.models import Erratum
from catalogue.publishing.obstacles import check_before_publishing
from catalogue.versions.spots import compare_spot, missing_part, spot_words, spots_of
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_record, make_version
from tests.catalogue.special_stitches.builders import TYPED, make_stitch, take_over

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]
PLACE = "special_stitches.puff_stitch.method"
WRONG, RIGHT = "3 times", "4 times"


def make_puffed():
    """A pattern with a puff stitch and a picot that says nothing wrong."""
    pattern = make_pattern()
    take_over(pattern, make_stitch())
    take_over(pattern, make_stitch(label="Picot", short="pc", method="Ch 3, sl st in first ch.", rows=[]))
    return pattern


def with_method(document, method, label="Puff stitch"):
    puff = next(one for one in document["special_stitches"] if one["name"] == "puff_stitch")
    puff.update(method=method, label=label)


def test_a_special_stitch_is_a_place_with_its_name_abbreviation_and_method(client):
    pattern = make_puffed()
    record = make_record(pattern)
    assert dict(spots_of(record))["Special stitches"] == [
        (PLACE, "Puff stitch, special stitch"),
        ("special_stitches.picot.method", "Picot, special stitch"),
    ]
    assert says_there(PLACE, record) == f"Puff stitch (ps): {TYPED['method']}"
    assert why_not_quoted(PLACE, [], "puff stitch (PS)", record) is None
    assert why_not_quoted(PLACE, [], "Close with 1 dc", record) is None  # as the UK edition prints it
    assert why_not_quoted(PLACE, [], "5 times", record) == (
        "Version 0.1 does not say this in Puff stitch, special stitch. Copy the wrong words exactly, and "
        "leave out what is right."
    )
    assert missing_part("special_stitches.gone.method", [], record) == "gone, special stitch"
    assert "Special stitches" not in dict(spots_of(make_record(make_pattern("puffinbay_child"))))


def test_wrong_words_are_found_in_the_versions_that_print_them(client):
    pattern = make_puffed()
    first = make_version(pattern)
    edit(pattern, lambda document: with_method(document, f"Hold the yarn. {TYPED['method']}", "Puff"))
    make_version(pattern, number="1.1")
    found = report_erratum(
        Mistake(pattern=pattern, place=PLACE, found_in=first, says=WRONG, should_say=RIGHT, by=None)
    )
    Erratum.objects.filter(pk=found.pk).update(state="confirmed")
    edit(pattern, lambda document: with_method(document, TYPED["method"].replace(WRONG, RIGHT)))
    draft = make_record(pattern)
    assert compare_spot(found, make_record(pattern), draft) == "in it"  # the same words are the same mistake
    third = make_version(pattern, number="1.2", corrects=[found])
    found.refresh_from_db()
    assert (found.state, found.corrected_in) == ("corrected", third)
    assert [(one.number, standing) for one, standing in standing_by_version(found)] == [
        ("1.0", "in it"), ("1.1", "in it"), ("1.2", "not in it"),
    ]  # fmt: skip
    page = client.get(reverse("corrections", args=[pattern.slug, "1.0"])).content.decode()
    assert "Puff stitch, special stitch" in page
    assert RIGHT in page


def test_a_stitch_that_was_taken_out_is_in_no_later_version():
    pattern = make_puffed()
    record = make_record(pattern)
    erratum = Erratum(place=PLACE, says=WRONG)
    edit(pattern, lambda document: document["special_stitches"].pop(0))
    assert compare_spot(erratum, record, make_record(pattern)) == "not in it"


def test_an_erratum_of_a_method_is_typed_on_the_form_and_leads_to_the_page_that_mends_it(client):
    pattern = make_puffed()
    version = make_version(pattern)
    client.force_login(make_person(role="designer"))
    new = reverse("erratum_new", args=[pattern.slug])
    shown = client.get(new, {"version": version.number, "place": PLACE})
    assert TYPED["method"].splitlines()[1] in shown.content.decode()
    sent = {"found_in": version.pk, "place": PLACE, "says": WRONG, "should_say": RIGHT,
            "kind": "mistake", "gravity": "blocking"}  # fmt: skip
    assert client.post(new, sent).status_code == 302
    found = Erratum.objects.get()
    assert erratum_spot(found, make_record(pattern)) == (PLACE, spot_words(PLACE, make_record(pattern)))
    judge_erratum(erratum=found, is_mistake=True)
    obstacles = check_before_publishing(pattern, "release", make_record(pattern))
    told = {one.says: one.page for one in obstacles}
    says = "The confirmed erratum at Puff stitch, special stitch is not corrected yet: correct it first."
    assert told[says] == reverse("pattern_stitches", args=[pattern.slug])
