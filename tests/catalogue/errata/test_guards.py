"""Guards, duplicates, history, due dates and the table of errata."""

import csv
import io
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from catalogue.errata.errata import (
    ErratumRefused,
    Mistake,
    add_sighting,
    judge_erratum,
    report_erratum,
)
from catalogue.errata.guards import add_guard, guards_of, judge_draft, judge_version
from catalogue.errata.merging import merge_errata
from catalogue.errata.tables import errata_file, errata_rows
from catalogue.models import Erratum, Guard
from catalogue.publishing.obstacles import PublishingStop
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_version
from tests.catalogue.errata.test_errata import mended_armhole, wrong_armhole
from tests.present import present
from tests.sent_forms import send_form

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture
def corrected():
    """A mistake of 1.0 that 1.1 corrects, with a guard."""
    pattern = make_pattern()
    make_version(pattern, kind="test", number="0.1")
    edit(pattern, wrong_armhole)
    first = make_version(pattern, number="1.0")
    erratum = report_erratum(
        Mistake(pattern=pattern, place="values.sleeve_rows", says="8 rows too many", found_in=first)
    )
    judge_erratum(erratum=erratum, is_mistake=True)
    edit(pattern, mended_armhole)
    return pattern, erratum, first


def sleeve_rows(version):
    from catalogue.versions.records import read_record

    return read_record(version.record)["results"]["values"]["sleeve_rows"]["worked"]


def guard_of(erratum, first):
    """The longest sleeve of the version with the mistake is eight rows too long."""
    most = max(sleeve_rows(first)) - 8
    return add_guard(
        erratum=erratum, holds=f"sleeve_rows <= {most:g} rows", says="The sleeve is too long.", by=None
    )


def test_a_guard_stops_a_publication_that_brings_the_mistake_back(corrected):
    pattern, erratum, first = corrected
    guard = guard_of(erratum, first)
    second = make_version(pattern, number="1.1", corrects=[erratum])
    assert [one.holds for one in judge_version(second, [guard])] == [True]
    (before,) = judge_version(first, [guard])
    assert before.fails_in
    edit(pattern, wrong_armhole)
    (now,) = judge_draft(pattern, [guard])
    assert now.fails_in == before.fails_in
    with pytest.raises(
        PublishingStop,
        match=r"would come back in .*: The sleeve is too long \(wanted: “Sleeve, rows” at most",
    ):
        make_version(pattern, number="1.2")
    with pytest.raises(PublishingStop, match="would come back"):
        make_version(pattern, kind="test", number="1.2")
    edit(pattern, mended_armhole)
    assert make_version(pattern, number="1.2").number == "1.2"


def test_what_stops_a_publication_leads_to_the_erratum_whose_guard_it_is(corrected, designer_client):
    pattern, erratum, first = corrected
    guard_of(erratum, first)
    make_version(pattern, number="1.1", corrects=[erratum])
    edit(pattern, wrong_armhole)
    page = designer_client.get(reverse("publish", args=[pattern.slug, "release"])).content.decode()
    link = (
        f'<a href="{reverse("erratum", args=[pattern.slug, erratum.pk])}">Open the erratum that guards it</a>'
    )
    assert page.count(link) == 1


def test_a_guard_that_can_no_longer_be_worked_out_stops_too(corrected):
    pattern, erratum, first = corrected
    guard_of(erratum, first)
    Guard.objects.update(holds="sleeve_lines <= 3 rows")
    with pytest.raises(
        PublishingStop, match=r"can't be worked out: The sleeve .* no line called “sleeve_lines”"
    ):
        make_version(pattern, number="1.1", corrects=[erratum])


def test_a_guard_of_what_is_no_mistake_stops_nothing(corrected):
    pattern, erratum, first = corrected
    guard_of(erratum, first)
    judge_erratum(erratum=erratum, is_mistake=False)
    edit(pattern, wrong_armhole)
    assert make_version(pattern, number="1.1").number == "1.1"


