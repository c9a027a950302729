"""An editor of one pattern alone, and signatures that are asked for."""

import re
from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Letter, PatternAccess, Person, SignatureRequest
from catalogue.studio.pattern_editors import editors_for
from catalogue.studio.roles import PATTERN_EDITOR, is_on_desk
from catalogue.technical_edit.signature_requests import ask_signature
from catalogue.technical_edit.technical_edits import beside_sign_off, open_queries, sign_off, state_record
from catalogue.versions.draft_glances import draft_glance
from tests.builders import PASSWORD, make_person, make_studio
from tests.catalogue.desk_work import load
from tests.present import present

pytestmark = pytest.mark.django_db
IDA = "ida@larkmoss.example"


@pytest.fixture
def pattern():
    make_studio()
    load(title="Heathermoor Vest")
    return load()


@pytest.fixture
def designer(client):
    person = make_person(role="designer", name="Runa")
    client.force_login(person)
    return person


def let_in(pattern, email=IDA, name="Ida"):
    person = make_person(role=PATTERN_EDITOR, email=email, name=name)
    PatternAccess.objects.create(pattern=pattern, person=person)
    return person


def signed_in(person):
    theirs = Client()
    theirs.force_login(person)
    return theirs


def test_somebody_new_comes_in_by_an_invitation_and_sees_the_one_pattern(client, designer, pattern):
    page = reverse("pattern_editors", args=[pattern.slug])
    client.post(page, {"email": IDA})
    assert "Marlstone Vest" in mail.outbox[-1].body
    assert IDA in client.get(page).content.decode()
    asking = client.get(reverse("signature_ask", args=[pattern.slug])).content.decode()
    assert "No editor has joined yet." in asking
    assert f"{IDA}, invited on" in asking
    assert IDA not in client.get(reverse("signature_ask", args=["heathermoor-vest"])).content.decode()
    address = present(re.search(r"/invitation/\S+/", str(mail.outbox[-1].body)))[0]
    theirs = Client()
    assert theirs.post(address, {"person_name": "Ida", "password": PASSWORD})["Location"] == reverse("desk")
    desk = theirs.get(reverse("desk")).content.decode()
    assert "Marlstone Vest" in desk
    assert "Heathermoor Vest" not in desk
    assert reverse("beginnings") not in desk
    assert theirs.get(reverse("sheet", args=[pattern.slug])).status_code == 200
    assert theirs.get(reverse("sheet", args=["heathermoor-vest"])).status_code == 404
    shown = client.get(page).content.decode()
    assert "Ida" in shown
    asking = client.get(reverse("signature_ask", args=[pattern.slug])).content.decode()
    assert "not joined yet" not in asking
    assert ">Ida</option>" in asking
    assert "Ida" in client.get(reverse("people")).content.decode()
    assert PatternAccess.objects.get().given_by == designer


def test_what_is_taken_away_is_closed_at_once_and_no_signature_is_waited_for(client, designer, pattern):
    ida = let_in(pattern)
    ask_signature(pattern=pattern, editor=ida, note="", by=designer)
    theirs = signed_in(ida)
    assert theirs.get(reverse("desk_pattern", args=[pattern.slug])).status_code == 200
    access = PatternAccess.objects.get()
    client.post(reverse("pattern_editor_take", args=[pattern.slug, access.pk]))
    assert theirs.get(reverse("desk_pattern", args=[pattern.slug])).status_code in (302, 404)
    assert not SignatureRequest.objects.exists()
    assert not is_on_desk(Person.objects.get(pk=ida.pk))
    assert editors_for(pattern) == []


@pytest.mark.parametrize("whole", [True, False])
def test_who_sees_the_pattern_already_is_not_let_in_again(client, designer, pattern, whole):
    make_person(role="editor", email=IDA) if whole else let_in(pattern)
    answer = client.post(reverse("pattern_editors", args=[pattern.slug]), {"email": IDA.upper()})
    assert answer.status_code == 422
    assert "already" in answer.content.decode()
    assert mail.outbox == []


