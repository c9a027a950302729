"""Versions and errata on the desk, and their files."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from catalogue.errata.errata import Mistake, erratum_glance, judge_erratum, report_erratum
from catalogue.models import Edition, Erratum, Pattern, Version
from catalogue.versions.glances import written_glance
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_version, value_of
from tests.present import present
from tests.sent_forms import send_form

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def address(name, pattern, **parts):
    return reverse(name, kwargs={"slug": pattern.slug, **parts})


def test_a_pattern_without_versions_says_what_to_do(designer_client):
    page = designer_client.get(address("versions", make_pattern())).content.decode()
    assert "Nothing is published yet" in page
    assert "Publish a test version" in page


def test_what_stops_publishing_stands_above_the_form_with_a_number_suggested(designer_client):
    page = designer_client.get(address("publish", make_pattern(), kind="test")).content.decode()
    assert "There is no photo" in page
    assert 'value="0.1"' in page


def test_publishing_leads_to_the_version(designer_client):
    pattern = make_pattern()
    form = address("publish", pattern, kind="release")
    answer = send_form(designer_client, form, number="1.0", note="First.", editions=[])
    assert answer["Location"] == address("version", pattern, number="1.0")
    page = designer_client.get(answer["Location"]).content.decode()
    version = Version.objects.get()
    assert version.sha256 in page
    assert "First." in page
    assert present(version.by).email.startswith("designer")
    listed = designer_client.get(address("versions", pattern)).content.decode()
    edition = version.editions.get()
    assert reverse("edition_file", args=[edition.pk]) in listed
    assert "<details>" not in listed
    Edition.objects.create(
        version=version, code="x", state="made", choices={**edition.choices, "print": "large"}
    )
    listed = designer_client.get(address("versions", pattern)).content.decode()
    assert "<summary>2 PDFs</summary>" in listed
    assert listed.count(reverse("edition_file", args=[edition.pk])) == 1


@pytest.mark.parametrize("number", ["1", "x" * 10, "0.1", "1.0\x00"])
def test_a_number_that_cannot_be_given_is_refused_with_what_was_typed(designer_client, number):
    pattern = make_pattern()
    make_version(pattern, kind="test", number="0.1")
    data = {"number": number, "note": "My own words"}
    answer = send_form(designer_client, address("publish", pattern, kind="test"), **data)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "My own words" in page
    assert "invalid-feedback" in page
    assert pattern.versions.count() == 1


def test_what_stops_publishing_is_shown_with_what_was_typed(designer_client):
    pattern = make_pattern()
    edit(pattern, lambda document: document.update(sections=[]))
    page = address("publish", pattern, kind="release")
    answer = send_form(designer_client, page, number="1.0", note="My own words")
    page = answer.content.decode()
    assert "Nothing was published" in page
    assert "There are no instructions" in page
    assert "My own words" in page
    assert not Version.objects.exists()


def test_a_kind_that_there_is_not_answers_404(designer_client):
    assert designer_client.get(address("publish", make_pattern(), kind="draft")).status_code == 404


def test_an_editor_publishes_only_when_allowed(client):
    pattern = make_pattern()
    client.force_login(make_person(role="editor"))
    assert client.get(address("publish", pattern, kind="test")).status_code == 404
    assert "Publish a test version" not in client.get(address("versions", pattern)).content.decode()
    client.force_login(make_person(role="editor", may_publish=True))
    assert client.get(address("publish", pattern, kind="test")).status_code == 200


def test_a_version_tells_what_changed_since_the_one_before(designer_client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")

    def widen(document):
        value_of(document, "ease")["steps"]["base"] = "16 cm"
        document["sections"][0]["steps"][0] += " Work loosely."

    edit(pattern, widen)
    make_version(pattern, number="1.1")
    page = designer_client.get(address("version", pattern, number="1.1")).content.decode()
    assert "<ins>" in page
    assert "Work loosely" in page
    assert designer_client.get(address("version", pattern, number="1.1"), {"since": "9.9"}).status_code == 200
    asked = {"since": "1.0", "size": "M"}
    of_size = designer_client.get(address("version", pattern, number="1.1"), asked)
    sizes = {size for row in of_size.context["number_rows"] for size, _, _ in row.cells}
    assert sizes == {"M"}
    assert "Steps that changed in size M" in of_size.content.decode()
    assert all(step.sizes and "M" in step.sizes for step in of_size.context["steps"])
    assert of_size.context["steps"]
    assert "[new: </span>. Work loosely<span" in of_size.content.decode()
    told = [*of_size.context["number_rows"][0].cells[0], *(step.new for step in of_size.context["steps"])]
    assert not any(" in)" in text or " in / " in text for text in told)  # in the unit of the reader alone
    assert designer_client.get(address("version", pattern, number="7.7")).status_code == 404


def test_the_file_of_a_release_is_for_the_studio_unless_the_pattern_is_free(client):
    pattern = make_pattern()
    release = reverse("edition_file", args=[make_version(pattern, number="1.0").editions.get().pk])
    test = reverse("edition_file", args=[make_version(pattern, kind="test", number="1.1").editions.get().pk])
    for person in (None, make_person(role="tester")):
        if person:
            client.force_login(person)
        assert client.get(release).status_code == 404
        assert client.get(test).status_code == 404
    client.logout()
    Pattern.objects.update(is_free=True)
    free = client.get(release)
    assert (free.status_code, free["Content-Type"]) == (200, "application/pdf")
    assert free["Content-Disposition"] == 'attachment; filename="brackenmere-pullover-1.0-US-cm.pdf"' or (
        "brackenmere-pullover-1.0" in free["Content-Disposition"]
    )
    assert free["X-Content-Type-Options"] == "nosniff"
    free.close()
    assert client.get(test).status_code == 404
    client.force_login(make_person(role="editor"))
    mine = client.get(test)
    assert mine.status_code == 200
    mine.close()


def test_whether_visitors_may_download_is_set_on_the_page_of_versions(designer_client):
    pattern = make_pattern()
    versions, downloads = address("versions", pattern), address("pattern_downloads", pattern)
    label = "Visitors may download PDFs of released versions"
    assert label not in designer_client.get(versions).content.decode()  # there is none yet
    file = reverse("edition_file", args=[make_version(pattern, number="1.0").editions.get().pk])
    assert label in designer_client.get(versions).content.decode()
    visitor = Client()
    assert visitor.get(file).status_code == 404
    shown = designer_client.post(downloads, {"is_free": "on"}, follow=True)
    assert "Visitors may download the PDFs now." in shown.content.decode()
    assert re.search(r'name="is_free"\s+checked', shown.content.decode())
    visitor.get(file).close()
    assert visitor.get(reverse("your_size", args=[pattern.slug]), {"size": "?"}).status_code == 200
    designer_client.post(downloads, {})
    assert visitor.get(file).status_code == 404
    assert visitor.get(reverse("your_size", args=[pattern.slug])).status_code == 404
    assert designer_client.get(downloads).status_code == 405


def test_an_editor_who_may_not_publish_gives_nothing_away(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    client.force_login(make_person(role="editor"))
    assert client.post(address("pattern_downloads", pattern), {"is_free": "on"}).status_code == 404
    assert "is_free" not in client.get(address("versions", pattern)).content.decode()
    pattern.refresh_from_db()
    assert not pattern.is_free


def erratum_data(version, **changes):
    return {
        "found_in": version.pk,
        "place": "values.sleeve_rows",
        "sizes": ["M"],
        "says": "44 rows",
        "should_say": "36 rows",
        "why": "Eight too many.",
        "kind": "mistake",
        "gravity": "wrong",
        "found_by": "a tester",
        **changes,
    }


def test_an_erratum_goes_from_report_to_correction(designer_client):
    pattern = make_pattern()

    def plant(document):
        value_of(document, "sleeve_rows")["formula"] += " + 8 rows"

    def mend(document):
        value = value_of(document, "sleeve_rows")
        value["formula"] = value["formula"].removesuffix(" + 8 rows")

    edit(pattern, plant)
    version = make_version(pattern, number="1.0")
    answer = designer_client.post(address("erratum_new", pattern), erratum_data(version))
    erratum = Erratum.objects.get()
    place = {"pk": erratum.pk}
    assert answer["Location"] == address("erratum", pattern, **place)
    page = designer_client.get(answer["Location"]).content.decode()
    assert "Sleeve, rows" in page
    assert "1.0: in it" in page
    page, correct = address("erratum", pattern, **place), address("erratum_correct", pattern, **place)
    send_form(designer_client, address("erratum_confirm", pattern, **place))
    refused = designer_client.post(correct, {"version": version.pk})
    assert "a later version corrects it" in refused.content.decode()
    edit(pattern, mend)
    form = designer_client.get(address("publish", pattern, kind="release")).content.decode()
    assert "Sleeve, rows: 36 rows" in form
    page = address("publish", pattern, kind="release")
    send_form(designer_client, page, number="1.1", corrects=[erratum.pk])
    erratum.refresh_from_db()
    assert present(erratum.corrected_in).number == "1.1"
    listed = " ".join(designer_client.get(address("versions", pattern)).content.decode().split())
    assert "corrected in 1.1" in listed
    assert "not in it" in listed


@pytest.mark.parametrize(
    "wrong",
    [
        {"place": "values.nothing"},
        {"sizes": ["9X"]},
        {"gravity": "dire"},
        {"found_in": 0},
        {"says": "x" * 1001},
    ],
)
def test_an_erratum_that_cannot_be_is_refused_with_what_was_typed(designer_client, wrong):
    version = make_version()
    answer = designer_client.post(address("erratum_new", version.pattern), erratum_data(version, **wrong))
    assert answer.status_code == 400
    assert "Eight too many." in answer.content.decode()
    assert not Erratum.objects.exists()


def test_what_the_version_says_there_is_shown_and_what_was_typed_stays(designer_client):
    version = make_version()
    typed = erratum_data(version, says="", show="1", should_say="Typed before.")
    page = address("erratum_new", version.pattern)
    answer = designer_client.post(page, typed)
    form = answer.context["form"]
    assert answer.status_code == 200
    assert not form.is_bound
    assert answer.context["quoted"] == form["says"].value() != ""
    assert (form["place"].value(), form["sizes"].value()) == ("values.sleeve_rows", ["M"])
    assert (form["should_say"].value(), form["why"].value()) == ("Typed before.", "Eight too many.")
    assert not Erratum.objects.exists()
    part = answer.context["quoted"][:2]
    kept = designer_client.post(page, {**typed, "says": part}).context["form"]["says"].value()
    assert kept == part  # what was trimmed before stays
    other = designer_client.post(page, {**typed, "says": "of another place"}).context["form"]["says"].value()
    assert other == answer.context["quoted"]
    assert "Severity" in answer.content.decode()


def test_before_the_first_version_there_is_nothing_to_correct(designer_client):
    answer = designer_client.get(address("erratum_new", make_pattern()), follow=True)
    assert "publish one first" in answer.content.decode()


def test_what_was_corrected_is_not_judged_again(designer_client):
    pattern = make_pattern()
    version = make_version(pattern, number="1.0")
    erratum = report_erratum(Mistake(pattern=pattern, place="values.sleeve_rows", found_in=version))
    judge_erratum(erratum=erratum, is_mistake=True)
    Erratum.objects.update(state="corrected", corrected_in=version)
    erratum.refresh_from_db()
    data = {"seen": written_glance(erratum_glance(erratum))}
    answer = designer_client.post(address("erratum_dismiss", pattern, pk=erratum.pk), data, follow=True)
    assert "it stays corrected" in answer.content.decode()


def test_errata_of_another_pattern_answer_404(designer_client):
    version = make_version()
    erratum = report_erratum(Mistake(pattern=version.pattern, place="values.sleeve_rows", found_in=version))
    other = make_pattern("cinderfell_raglan")
    assert designer_client.get(address("erratum", other, pk=erratum.pk)).status_code == 404
    assert designer_client.post(address("erratum_confirm", other, pk=erratum.pk)).status_code == 404
    assert designer_client.get(address("erratum_dismiss", version.pattern, pk=erratum.pk)).status_code == 405


def test_the_list_asks_the_database_little(designer_client, django_assert_max_num_queries):
    pattern = make_pattern()
    for number in ("1.0", "1.1", "1.2"):
        version = make_version(pattern, number=number)
    for name in ("sleeve_rows", "chest"):
        report_erratum(Mistake(pattern=pattern, place=f"values.{name}", found_in=version))
    with django_assert_max_num_queries(21):  # what is worked out of frozen versions is stored once
        designer_client.get(address("versions", pattern))
    with django_assert_max_num_queries(15):
        designer_client.get(address("versions", pattern))
