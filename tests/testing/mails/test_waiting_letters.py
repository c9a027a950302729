"""Letters that wait go with the person or the application that they belong to, and with nobody else's."""

import pytest
from django.contrib.sessions.models import Session
from django.core import mail
from django.test import Client
from django.urls import reverse

from catalogue.holders.holders import ask_to_confirm, erase_holder
from catalogue.models import Holder, Letter
from catalogue.studio.letters import send_letters
from catalogue.studio.mail_folder import list_mails
from catalogue.studio.mailing import post_mail
from catalogue.studio.people import invite, withdraw_invitation
from testing.applications.applications import application_key
from testing.models import Application
from testing.privacy.erasing import erase_application, erase_person
from testing.privacy.privacy import held_about
from tests.present import present
from tests.sent_forms import send_form
from tests.testing.builders import application_form, make_call, make_pattern, make_place, make_version

WREN = "wren@larkmoss.example"


@pytest.fixture
def queued(settings):
    """Letters wait, as they do outside of tests."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}


def waiting():
    return sorted((letter.to, letter.subject) for letter in Letter.objects.all())


def apply(client, call, **changes):
    send_form(client, reverse("apply", args=[call.slug]), **application_form(**changes))
    return Application.objects.latest("pk")


def test_taking_back_one_application_keeps_the_letters_of_another(client, call, queued):
    """Frida's address ends in Ida's, and Ida applied for two calls."""
    other = make_call(pattern=make_pattern(title="Brackenmere Pullover"))
    first = apply(client, call, email="ida@larkmoss.example", name="Ida")
    apply(client, other, email="ida@larkmoss.example", name="Ida")
    apply(client, call, email="frida@larkmoss.example", name="Frida")
    post_mail(to="moss@larkmoss.example", subject="About Ida", text="Write to ida@larkmoss.example.")
    before = waiting()
    client.post(reverse("application_erase", args=[application_key(first)]))
    gone = ("ida@larkmoss.example", f"Your application: {call.pattern.title}")
    assert gone in before
    assert waiting() == [one for one in before if one != gone]
    send_letters.call()
    assert len(mail.outbox) == 3


def test_taking_back_the_only_application_leaves_no_letter_to_its_address(client, call, queued):
    application = apply(client, call)
    post_mail(to=WREN.upper(), subject="Hello", text="Text")
    erase_application(application=application)
    assert waiting() == []


def test_files_of_letters_go_with_the_application_that_they_are_about(
    client, call, settings, django_capture_on_commit_callbacks
):
    settings.EMAIL_BACKEND = "catalogue.studio.mail_folder.FolderBackend"
    other = make_call(pattern=make_pattern(title="Brackenmere Pullover"))
    first = apply(client, call)
    apply(client, other)
    assert len(list_mails()) == 2
    with django_capture_on_commit_callbacks(execute=True):
        erase_application(application=first)
    assert [one.subject for one in list_mails()] == ["Your application: Brackenmere Pullover"]


def test_erasing_a_person_stops_all_their_letters_and_nobody_elses(place, queued):
    person = present(place.person)
    for to in (WREN, WREN.upper(), f"my-{WREN}", "moss@larkmoss.example"):
        post_mail(to=to, subject=f"To {to}", text=f"Copy of what {WREN} got")
    held = held_about(person)["letters_on_their_way"]
    assert {one["subject"] for one in held} == {f"To {WREN}", f"To {WREN.upper()}"}
    erase_person(person=person)
    assert {to for to, _ in waiting()} == {f"my-{WREN}", "moss@larkmoss.example"}


def test_erasing_a_person_signs_nobody_else_out(place, studio):
    other = make_place(place.call, size="L", name="Frida", email=f"f-{WREN}")
    client = Client()
    client.post(reverse("account_request_login_code"), {"email": f"f-{WREN}"})
    client.force_login(present(other.person))
    erase_person(person=present(place.person))
    assert Session.objects.filter(pk=client.session.session_key).exists()
    assert client.get(reverse("my_making")).status_code == 200


def test_erasing_a_holder_stops_the_letter_that_asks_to_confirm(studio, queued):
    pattern = make_version(make_pattern(), number="1.0", kind="release").pattern
    ask_to_confirm(pattern=pattern, email="ida@larkmoss.example", version=None)
    ask_to_confirm(pattern=pattern, email="olive@larkmoss.example", version=None)
    erase_holder(holder=Holder.objects.get(email="ida@larkmoss.example"))
    assert [to for to, _ in waiting()] == ["olive@larkmoss.example"]


def test_withdrawing_an_invitation_stops_its_letter(studio, queued):
    first = invite(email="ida@larkmoss.example", role="editor", may_publish=False)
    assert len(waiting()) == 1
    invite(email="ida@larkmoss.example", role="designer", may_publish=False)
    assert len(waiting()) == 1, "the earlier one opens nothing any more"
    invite(email="olive@larkmoss.example", role="editor", may_publish=False)
    withdraw_invitation(invitation=type(first).objects.get(email="ida@larkmoss.example"))
    assert [to for to, _ in waiting()] == ["olive@larkmoss.example"]
