"""A stranger's wrong passwords lock out the stranger; codes are judged as often as was said."""

import re
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.conf import settings as program
from django.core import mail
from django.db import connection
from django.test import Client
from django.urls import reverse

from catalogue.models import Person
from catalogue.studio.known_devices import COOKIE
from tests.builders import PASSWORD, make_person, make_studio
from tests.file_database import shared_database  # noqa: F401  fixture
from tests.present import present

pytestmark = pytest.mark.django_db
SHARED = program.CACHES
NEW_PASSWORD = "heron gathering wool"


@pytest.fixture(autouse=True)
def counted_in_the_database(settings):
    settings.CACHES = SHARED


@pytest.fixture
def designer():
    make_studio()
    return make_person(role="designer")


def from_client(number):
    return Client(REMOTE_ADDR=f"192.0.2.{number}")


def guess(client, person, password="not this one"):
    return client.post(reverse("account_login"), {"login": person.email, "password": password})


def known_device(person, **where):
    """A browser in which the person has signed in once, and out again."""
    from django.test import RequestFactory

    from catalogue.studio.known_devices import remember_device

    class Answer:
        def set_cookie(self, name, value, **more):
            client.cookies[name] = value

    client = Client(**where)
    remember_device(RequestFactory().get("/"), Answer(), person)  # type: ignore[arg-type]
    return client


def is_in(client):
    return client.get(reverse("my_account")).status_code == 200


def test_a_stranger_with_wrong_passwords_does_not_lock_the_designer_out(designer):
    stranger = from_client(1)
    answers = [guess(stranger, designer) for _ in range(8)]
    assert "Too many attempts" in answers[-1].content.decode()
    assert "Too many attempts" in guess(from_client(1), designer, PASSWORD).content.decode()
    own = from_client(2)
    assert guess(own, designer, PASSWORD).status_code == 302
    assert is_in(own)


def test_on_a_known_device_no_stranger_counts_even_behind_the_same_address(designer):
    home = from_client(1)
    assert guess(home, designer, PASSWORD).status_code == 302
    assert COOKIE in home.cookies
    home.post(reverse("account_logout"))
    for _ in range(8):
        guess(from_client(1), designer)
    assert "Too many attempts" in guess(from_client(1), designer, PASSWORD).content.decode()
    assert guess(home, designer, PASSWORD).status_code == 302
    assert is_in(home)


def test_guesses_on_a_known_device_are_counted_for_themselves(designer):
    home = known_device(designer)
    answers = [guess(home, designer) for _ in range(6)]
    assert "Too many attempts" not in answers[4].content.decode()
    assert "Too many attempts" in answers[5].content.decode()


def test_the_cookie_opens_nothing_and_is_bound_to_its_person(designer):
    editor = make_person(role="editor")
    home = known_device(editor)
    assert not is_in(home)
    for _ in range(5):
        guess(home, designer)
    assert "Too many attempts" in guess(home, designer, PASSWORD).content.decode()
    forged = from_client(3)
    forged.cookies[COOKIE] = home.cookies[COOKIE].value[:-2] + "xx"
    assert guess(forged, editor).status_code == 200


def test_the_cookie_stays_with_the_sign_in_pages_and_out_of_scripts(designer, settings):
    settings.SESSION_COOKIE_SECURE = True
    client = Client()
    cookie = guess(client, designer, PASSWORD).cookies[COOKIE]
    assert (cookie["path"], cookie["httponly"], cookie["samesite"]) == ("/account/", True, "Lax")
    assert cookie["secure"] is True
    assert designer.email not in cookie.value


@pytest.mark.parametrize("name", ["catalogue", "call_list", "account_login"])
def test_visitors_get_no_such_cookie(designer, name):
    assert COOKIE not in Client().get(reverse(name)).cookies
    client = Client()
    guess(client, designer)
    assert COOKIE not in client.cookies


