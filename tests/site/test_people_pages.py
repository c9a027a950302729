"""The first designer, invitations, who is in the studio, its settings, its mails."""

import re
from datetime import timedelta

import pytest
from django.core import mail
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Invitation, Person, Studio
from catalogue.studio.mail_folder import list_mails
from catalogue.studio.people import INVITATION_HOLDS, make_setup_key
from catalogue.studio.roles import is_designer, is_studio, may_publish
from tests.builders import PASSWORD, make_person, make_studio
from tests.present import present

pytestmark = pytest.mark.django_db
SETUP = {
    "name": "Larkmoss Studio",
    "sender": "hello@larkmoss.example",
    "address": "3 Fulling Lane",
    "time_zone": "Europe/London",
    "units": "in",
    "person_name": "Runa",
    "email": "Runa@larkmoss.example",
    "password": PASSWORD,
}
COME_IN = {"person_name": "Ida", "password": PASSWORD}


@pytest.fixture
def designer(client):
    make_studio()
    person = make_person(role="designer")
    client.force_login(person)
    return person


def invite(client, **changed):
    return client.post(
        reverse("people_invite"), {"email": "ida@larkmoss.example", "role": "editor", **changed}
    )


def address_in_mail():
    return present(re.search(r"http\S+/invitation/\S+/", str(mail.outbox[-1].body)))[0].removeprefix(
        "http://127.0.0.1:8000"
    )


def fresh(person):
    return Person.objects.get(pk=person.pk)


def test_without_a_designer_there_is_one_address_to_open_the_studio(client):
    assert "not open yet" in client.get("/").content.decode()
    address = reverse("setup", args=[make_setup_key()])
    assert client.get(address).status_code == 200
    assert client.head(address).status_code == 200  # looking does not use it up
    answer = client.post(address, SETUP)
    assert answer["Location"] == reverse("desk")
    assert client.get(reverse("my_account")).status_code == 200
    studio = Studio.objects.get()
    assert (studio.name, studio.time_zone, studio.units) == ("Larkmoss Studio", "Europe/London", "in")
    runa = Person.objects.get(email="runa@larkmoss.example")
    assert is_designer(runa)
    assert runa.check_password(PASSWORD)
    assert Client().post(address, SETUP).status_code == 409
    assert make_setup_key() is None


def test_a_later_setup_address_replaces_the_earlier(client):
    earlier, later = make_setup_key(), make_setup_key()
    assert client.get(reverse("setup", args=[earlier])).status_code == 404
    assert client.get(reverse("setup", args=[later])).status_code == 200
    assert client.get(reverse("invitation", args=[later])).status_code == 404


def test_the_address_is_printed_again_for_a_studio_that_is_served_otherwise(client, settings, capsys):
    settings.STUDIO_URL = "https://studio.example"
    call_command("first_designer")
    printed = re.search(r"^https://studio\.example(/setup/\S+)$", capsys.readouterr().out, re.MULTILINE)
    assert printed
    assert client.post(printed[1], SETUP)["Location"] == reverse("desk")
    call_command("first_designer")
    assert capsys.readouterr().out == "There is a designer already: ask them to invite you.\n"


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("password", "short", "at least 10 characters"),
        ("password", "1234567890", "too common"),
        ("password", "Dragon2024!", "too common, with something added"),
        ("sender", "no address", "This is not an e-mail address"),
        ("time_zone", "Mars/Olympus", "not one of the available choices"),
        ("name", "", "This field is required"),
    ],
)
def test_a_mistake_at_setup_is_named_and_keeps_what_was_typed(client, field, value, words):
    answer = client.post(reverse("setup", args=[make_setup_key()]), {**SETUP, field: value})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert words in page
    assert "3 Fulling Lane" in page
    assert PASSWORD not in page
    assert not Studio.objects.exists()
    assert not Person.objects.exists()


def test_an_invited_editor_comes_in_once(client, designer):
    invite(client)
    address = address_in_mail()
    guest = Client()
    assert guest.get(address).status_code == 200
    assert guest.post(address, COME_IN)["Location"] == reverse("desk")
    ida = Person.objects.get(email="ida@larkmoss.example")
    assert is_studio(ida)
    assert not is_designer(ida)
    assert not may_publish(ida)
    assert Client().get(address).status_code == 404
    assert Client().post(address, COME_IN).status_code == 409
    assert "ida@larkmoss.example is in the studio already" in invite(client).content.decode()


def test_only_the_hash_of_a_key_is_kept(client, designer):
    invite(client)
    key = address_in_mail().split("/")[2]
    assert key not in str(Invitation.objects.values())


@pytest.mark.parametrize("change", ["altered", "withdrawn", "old", "invited again"])
def test_a_key_that_no_longer_holds_is_answered_like_one_that_never_was(client, designer, change):
    invite(client)
    address = address_in_mail()
    if change == "altered":
        address = f"{address[:-2]}x/" if address[-2] != "x" else f"{address[:-2]}y/"
    if change == "withdrawn":
        client.post(reverse("invitation_withdraw", args=[Invitation.objects.get().pk]))
    if change == "old":
        Invitation.objects.update(created_at=timezone.now() - INVITATION_HOLDS)
    if change == "invited again":
        Invitation.objects.update(created_at=timezone.now() - timedelta(hours=1))
        invite(client)
    answer = Client().get(address)
    assert answer.status_code == 404
    assert answer.content == Client().get(reverse("invitation", args=["never"])).content