@pytest.mark.parametrize("holds", ["nothing > 3", "1 cm <", "7", "sleeve_rows", "x" * 499])
def test_a_guard_that_can_not_be_worked_out_is_refused(corrected, designer_client, holds):
    pattern, erratum, _ = corrected
    with pytest.raises(ErratumRefused, match="can't be worked out"):
        add_guard(erratum=erratum, holds=holds, says="No.", by=None)
    url = reverse("guard_add", args=[pattern.slug, erratum.pk])
    answer = designer_client.post(url, {"holds": holds, "guard_says": "No."})
    assert answer.status_code == 400
    assert holds in answer.context["guard_form"]["holds"].value()
    assert not Guard.objects.exists()


def test_a_guard_that_holds_in_the_wrong_version_is_told_to_be_idle(corrected, designer_client):
    pattern, erratum, _ = corrected
    url = reverse("guard_add", args=[pattern.slug, erratum.pk])
    sent = {"holds": "sleeve_rows > 0 rows", "guard_says": "No sleeve."}
    page = designer_client.post(url, sent, follow=True).content.decode()
    assert "would not have found this mistake" in page
    guard = Guard.objects.get()
    designer_client.post(reverse("guard_delete", args=[pattern.slug, guard.pk]))
    assert not Guard.objects.exists()
    assert (
        "No longer guarded"
        in designer_client.get(reverse("erratum", args=[pattern.slug, erratum.pk])).content.decode()
    )


def test_the_same_words_at_the_same_place_are_told_together(corrected):
    pattern, erratum, first = corrected
    again = report_erratum(
        Mistake(
            pattern=pattern,
            place="values.sleeve_rows",
            says="8  Rows too many",
            found_by="Ida",
            found_in=first,
        )
    )
    assert again == erratum
    assert [one.found_by for one in erratum.sightings.all()] == ["Ida"]
    other = report_erratum(Mistake(pattern=pattern, place="values.sleeve_rows", says="Odd", found_in=first))
    assert other != erratum


def test_errata_are_merged_by_hand_and_keep_who_met_them(corrected):
    pattern, erratum, first = corrected
    other = report_erratum(
        Mistake(
            pattern=pattern, place="values.chest", sizes=["M"], found_by="Ida", says="Wide", found_in=first
        )
    )
    merge_errata(erratum=other, into=erratum, by=None)
    assert (other.state, other.merged_into) == ("merged", erratum)
    assert [(one.found_by, one.note) for one in erratum.sightings.all()] == [("Ida", "Wide")]
    assert "Merged into" in present(other.events.last()).says
    with pytest.raises(ErratumRefused, match="is a duplicate itself"):
        merge_errata(erratum=erratum, into=other, by=None)
    with pytest.raises(ErratumRefused, match="another one of the same pattern"):
        merge_errata(erratum=erratum, into=erratum, by=None)


def test_a_merged_erratum_hands_on_its_sightings_guards_and_sizes(corrected):
    pattern, _, first = corrected
    into, other = (
        report_erratum(
            Mistake(pattern=pattern, place="values.chest", sizes=sizes, found_by=by, says=by, found_in=first)
        )
        for sizes, by in ((["M"], "Ida"), (["L"], "Olive"))
    )
    add_sighting(erratum=other, version=first, found_by="Wren", note="In L as well.")
    guard = add_guard(erratum=other, holds="chest > 0 cm", says="No chest.", by=None)
    judge_erratum(erratum=into, is_mistake=True)
    merge_errata(erratum=other, into=into, by=None)
    into.refresh_from_db()
    assert {one.found_by for one in into.sightings.all()} == {"Wren", "Olive"}
    assert list(into.guards.all()) == [guard]
    assert into.sizes == ["M", "L"]
    assert not other.sightings.exists()
    assert guard in guards_of(pattern)


