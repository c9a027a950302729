"""A person sees where they signed in, signs out everywhere else, and what is written down goes again."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalogue.models import SignIn
from catalogue.studio.sign_ins import KEPT, browser_kind, end_sessions, forget_old_sign_ins
from tests.builders import PASSWORD, make_person, make_studio

pytestmark = pytest.mark.django_db
# As these browsers name themselves; from memory of their makers' pages on user agents.
FIREFOX = "Mozilla/5.0 (X11; Linux x86_64; rv:128.0) Gecko/20100101 Firefox/128.0"
SAFARI = (
    "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) "
    "Version/17.5 Mobile/15E148 Safari/604.1"
)
EDGE = (
    "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) "
    "Chrome/126.0.0.0 Safari/537.36 Edg/126.0.0.0"
)


@pytest.fixture
def designer():
    make_studio()
    return make_person(role="designer", email="wren@larkmoss.example")


def signed_in(browser):
    """A browser that has signed in by the page for it."""
    client = Client(headers={"user-agent": browser})
    sent = {"login": "wren@larkmoss.example", "password": PASSWORD}
    assert client.post(reverse("account_login"), sent).status_code == 302
    return client


def account_page(client):
    return " ".join(client.get(reverse("my_account")).content.decode().split())


def is_signed_in(client):
    return client.get(reverse("my_account")).status_code == 200


@pytest.mark.parametrize(
    ("says", "kind"),
    [
        (FIREFOX, "Firefox on Linux"),
        (SAFARI, "Safari on iOS"),
        (EDGE, "Edge on Windows"),
        ("", "Another browser"),
        ("<script>" * 500, "Another browser"),
    ],
)
def test_a_browser_is_known_by_its_kind_alone(says, kind):
    assert browser_kind(says) == kind


def test_sign_ins_are_shown_and_all_others_end(designer):
    here, phone = signed_in(FIREFOX), signed_in(SAFARI)
    page = account_page(here)
    later, earlier = (
        'Safari on iOS</td> <td class="short"> signed in <',
        'Firefox on Linux</td> <td class="short"> here <',
    )
    assert page.index(later) < page.index(earlier)
    answer = here.post(reverse("sign_out_elsewhere"), follow=True)
    assert "You are signed out everywhere else." in answer.content.decode()
    assert is_signed_in(here)
    assert not is_signed_in(phone)
    assert 'Safari on iOS</td> <td class="short"> signed out <' in account_page(here)
    answer = here.post(reverse("sign_out_elsewhere"), follow=True)
    assert "You were not signed in anywhere else." in answer.content.decode()


def test_nobody_else_is_signed_out_or_shown(designer, client):
    other = make_person(role="designer")
    client.force_login(other)
    here = signed_in(FIREFOX)
    assert "Firefox" not in account_page(client)
    here.post(reverse("sign_out_elsewhere"))
    assert is_signed_in(client)


def test_a_new_password_is_a_sign_out_everywhere_else(designer):
    here, phone = signed_in(FIREFOX), signed_in(SAFARI)
    designer.set_password("another long row of moss")
    designer.save()
    assert not is_signed_in(phone)
    assert not is_signed_in(here)
    assert end_sessions(designer) == 0  # the browsers' next look ended them


def test_sign_ins_go_after_their_time_and_with_the_person(designer):
    signed_in(FIREFOX)
    SignIn.objects.update(at=timezone.now() - KEPT + timedelta(minutes=1))
    assert forget_old_sign_ins() == 0
    SignIn.objects.update(at=timezone.now() - KEPT - timedelta(minutes=1))
    Session.objects.update(expire_date=timezone.now() - timedelta(minutes=1))
    assert forget_old_sign_ins() == 1
    assert not Session.objects.exists()
    signed_in(SAFARI)
    designer.delete()
    assert not SignIn.objects.exists()
