"""Signing in: passwords for staff, codes for testers, and answers that tell nothing."""

import re
import statistics
import time

import pytest
from django.core import mail
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django_tasks_db.models import DBTaskResult

from tests.builders import PASSWORD, make_person, make_studio
from tests.present import present

pytestmark = pytest.mark.django_db
AWAY = [
    "//evil.example",
    "/\\evil.example",
    "javascript:alert(1)",
    "\thttps://evil.example",
    "https://evil.example/",
    "http:///evil.example",
]


@pytest.fixture(autouse=True)
def studio():
    return make_studio()


def ask_code(email, **more):
    client = Client()
    answer = client.post(reverse("account_request_login_code"), {"email": email, **more}, follow=True)
    return client, answer


def body(answer):
    """The page without what differs from request to request."""
    page = re.sub(r'(name="csrfmiddlewaretoken" value=")[^"]+', r"\1", answer.content.decode())
    return re.sub(r"[\w.]+@larkmoss\.example", "ADDRESS", page)


def test_a_tester_signs_in_with_a_code():
    tester = make_person(role="tester")
    client, answer = ask_code(tester.email.upper())
    assert "Type the code" in answer.content.decode()
    code = present(re.search(r"^([A-Z0-9-]{6,12})$", str(mail.outbox[0].body), re.MULTILINE))[1]
    answer = client.post(reverse("account_confirm_login_code"), {"code": code})
    assert answer["Location"] == "/"
    assert client.get(reverse("my_account")).status_code == 200


def test_who_comes_from_a_testers_page_is_asked_for_a_code_at_once(client):
    answer = client.get(reverse("account_login"), {"next": "/making/3/"})
    assert answer["Location"] == f"{reverse('account_request_login_code')}?next=%2Fmaking%2F3%2F"
    assert client.get(reverse("account_login"), {"next": "/desk/"}).status_code == 200


def test_a_wrong_code_is_named_and_three_end_it():
    tester = make_person(role="tester")
    client, _ = ask_code(tester.email)
    answers = [client.post(reverse("account_confirm_login_code"), {"code": "WRONG1"}) for _ in range(3)]
    assert "This is not the code" in answers[0].content.decode()
    assert answers[-1].status_code == 302
    assert client.get(reverse("my_account")).status_code == 302


def test_a_used_or_expired_code_says_so_and_a_new_one_is_one_button(monkeypatch):
    tester = make_person(role="tester")
    client, _ = ask_code(tester.email)
    monkeypatch.setattr(time, "time", lambda now=time.time() + 601: now)  # noqa: B008  ten minutes later
    answer = client.post(reverse("account_confirm_login_code"), {"code": "ABC123"}, follow=True)
    page = answer.content.decode()
    assert "This code has expired or was used already" in page
    assert f'value="{tester.email}"' in page
    assert "Send me a new code" in page
    monkeypatch.undo()
    client.post(reverse("account_request_login_code"), {"email": tester.email})
    code = present(re.search(r"^([A-Z0-9-]{6,12})$", str(mail.outbox[-1].body), re.MULTILINE))[1]
    assert client.post(reverse("account_confirm_login_code"), {"code": code})["Location"] == "/"
    client.post(reverse("account_logout"))
    again = client.post(reverse("account_confirm_login_code"), {"code": code}, follow=True).content.decode()
    assert "This code has expired or was used already" in again


def test_asking_for_a_code_tells_nothing_about_an_address():
    tester = make_person(role="tester")
    editor, designer = make_person(role="editor"), make_person(role="designer")
    closed = make_person(role="tester", is_active=False)
    answers = [
        ask_code(email)[1]
        for email in (tester.email, editor.email, designer.email, closed.email, "nobody@larkmoss.example")
    ]
    assert {(answer.status_code, body(answer)) for answer in answers} == {(200, body(answers[0]))}
    assert [sent.to for sent in mail.outbox] == [[tester.email]]


def test_a_resent_code_tells_nothing_either():
    tester, editor = make_person(role="tester"), make_person(role="editor")
    pages = []
    for email in (tester.email, editor.email, "nobody@larkmoss.example"):
        client, _ = ask_code(email)
        answer = client.post(reverse("account_confirm_login_code"), {"action": "resend"}, follow=True)
        pages.append((answer.status_code, body(answer)))
    assert len(set(pages)) == 1
    assert {address for sent in mail.outbox for address in sent.to} == {tester.email}


def test_no_code_opens_a_staff_account():
    editor = make_person(role="editor")
    client, _ = ask_code(editor.email)
    for code in ("", "000000", "None"):
        client.post(reverse("account_confirm_login_code"), {"code": code})
    assert client.get(reverse("my_account")).status_code == 302


def test_asking_for_a_new_password_tells_nothing_about_an_address():
    tester, editor = make_person(role="tester"), make_person(role="editor")
    pages = set()
    for email in (tester.email, editor.email, "nobody@larkmoss.example"):
        answer = Client().post(reverse("account_reset_password"), {"email": email}, follow=True)
        pages.add((answer.status_code, body(answer)))
    assert len(pages) == 1
    assert [sent.to for sent in mail.outbox] == [[editor.email]]