def test_the_table_puts_overdue_ones_first_and_is_filtered(corrected, designer_client):
    pattern, erratum, first = corrected
    late = report_erratum(Mistake(pattern=pattern, place="photo", gravity="cosmetic", found_in=first))
    grave = report_erratum(Mistake(pattern=pattern, place="materials", gravity="blocking", found_in=first))
    Erratum.objects.filter(pk=late.pk).update(due_on=timezone.localdate() - timedelta(days=1))
    assert [row.erratum for row in errata_rows(pattern, [first])] == [late, grave, erratum]
    url = reverse("errata", args=[pattern.slug])

    def listed(**query):
        return [row.erratum for row in designer_client.get(url, query).context["rows"]]

    assert listed(state="overdue") == [late]
    assert listed(state="confirmed") == [erratum]
    assert listed(gravity="blocking") == [grave]
    assert listed(where="value") == [erratum]
    assert listed(version="1.0") == [late, grave, erratum]
    assert listed(version="0.1") == [late, grave]
    assert listed(state="\x00odd") == []


def test_the_table_is_exported_without_a_formula(corrected, designer_client):
    pattern, erratum, first = corrected
    Erratum.objects.filter(pk=erratum.pk).update(says="=1+1")
    answer = designer_client.get(reverse("errata_file", args=[pattern.slug]))
    assert "attachment" in answer["Content-Disposition"]
    (head, row) = csv.reader(io.StringIO(answer.content.decode()))
    assert row[head.index("It says")] == "'=1+1"
    assert [row[head.index(number)] for number in ("0.1", "1.0")] == ["not in it", "in it"]
    assert errata_file(pattern, [first]).count("\r\n") == 2


def test_the_table_is_judged_without_leaving_it(corrected, client):
    pattern, _, first = corrected
    editor = make_person(role="editor")
    client.force_login(editor)
    other = report_erratum(
        Mistake(pattern=pattern, place="gauge", found_in=first, should_say="14 stitches", gravity="cosmetic")
    )
    table = reverse("errata", args=[pattern.slug])
    confirm = reverse("erratum_confirm", args=[pattern.slug, other.pk]) + "?from=table"
    assert f'href="{confirm}"' in client.get(table).content.decode()
    form = client.get(confirm).content.decode()
    assert "Makers see this as soon as you confirm" in form
    assert "It is not a mistake" in form
    assert "14 stitches" in form
    other.refresh_from_db()
    assert other.state == "reported"  # looking at it shows nothing to makers
    answer = send_form(client, confirm, page=form, gravity="wrong", should_say="15 stitches")
    assert answer.url == table
    other.refresh_from_db()
    assert (other.state, other.gravity, other.should_say) == ("confirmed", "wrong", "15 stitches")
    correct = reverse("erratum", args=[pattern.slug, other.pk])
    assert f'href="{correct}#next"' in client.get(table).content.decode()
    assert 'id="next"' in client.get(correct).content.decode()
    assert [one.says for one in other.events.all()][1:] == [
        "Changed: severity, from cosmetic to wrong; what it should say.",
        "Confirmed.",
    ]  # fmt: skip
    assert present(other.events.last()).by == editor


def test_what_an_erratum_says_is_changed_and_remembered(corrected, designer_client):
    pattern, erratum, _ = corrected
    url = reverse("erratum_change", args=[pattern.slug, erratum.pk])
    form = designer_client.get(url).context["form"]
    sent = {name: form[name].value() or "" for name in form.fields}
    was = f"{erratum.due_on.day} {erratum.due_on:%B %Y}"
    designer_client.post(url, {**sent, "gravity": "cosmetic", "due_on": "2026-12-24"})
    erratum.refresh_from_db()
    assert (erratum.gravity, str(erratum.due_on)) == ("cosmetic", "2026-12-24")
    assert erratum.events.last().says == (
        f"Changed: severity, from wrong to cosmetic; day to settle it by, from {was} to 24 December 2026."
    )
    assert designer_client.post(url, {**sent, "due_on": "soon"}).status_code == 400