def test_a_signature_that_is_asked_for_stands_first_and_goes_once_it_is_given(client, designer, pattern):
    ida, other = let_in(pattern), make_person(role="editor", name="Moss")
    sent = {"editor": ida.pk, "note": "The edge is new."}
    client.post(reverse("signature_ask", args=[pattern.slug]), sent)
    again = client.post(reverse("signature_ask", args=[pattern.slug]), sent)
    assert "already" in again.content.decode()
    assert [one.to for one in mail.outbox] == [[IDA]]
    assert "The edge is new." in mail.outbox[0].body
    first = signed_in(ida).get(reverse("desk")).context["for_you"][0]
    assert first.says.startswith("Runa asks you to check and sign it, since ")
    assert first.says.endswith(": “The edge is new.”")
    assert signed_in(other).get(reverse("desk")).context["for_you"] == []
    assert "Signature asked of Ida" in client.get(reverse("desk")).content.decode()
    page = signed_in(ida).get(reverse("technical_edit", args=[pattern.slug])).content.decode()
    assert "Runa asks you" in page
    seen = draft_glance(pattern, state_record(pattern), beside_sign_off(open_queries(pattern)))
    sign_off(pattern=pattern, seen=seen, note="", by=ida)
    assert signed_in(ida).get(reverse("desk")).context["for_you"] == []


def test_the_day_by_which_a_signature_is_wanted_stands_in_the_mail_and_on_the_editors_pages(
    client, designer, pattern
):
    ida, today = let_in(pattern), timezone.localdate()
    ask = reverse("signature_ask", args=[pattern.slug])
    sent = {"editor": ida.pk, "note": "", "due_on": (today - timedelta(days=1)).isoformat()}
    late = client.post(ask, sent)
    assert "This day is over" in late.content.decode()
    assert not SignatureRequest.objects.exists()
    day = today + timedelta(days=9)
    client.post(ask, {**sent, "due_on": day.isoformat()})
    words = f"by {day.day} {day:%B %Y}"
    assert f"asks you to check and sign Marlstone Vest {words}." in mail.outbox[0].body
    first = signed_in(ida).get(reverse("desk")).context["for_you"][0]
    assert first.says.endswith(f", wanted {words}")
    for reader in (signed_in(ida), client):
        page = reader.get(reverse("technical_edit", args=[pattern.slug])).content.decode()
        assert words in " ".join(page.split())
    SignatureRequest.objects.update(due_on=today - timedelta(days=1))
    assert ", late: wanted by " in client.get(reverse("desk")).content.decode()


@pytest.mark.parametrize("act", ["leaves", "signs", "is withdrawn"])
def test_a_letter_that_asks_for_nothing_any_more_is_not_sent(client, designer, pattern, settings, act):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}  # letters wait
    ida = make_person(role="editor", email=IDA)
    ask_signature(pattern=pattern, editor=ida, note="", by=designer)
    assert [letter.to for letter in Letter.objects.all()] == [IDA]
    if act == "leaves":
        client.post(reverse("person_withdraw", args=[ida.pk]))
    elif act == "signs":
        seen = draft_glance(pattern, state_record(pattern), beside_sign_off(open_queries(pattern)))
        sign_off(pattern=pattern, seen=seen, note="", by=ida)
    else:
        client.post(reverse("signature_withdraw", args=[pattern.slug, SignatureRequest.objects.get().pk]))
    assert not SignatureRequest.objects.exists()
    assert not Letter.objects.exists()


@pytest.mark.parametrize("name", ["pattern_editors", "signature_ask"])
def test_what_no_e_mail_tells_is_not_done(client, designer, pattern, monkeypatch, name):
    ida = let_in(pattern)
    other = load(title="Sedge Vest")
    monkeypatch.setattr("catalogue.studio.mailing.compose_mail", lambda *_, **__: 1 / 0)
    answer = client.post(reverse(name, args=[other.slug if name == "pattern_editors" else pattern.slug]),
                         {"email": IDA, "editor": ida.pk, "note": "The edge is new."})  # fmt: skip
    assert answer.status_code == 422
    assert "could not be made, so nobody was" in answer.content.decode()
    assert PatternAccess.objects.count() == 1
    assert not SignatureRequest.objects.exists()


def test_a_signature_that_is_no_longer_wanted_is_withdrawn(client, designer, pattern):
    ida = let_in(pattern)
    ask_signature(pattern=pattern, editor=ida, note="", by=designer)
    overview = signed_in(ida).get(reverse("desk_pattern", args=[pattern.slug])).content.decode()
    assert "Runa asks you to check and sign it, since " in overview
    assert "Check and sign</a>" in overview
    desk = signed_in(ida).get(reverse("desk")).content.decode()
    assert "Check and sign<span" in desk.partition("desk-lines")[2]
    asked = SignatureRequest.objects.get()
    client.post(reverse("signature_withdraw", args=[pattern.slug, asked.pk]))
    assert signed_in(ida).get(reverse("desk")).context["for_you"] == []
    assert "Nobody is asked" in client.get(reverse("technical_edit", args=[pattern.slug])).content.decode()
