"""Publishing and signing while somebody else works on the same pattern: a record is wholly one draft."""

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.errata.errata import Mistake, change_erratum, judge_erratum, report_erratum
from catalogue.models import EditQuery, Erratum, Pattern, Photo, Studio, TechnicalEdit, Version
from catalogue.photos.photos import describe_photo
from catalogue.publishing.publishing import Publication, publish_version
from catalogue.technical_edit.technical_edits import answer_query, ask, state_of, state_record
from catalogue.technical_edit.work_lists import reading_progress
from catalogue.versions.records import canonical, read_record
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_photo, make_version, value_of
from tests.meddling import meddled_at_each_step
from tests.sent_forms import form_on, send_form

pytestmark = pytest.mark.usefixtures("quick_pdf")


def rewrite(document):
    """Something of everything: the title, the units, a number and words."""
    document["title"] = "Heronsford Pullover"
    document["home_units"] = "in" if document["home_units"] == "cm" else "cm"
    value_of(document, "ease")["steps"]["base"] = "16 cm"
    document["sections"][0]["steps"][0] += " Work loosely."


def rewritten():
    """That, committed by somebody else."""
    edit(Pattern.objects.get(), rewrite)


def state_now():
    """All that is frozen of the pattern as it stands."""
    return canonical(state_record(Pattern.objects.get()))


def state_frozen(version):
    return canonical(state_of(read_record(version.record)))


def publish_page(pattern, kind="test"):
    return reverse("publish", args=[pattern.slug, kind])


def put_back(document):
    """The pattern as it was, and nothing published."""
    for version in Version.objects.all():
        version.editions.all().delete()
        version.delete()
    edit(Pattern.objects.get(), lambda now: now.update(document))


def test_a_record_is_never_of_two_drafts_whenever_an_edit_is_committed(
    shared_database, client, full, count_proof
):
    """An edit commits before each question that publishing asks the database, where no lock holds it off."""
    pattern = make_pattern()
    client.force_login(make_person(role="designer"))
    document, old = pattern_document(pattern), state_now()
    outcomes = []

    def prepare():
        put_back(document)
        assert state_now() == old
        page = client.get(publish_page(pattern)).content.decode()
        return lambda: send_form(client, publish_page(pattern), page=page, number="0.1")

    for step, answer, outcome in meddled_at_each_step(prepare, rewritten, full=full):
        outcomes.append(outcome)
        version = Version.objects.first()
        if version is None:
            assert (answer.status_code, outcome) == (409, "committed"), step
        else:
            assert state_frozen(version) == old, step  # what the designer saw, to the letter
            assert answer.status_code == 302
    # Some edits come before the lock and some after it; those between are held off by it.
    assert {"committed", "locked out"} <= set(outcomes)
    count_proof("edits tried between two steps of publishing", len(outcomes))


def test_a_command_publishes_the_draft_as_it_stands_and_never_two(shared_database, full):
    """Whoever looks at no page gets a record of the old draft or of the new one."""
    pattern = make_pattern()
    document, old = pattern_document(pattern), state_now()
    rewritten()
    new, frozen = state_now(), set()

    def prepare():
        put_back(document)
        read_before = Pattern.objects.select_related("sheet").get()
        return lambda: publish_version(
            Publication(pattern=read_before, kind="test", number="0.1", note="", by=None)
        )

    for step, version, _ in meddled_at_each_step(prepare, rewritten, full=full):
        assert state_frozen(version) in (old, new), step
        frozen.add(state_frozen(version))
    assert frozen == {old, new}


@pytest.mark.django_db
def test_what_changed_since_the_page_was_opened_is_shown_old_and_new(client):
    pattern = make_pattern()
    designer = make_person(role="designer", name="Linnet Moor")
    client.force_login(designer)
    make_photo(pattern)
    page = client.get(publish_page(pattern)).content.decode()
    edit(pattern, rewrite)
    describe_photo(photo=Photo.objects.get(), alt="A heron on a line", caption="")
    answer = send_form(client, publish_page(pattern), page=page, number="0.1", note="My own words")
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "The pattern was changed after you opened this page" in said
    for old, new in (
        ("Brackenmere Pullover", "Heronsford Pullover"),
        ("A jumper on a line", "A heron on a line"),
    ):
        assert said.index(f"<del>{old}") < said.index(f"<ins>{new}")
    assert "Work loosely" in said
    assert 'value="0.1"' in said
    assert "My own words" in said
    assert not Version.objects.exists()
    # The page now shows what stands there: sent again, that is what is frozen.
    assert send_form(client, publish_page(pattern), page=said).status_code == 302
    assert state_frozen(Version.objects.get()) == state_now()


@pytest.mark.django_db
def test_an_edit_that_was_taken_back_is_no_change(client):
    pattern = make_pattern()
    client.force_login(make_person(role="designer"))
    page = client.get(publish_page(pattern)).content.decode()
    document = pattern_document(pattern)
    edit(pattern, rewrite)
    edit(pattern, lambda now: now.update(document))
    assert send_form(client, publish_page(pattern), page=page, number="0.1").status_code == 302