def test_an_invitation_sent_twice_goes_once(client, designer):
    invite(client)
    assert "was invited a moment ago" in invite(client).content.decode()
    assert len(mail.outbox) == Invitation.objects.count() == 1
    invite(client, role="designer")  # another invitation
    assert len(mail.outbox) == 2


def test_a_tester_who_is_invited_keeps_the_account(client, designer):
    tester = make_person(role="tester", email="ida@larkmoss.example")
    invite(client, may_publish="on")
    Client().post(address_in_mail(), COME_IN)
    assert is_studio(fresh(tester))
    assert may_publish(fresh(tester))
    assert fresh(tester).check_password(PASSWORD)


def test_publishing_is_switched_for_an_editor(client, designer):
    editor = make_person(role="editor")
    address = reverse("person_publishing", args=[editor.pk])
    client.post(address, {"allowed": "yes"})
    assert may_publish(fresh(editor))
    client.post(address, {"allowed": "no"})
    assert not may_publish(fresh(editor))


def test_who_is_taken_out_is_signed_out_at_once(client, designer):
    editor = make_person(role="editor", may_publish=True)
    theirs = Client()
    theirs.login(email=editor.email, password=PASSWORD)
    assert theirs.get(reverse("desk")).status_code == 200
    client.post(reverse("person_withdraw", args=[editor.pk]))
    assert theirs.get(reverse("desk")).status_code == 302
    assert not is_studio(fresh(editor))
    assert not may_publish(fresh(editor))
    assert not fresh(editor).has_usable_password()


def test_a_designer_cannot_take_themselves_out(client, designer):
    page = client.post(reverse("person_withdraw", args=[designer.pk]), follow=True).content.decode()
    assert "You can’t remove yourself" in page
    assert is_designer(fresh(designer))


def test_testers_are_not_on_the_page_of_people(client, designer):
    tester = make_person(role="tester")
    assert tester.email not in client.get(reverse("people")).content.decode()
    assert client.post(reverse("person_withdraw", args=[tester.pk])).status_code == 404
    assert client.post(reverse("person_publishing", args=[tester.pk]), {"allowed": "yes"}).status_code == 404


def test_a_mistyped_invitation_is_named_and_kept(client, designer):
    answer = invite(client, email="ida at larkmoss")
    assert answer.status_code == 422
    assert "ida at larkmoss" in answer.content.decode()
    assert not Invitation.objects.exists()


def test_settings_are_kept_and_the_time_zone_is_used(client, designer, settings):
    answer = client.post(
        reverse("studio_settings"),
        {"name": "Larkmoss", "sender": "a@larkmoss.example", "time_zone": "Pacific/Auckland", "units": "cm"},
        follow=True,
    )
    assert "The settings are saved" in answer.content.decode()
    settings.EMAIL_BACKEND = "catalogue.studio.mail_folder.FolderBackend"
    invite(client)
    written = list_mails()[0]
    from zoneinfo import ZoneInfo

    local = written.written_at.astimezone(ZoneInfo("Pacific/Auckland"))
    assert f"{local:%H:%M}" in client.get(reverse("mails")).content.decode()


def test_a_time_zone_that_the_system_lost_breaks_nothing(client, designer):
    Studio.objects.update(time_zone="Gone/Away")
    assert client.get(reverse("mails")).status_code == 200


def test_settings_ignore_what_is_not_asked(client, designer):
    client.post(
        reverse("my_account"), {"name": "Wren", "units": "in", "is_superuser": "on", "email": "x@y.example"}
    )
    changed = fresh(designer)
    assert (changed.name, changed.units, changed.is_superuser) == ("Wren", "in", False)
    assert changed.email == designer.email


def test_a_code_to_sign_in_is_shown_to_its_reader_alone_unless_it_is_a_demo(client, designer, settings):
    settings.EMAIL_BACKEND = "catalogue.studio.mail_folder.FolderBackend"
    from catalogue.studio.mailing import post_mail

    def shows(to, kind="key"):
        post_mail(to=to, subject="Whatever it is called", text="KW7-Q2X", kind=kind)
        name = list_mails()[0].name
        return "KW7-Q2X" in client.get(reverse("mail", args=[name])).content.decode()

    assert shows(designer.email)
    assert not shows("other@larkmoss.example")
    assert shows("other@larkmoss.example", kind="letter")  # an invitation, which the designer hands on
    settings.IS_DEMO = True
    assert shows("other@larkmoss.example")


def test_an_email_is_shown_without_running_what_it_says(client, designer, settings):
    settings.EMAIL_BACKEND = "catalogue.studio.mail_folder.FolderBackend"
    from catalogue.studio.mailing import post_mail

    post_mail(
        to="a@larkmoss.example", subject="<b>Hi</b>", text="<script>x</script> https://studio.example/a/ done"
    )
    (one,) = list_mails()
    page = client.get(reverse("mail", args=[one.name])).content.decode()
    assert "<script>x" not in page
    assert "&lt;script&gt;x" in page
    assert "&lt;b&gt;Hi" in page
    assert 'href="https://studio.example/a/"' in page
    assert one.name in client.get(reverse("mails")).content.decode()


def test_empty_mails_say_what_to_do(client, designer):
    assert "None yet" in client.get(reverse("mails")).content.decode()
