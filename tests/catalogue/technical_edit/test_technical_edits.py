"""The technical edit: queries, answers, sign-off, what changed since, and what stops publishing."""

import pytest
from django.urls import reverse

from catalogue.models import EditQuery, TechnicalEdit
from catalogue.publishing.obstacles import in_the_way
from catalogue.technical_edit.technical_edits import (
    SignOffRefused,
    answer_query,
    ask,
    beside_sign_off,
    last_sign_off,
    sign_off,
    state_record,
)
from catalogue.versions.draft_glances import DraftMoved, draft_glance
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_version, value_of
from tests.present import present
from tests.sent_forms import send_form

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def seen(pattern):
    return draft_glance(pattern, state_record(pattern), beside_sign_off(pattern))


def signed(pattern, **more):
    return sign_off(pattern=pattern, seen=seen(pattern), note="", by=None, **more)


def warnings(pattern):
    return " ".join(one.says for one in in_the_way(pattern, "release") if one.weight == "warn")


def widen(document):
    value_of(document, "ease")["steps"]["base"] = "24 cm"


def test_what_stops_publishing_warns_while_nobody_has_signed():
    assert "No technical edit is signed off" in warnings(make_pattern())


def test_a_sign_off_holds_until_the_pattern_changes_and_then_lists_what_changed():
    pattern = make_pattern()
    signed(pattern)
    assert "technical edit" not in warnings(pattern)
    assert present(last_sign_off(pattern)).is_fresh
    edit(pattern, widen)
    stale = present(last_sign_off(pattern))
    assert not stale.is_fresh
    assert "chest" in {one.name for one in stale.changes.numbers}
    assert "was changed since the technical edit" in warnings(pattern)


def test_publishing_alone_makes_no_sign_off_stale():
    pattern = make_pattern()
    signed(pattern)
    make_version(pattern)
    assert present(last_sign_off(pattern)).is_fresh


def test_what_was_changed_while_it_was_read_is_not_signed():
    pattern = make_pattern()
    read = seen(pattern)
    edit(pattern, widen)
    with pytest.raises(DraftMoved) as moved:
        sign_off(pattern=pattern, seen=read, note="", by=None)
    assert "chest" in {one.name for one in moved.value.since.changes.numbers}
    assert not TechnicalEdit.objects.exists()


def test_a_query_without_an_answer_holds_up_the_signature_and_is_attached_with_it():
    pattern = make_pattern()
    query = ask(pattern=pattern, place="values.chest", asks="Why so wide?", by=None)
    assert "1 query of the technical edit" in warnings(pattern)
    with pytest.raises(SignOffRefused, match="no answer yet"):
        signed(pattern)
    answer_query(query=query, answer="It is meant to be.", by=None)
    done = signed(pattern)
    assert [one.answer for one in done.queries.all()] == ["It is meant to be."]
    answer_query(query=query, answer="Another answer", by=None)
    query.refresh_from_db()
    assert query.answer == "It is meant to be."


def test_the_round_on_its_pages(client):
    pattern = make_pattern()
    client.force_login(make_person(role="editor"))
    page = reverse("technical_edit", args=[pattern.slug])
    assert client.post(page, {"place": "values.chest", "asks": "Why so wide?"}).status_code == 302
    query = EditQuery.objects.get()
    answer = reverse("query_answer", args=[pattern.slug, query.pk])
    assert client.post(answer, {"answer": ""}).status_code == 200
    assert client.post(answer, {"answer": "It is meant to be."}).status_code == 302
    said = client.get(page).content.decode()
    assert "Why so wide?" in said
    assert "It is meant to be." in said
    sign = reverse("edit_sign_off", args=[pattern.slug])
    old = send_form(client, page, action=sign, seen="{}", note="Read twice.")
    assert "changed after you opened this page" in old.content.decode()
    assert "Read twice." in old.content.decode()
    assert send_form(client, page, action=sign, note="Read twice.").status_code == 302
    assert "Signed off as it stands" in client.get(page).content.decode()
    edit(pattern, widen)
    assert "What changed since the last sign-off" in client.get(page).content.decode()


def test_only_an_editor_signs(designer_client):
    pattern = make_pattern()
    page = designer_client.get(reverse("technical_edit", args=[pattern.slug])).content.decode()
    assert "Sign off the pattern" not in page
    sign = reverse("edit_sign_off", args=[pattern.slug])
    assert designer_client.post(sign, {"seen": seen(pattern)}).status_code == 404