def test_a_new_password_by_e_mail_lets_in_during_a_lock(designer):
    for number in range(30):
        for _ in range(5):
            guess(from_client(number), designer)
    away = from_client(200)
    assert "Too many attempts" in guess(away, designer, PASSWORD).content.decode()
    away.post(reverse("account_reset_password"), {"email": designer.email})
    letter = str(mail.outbox[0].body)
    address = present(re.search(r"(/account/password/reset/key/\S+)", letter))[1]
    form = away.get(address, follow=True)
    away.post(form.request["PATH_INFO"], {"password1": NEW_PASSWORD, "password2": NEW_PASSWORD})
    assert is_in(away)
    away.post(reverse("account_logout"))
    assert guess(away, designer, NEW_PASSWORD).status_code == 302, "this device is known now"


def test_a_code_by_e_mail_lets_a_tester_in_during_a_lock(designer):
    tester = make_person(role="tester")
    for _ in range(8):
        guess(from_client(1), tester)
    client = from_client(1)
    client.post(reverse("account_request_login_code"), {"email": tester.email})
    client.post(reverse("account_confirm_login_code"), {"code": code_sent()})
    assert is_in(client)


def test_a_right_password_uses_no_try_up(designer):
    for _ in range(8):
        client = from_client(1)
        assert guess(client, designer, PASSWORD).status_code == 302


def test_one_client_guesses_sixty_times_a_day_at_most_over_all_addresses(designer, monkeypatch):
    people = [make_person(role="editor") for _ in range(20)]
    judged = count_judged(monkeypatch)
    passed, real = 0, time.time
    monkeypatch.setattr("allauth.core.internal.ratelimit.time.time", lambda: real() + passed)
    for person in people:
        passed += 301
        for _ in range(5):
            guess(from_client(1), person)
    assert len(judged) == 60


def test_strangers_together_guess_a_hundred_times_a_day_for_one_address(designer, monkeypatch):
    judged = count_judged(monkeypatch)
    for number in range(30):
        for _ in range(5):
            guess(from_client(number), designer)
    assert len(judged) == 100


def test_who_is_held_off_uses_up_nothing_of_what_all_strangers_have(designer, monkeypatch):
    judged = count_judged(monkeypatch)
    for _ in range(25):
        guess(from_client(1), designer)
    assert len(judged) == 5
    for number in range(2, 30):
        for _ in range(5):
            guess(from_client(number), designer)
    assert len(judged) == 100


def count_judged(monkeypatch):
    """How often a password of somebody was compared."""
    judged: list[str] = []
    real = Person.check_password

    def check(person, password):
        judged.append(password)
        return real(person, password)

    monkeypatch.setattr(Person, "check_password", check)
    return judged


def code_sent():
    letter = str(mail.outbox[-1].body)
    return present(re.search(r"^([A-Z0-9-]{6,12})$", letter, re.MULTILINE))[1]


@pytest.mark.usefixtures("shared_database")
def test_codes_typed_in_parallel_are_judged_three_times(monkeypatch):
    make_studio()
    tester = make_person(role="tester")
    first = Client()
    first.post(reverse("account_request_login_code"), {"email": tester.email})
    judged = []
    real = __import__("allauth.account.forms", fromlist=["x"]).compare_user_code

    def compare(**codes):
        judged.append(codes["actual"])
        return real(**codes)

    monkeypatch.setattr("allauth.account.forms.compare_user_code", compare)

    def try_one(number):
        client = Client(raise_request_exception=False)
        client.cookies["sessionid"] = first.cookies["sessionid"].value
        try:
            return client.post(reverse("account_confirm_login_code"), {"code": f"WRONG{number}"}).status_code
        finally:
            connection.close()

    with ThreadPoolExecutor(12) as pool:
        answers = list(pool.map(try_one, range(24)))
    assert 1 <= len(judged) <= 3
    assert set(answers) <= {200, 302}
    first.post(reverse("account_confirm_login_code"), {"code": code_sent()})
    assert not is_in(first), "the code has had its tries"


def test_a_code_has_three_tries_and_then_a_new_one_can_be_sent(designer):
    tester = make_person(role="tester")
    client = Client()
    client.post(reverse("account_request_login_code"), {"email": tester.email})
    old = code_sent()
    for _ in range(3):
        client.post(reverse("account_confirm_login_code"), {"code": "WRONG1"})
    client.post(reverse("account_confirm_login_code"), {"code": old})
    assert not is_in(client)
    client.post(reverse("account_request_login_code"), {"email": tester.email})
    client.post(reverse("account_confirm_login_code"), {"code": code_sent()})
    assert is_in(client)