def test_a_new_password_is_chosen_at_the_studios_own_address(settings):
    settings.STUDIO_URL = "https://studio.example"
    editor = make_person(role="editor")
    Client().post(reverse("account_reset_password"), {"email": editor.email})
    letter = str(mail.outbox[0].body)
    address = present(re.search(r"https://studio\.example(/account/password/reset/key/\S+)", letter))[1]
    client = Client()
    form = client.get(address, follow=True)
    chosen = {"password1": "heron gathering wool", "password2": "heron gathering wool"}
    assert client.post(form.request["PATH_INFO"], chosen, follow=True).status_code == 200
    assert Client().login(email=editor.email, password="heron gathering wool")
    used = Client().get(address, follow=True).content.decode()
    assert 'name="password1"' not in used


@pytest.mark.parametrize(
    ("name", "role"), [("account_request_login_code", "tester"), ("account_reset_password", "editor")]
)
def test_known_and_unknown_addresses_are_answered_in_the_same_time(settings, name, role):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    settings.EVEN_ANSWER_SECONDS = 0.2
    known = make_person(role=role).email
    took: dict[str, list[float]] = {known: [], "nobody@larkmoss.example": []}
    for _ in range(11):
        for email, times in took.items():
            cache.clear()
            start = time.perf_counter()
            Client().post(reverse(name), {"email": email})
            times.append(time.perf_counter() - start)
    shortest, longest = sorted(statistics.median(times) for times in took.values())
    assert DBTaskResult.objects.count() == 11
    assert longest < 1.1 * shortest


def test_a_wrong_password_and_an_unknown_address_are_answered_alike():
    editor = make_person(role="editor")
    pages = {
        body(Client().post(reverse("account_login"), {"login": email, "password": "not this one"}))
        for email in (editor.email, "nobody@larkmoss.example")
    }
    assert len(pages) == 1


@pytest.mark.parametrize("away", AWAY)
def test_signing_in_never_leads_away(client, away):
    editor = make_person(role="editor")
    sent = {"login": editor.email, "password": PASSWORD, "next": away}
    location = client.post(reverse("account_login"), sent)["Location"]
    assert re.match(r"/(?![/\\])", location), location
    assert client.get(reverse("my_account")).status_code == 200
    client.logout()
    answer = client.post(f"{reverse('account_login')}?next={away}", {**sent, "next": ""})
    assert "evil" not in answer["Location"]
    assert not answer["Location"].startswith("//")


@pytest.mark.parametrize("away", AWAY)
def test_signing_out_and_codes_never_lead_away(client, away):
    tester = make_person(role="tester")
    client.force_login(tester)
    location = client.post(reverse("account_logout"), {"next": away})["Location"]
    assert location == "/"
    guest, _ = ask_code(tester.email, next=away)
    code = present(re.search(r"^([A-Z0-9-]{6,12})$", str(mail.outbox[0].body), re.MULTILINE))[1]
    answer = guest.post(reverse("account_confirm_login_code"), {"code": code, "next": away})
    assert answer["Location"] == "/"


def test_after_five_wrong_passwords_an_address_waits_whatever_the_headers_say():
    editor = make_person(role="editor")
    for number in range(5):
        Client().post(
            reverse("account_login"),
            {"login": editor.email, "password": "not this one"},
            headers={"x-forwarded-for": f"10.0.0.{number}"},
        )
    answer = Client().post(reverse("account_login"), {"login": editor.email, "password": PASSWORD})
    assert "Too many attempts" in answer.content.decode()


def test_one_machine_cannot_try_many_addresses_by_forging_headers():
    answers = [
        Client().post(
            reverse("account_request_login_code"),
            {"email": f"somebody{number}@larkmoss.example"},
            headers={"x-forwarded-for": f"10.0.0.{number}"},
        )
        for number in range(21)
    ]
    assert {answer.status_code for answer in answers[:20]} == {302}
    assert "Too many attempts" in answers[20].content.decode()


@pytest.mark.parametrize(
    "path",
    [
        "signup/",
        "email/",
        "confirm-email/",
        "confirm-email/key/",
        "social/",
        "sessions/",
        "2fa/",
        "2fa/webauthn/",
    ],
)
def test_what_is_not_used_of_the_sign_in_library_is_not_there(client, path):
    client.force_login(make_person(role="designer"))
    assert client.get(f"/account/{path}").status_code == 404


def test_a_tester_cannot_set_a_password_or_a_second_step(client):
    client.force_login(make_person(role="tester"))
    for name in ("account_change_password", "account_set_password", "mfa_activate_totp", "mfa_index"):
        assert client.get(reverse(name)).status_code == 404


def test_an_address_of_look_alike_letters_reaches_nobody_else():
    make_person(role="tester", email="iris@larkmoss.example")
    _, answer = ask_code("ırıs@larkmoss.example")
    assert answer.status_code == 200
    assert mail.outbox == []


def test_visitors_get_no_cookie_on_the_first_page(client):
    assert not client.get("/").cookies
