"""What is one line is one line, whoever sends it; a mail that can't be made hides nothing that was done."""

import logging
import pkgutil
from importlib import import_module
from typing import Any

import pytest
from django import forms
from django.core import mail
from django.core.exceptions import ValidationError
from django.urls import reverse

import catalogue
import grading
import testing
from catalogue.drafts.patterns import load_pattern
from catalogue.models import Invitation, Pattern, Studio
from grading.core.formula.errors import PatternFileError
from grading.entries.single_lines import LineField, in_one_line
from testing.models import Application
from tests.builders import make_person, make_studio, sample
from tests.sent_forms import send_form
from tests.testing.builders import application_form, make_call

# Everything after which a text goes on in another line (Unicode Standard Annex 14), and a control character.
BREAKS = ("\n", "\r\n", "\x0b", "\x0c", "\x1c", "\x85", "\u2028", "\u2029", "\x07")
LINES_OF_A_FILE = ("title", "sizes", "label of a value", "title of a section", "abbreviation")


def forms_of_the_program():
    """Every form class of every room."""
    for room in (grading, catalogue, testing):
        for module in pkgutil.walk_packages(room.__path__, f"{room.__name__}."):
            if "forms" in module.name:
                import_module(module.name)
    found: set[Any] = set()
    left: list[Any] = [forms.Form, forms.ModelForm]
    while left:
        for form in left.pop().__subclasses__():
            left.append(form)
            if form.__module__.partition(".")[0] in ("grading", "catalogue", "testing"):
                found.add(form)
    return sorted(found, key=lambda form: (form.__module__, form.__name__))


def line_fields(form):
    """The fields of a form that a browser shows as one line of text."""
    for name, field in form.base_fields.items():
        if isinstance(field, forms.CharField) and type(field.widget) is forms.TextInput:
            yield name, field


def test_there_are_forms_with_fields_of_one_line():
    """Otherwise the test below would try nothing."""
    assert len([name for form in forms_of_the_program() for name, _ in line_fields(form)]) > 30


@pytest.mark.parametrize("form", forms_of_the_program(), ids=lambda form: form.__name__)
def test_every_field_of_one_line_refuses_breaks(form):
    for name, field in line_fields(form):
        assert isinstance(field, LineField | forms.RegexField), f"{form.__name__}.{name}"
        for character in BREAKS:
            with pytest.raises(ValidationError) as refused:
                field.run_validators(f"a{character}b")
            if isinstance(field, LineField):
                assert "in one line" in " ".join(refused.value.messages)


@pytest.mark.parametrize("character", BREAKS)
def test_a_break_becomes_a_space_where_a_line_is_needed(character):
    assert (
        in_one_line(f"{character}Fern{character}{character}hollow Vest\u00a02{character}")
        == "Fern hollow Vest\u00a02"
    )


def broken(what, character):
    document, text = sample("brackenmere_pullover"), f"a{character}b"
    if what == "title":
        document["title"] = text
    elif what == "sizes":
        document["sizes"][0] = text
    elif what == "label of a value":
        document["values"][0]["label"] = text
    elif what == "title of a section":
        document["sections"][0]["title"] = text
    else:
        document["abbreviations"] = {**document.get("abbreviations", {}), "zz": text}
    return document


@pytest.mark.django_db
@pytest.mark.parametrize("what", LINES_OF_A_FILE)
@pytest.mark.parametrize("character", ["\n", "\x85", "\u2028", "\u2029"])
def test_a_pattern_file_with_a_break_in_a_line_is_refused_with_its_place(what, character):
    with pytest.raises(PatternFileError, match="This is one line") as refused:
        load_pattern(document=broken(what, character), by=None)
    assert refused.value.path.startswith("$.")
    assert not Pattern.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("character", ["\n", "\x85", "\u2028", "\u2029"])
def test_an_application_to_a_pattern_whose_stored_title_has_a_break_is_answered_with_a_letter(
    client, character
):
    make_studio(name=f"Lark{character}moss")
    call = make_call()
    Pattern.objects.update(title=f"Fernhollow{character}Vest")
    answer = send_form(client, reverse("apply", args=[call.slug]), **application_form())
    assert answer.status_code == 302
    assert Application.objects.count() == 1
    (letter,) = mail.outbox
    assert letter.subject == "Your application: Fernhollow Vest"
    assert "Here you see what you sent" in letter.body
    assert letter.message()["From"] == "Lark moss <hello@larkmoss.example>"


@pytest.mark.django_db
def test_a_mail_that_cannot_be_made_neither_undoes_nor_hides_an_application(client, monkeypatch, caplog):
    make_studio()
    call = make_call()

    def fail(*_, **__):
        raise KeyError("wren@larkmoss.example")

    monkeypatch.setattr("catalogue.studio.mailing.compose_mail", fail)
    with caplog.at_level(logging.ERROR, "catalogue.studio.mailing"):
        answer = send_form(client, reverse("apply", args=[call.slug]), **application_form())
    assert answer.status_code == 302
    assert Application.objects.count() == 1
    assert caplog.messages == ["An e-mail (application_received) could not be made: KeyError."]


@pytest.mark.django_db
def test_an_invitation_that_cannot_be_made_is_told_and_invites_nobody(client, monkeypatch):
    make_studio()
    client.force_login(make_person(role="designer"))
    monkeypatch.setattr("catalogue.studio.mailing.compose_mail", lambda *_, **__: 1 / 0)
    sent = {"email": "ida@larkmoss.example", "role": "editor"}
    answer = client.post(reverse("people_invite"), sent)
    assert answer.status_code == 422
    assert "could not be made, so nobody is invited" in answer.content.decode()
    assert not Invitation.objects.exists()


@pytest.mark.django_db
def test_a_name_of_the_studio_with_a_break_is_refused_with_what_was_typed(client):
    make_studio()
    client.force_login(make_person(role="designer"))
    sent = {"name": "Lark\u2028moss", "sender": "a@larkmoss.example", "time_zone": "UTC", "units": "cm"}
    page = client.post(reverse("studio_settings"), sent).content.decode()
    assert "in one line" in page
    assert "Lark\u2028moss" in page
    assert Studio.objects.get().name == "Larkmoss Studio"