@pytest.mark.django_db
@pytest.mark.parametrize(
    "seen", ["", "{", "[1]", '{"revision":"x","document":[{"a":1}],"Photo":7}', "[" * 9_000]
)
def test_a_form_that_does_not_say_what_was_seen_publishes_nothing(client, seen):
    pattern = make_pattern()
    client.force_login(make_person(role="designer"))
    answer = send_form(client, publish_page(pattern), number="0.1", seen=seen)
    assert answer.status_code == 409
    assert not Version.objects.exists()


@pytest.mark.django_db
def test_a_public_address_that_changed_is_shown_before_it_is_printed_for_good(client, settings):
    pattern = make_pattern()
    client.force_login(make_person(role="designer"))
    page = client.get(publish_page(pattern)).content.decode()
    settings.STUDIO_URL = "https://heronsford.example"
    answer = send_form(client, publish_page(pattern), page=page, number="0.1")
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "<del>https://larkmoss.example</del>" in said
    assert "<ins>https://heronsford.example</ins>" in said
    assert not Version.objects.exists()


@pytest.mark.django_db
def test_the_studio_and_the_errata_are_frozen_as_they_were_seen(client):
    pattern = make_pattern()
    client.force_login(make_person(role="designer"))
    release = make_version(pattern, number="1.0")
    mistake = report_erratum(
        Mistake(
            pattern=pattern,
            place="values.sleeve_rows",
            says="44 rows",
            should_say="36 rows",
            found_in=release,
        )
    )
    judge_erratum(erratum=mistake, is_mistake=True)
    other = report_erratum(Mistake(pattern=pattern, place="values.chest", says="Wide", found_in=release))

    def widen(document):
        value_of(document, "sleeve_rows")["formula"] += " + 8 rows"

    edit(pattern, widen)
    address = publish_page(pattern, "release")
    page = client.get(address).content.decode()
    change_erratum(erratum=other, changes={"says": "Much too wide"}, by=None)
    change_erratum(erratum=mistake, changes={"should_say": "38 rows"}, by=None)
    Studio.objects.update(address="5 Weir Lane, Larkmoss")
    answer = send_form(client, address, page=page, number="1.1", corrects=[mistake.pk])
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "3 Weir Lane" in said
    assert "5 Weir Lane" in said
    assert "36 rows" in said
    assert "38 rows" in said
    assert "Much too wide</ins>" not in said, "an erratum that is not corrected by it is not frozen"
    assert pattern.versions.count() == 1
    assert send_form(client, address, page=said).status_code == 302
    assert Erratum.objects.get(pk=mistake.pk).state == "corrected"


@pytest.mark.parametrize("what", ["an edit", "another answer", "a new query"])
def test_an_editor_signs_what_they_read_whatever_is_committed(shared_database, client, full, what):
    pattern = make_pattern()
    editor = make_person(role="editor")
    client.force_login(editor)
    document, old = pattern_document(pattern), state_now()
    action = reverse("edit_sign_off", args=[pattern.slug])
    unread = str(reading_progress(pattern, editor).unread)
    changes = {
        "an edit": rewritten,
        "another answer": lambda: answer_query(query=EditQuery.objects.get(), answer="A mistake.", by=None),
        "a new query": lambda: ask(pattern=Pattern.objects.get(), place="photo", asks="Whose?", by=None),
    }

    def prepare():
        TechnicalEdit.objects.all().delete()
        EditQuery.objects.all().delete()
        query = ask(pattern=pattern, place="values.chest", asks="Why so wide?", by=None)
        answer_query(query=query, answer="It is meant to be.", by=None)
        put_back(document)
        page = client.get(action).content.decode()
        return lambda: send_form(client, action, action=action, page=page, unread=unread)

    for step, answer, outcome in meddled_at_each_step(prepare, changes[what], full=full):
        signed = TechnicalEdit.objects.first()
        if signed is None:
            assert (answer.status_code, outcome) == (409, "committed"), step
        else:
            assert signed.record == old, step
            assert [one.answer for one in signed.queries.all()] == ["It is meant to be."], step


@pytest.mark.django_db
def test_the_form_of_a_page_is_read_as_a_browser_reads_it():
    page = (
        '<form action="/a"><input type="hidden" name="seen" value="{&quot;x&quot;:1}"><textarea name="note">'
        '\nOne\nTwo</textarea><select name="paper"><option value="A4">A4</option><option value="Letter" '
        'selected>L</option></select><input type="checkbox" name="box" value="1" checked>'
        '<input type="checkbox" name="box" value="2"></form><form action="/b"></form>'
    )
    assert form_on(page, "/a") == {
        "seen": ['{"x":1}'],
        "note": ["One\nTwo"],
        "paper": ["Letter"],
        "box": ["1"],
    }
