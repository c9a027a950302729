"""Set-up and invitation, sent several times at once: one comes in, nobody is shown an error of ours."""

import threading

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from catalogue.models import Invitation, Person, Studio
from catalogue.studio.people import make_setup_key
from tests.builders import PASSWORD, make_person, make_studio
from tests.file_database import shared_database
from tests.present import present

__all__ = ["shared_database"]

AT_ONCE = 6
SETUP = {
    "name": "Larkmoss Studio",
    "sender": "hello@larkmoss.example",
    "time_zone": "UTC",
    "units": "cm",
    "person_name": "Wren",
    "email": "wren@larkmoss.example",
    "password": PASSWORD,
}
INVITED = {"person_name": "Ida", "password": PASSWORD}


def send_at_once(where, sent):
    """Send a form several times at the same moment, each from a browser of its own; tell the answers."""
    answers, start = [], threading.Barrier(AT_ONCE)

    def send():
        browser = Client(raise_request_exception=False)
        start.wait()
        try:
            answers.append(browser.post(where, sent))
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _ in range(AT_ONCE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


def check_one_won(answers):
    assert sorted(answer.status_code for answer in answers) == [302] + [409] * (AT_ONCE - 1)
    for answer in answers:
        if answer.status_code == 409:
            page = answer.content.decode()
            assert "This page was used already" in page
            assert reverse("account_login") in page


@pytest.mark.usefixtures("shared_database")
def test_a_set_up_sent_several_times_at_once_opens_one_studio():
    where = reverse("setup", args=[present(make_setup_key())])
    check_one_won(send_at_once(where, SETUP))
    assert Studio.objects.count() == Person.objects.count() == 1
    assert Person.objects.get().check_password(PASSWORD)


@pytest.mark.usefixtures("shared_database")
def test_an_invitation_sent_several_times_at_once_lets_one_person_in(monkeypatch):
    monkeypatch.setattr("catalogue.studio.people.secrets.token_urlsafe", lambda _: "a-key-of-this-test")
    make_studio()
    from catalogue.studio.people import invite

    invite(email="ida@larkmoss.example", role="editor", may_publish=False)
    check_one_won(send_at_once(reverse("invitation", args=["a-key-of-this-test"]), INVITED))
    assert Person.objects.count() == 1
    assert Invitation.objects.exclude(used_at=None).count() == 1


@pytest.mark.django_db
def test_what_was_sent_a_second_time_is_answered_like_a_double_click(client):
    where = reverse("setup", args=[present(make_setup_key())])
    assert client.post(where, SETUP).status_code == 302
    check = client.post(where, SETUP)
    assert check.status_code == 409
    assert "This page was used already" in check.content.decode()


@pytest.mark.django_db
def test_a_key_that_never_was_is_answered_404_also_when_a_form_is_sent(client):
    make_person(role="designer")
    assert client.post(reverse("setup", args=["no-such-key"]), SETUP).status_code == 404
    assert client.post(reverse("invitation", args=["no-such-key"]), INVITED).status_code == 404
