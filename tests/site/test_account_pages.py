"""Signing in, the second step and new passwords, page by page, as a person walks through them."""

import re

import pytest
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value, yield_hotp_counters_from_time
from django.urls import reverse

from catalogue.models import Person, Studio
from catalogue.studio.roles import DESIGNER, give_role
from tests.present import present

pytestmark = pytest.mark.django_db
PASSWORD = "weave a long row"


@pytest.fixture
def designer():
    Studio.objects.create(name="Larkmoss Studio", sender="studio@example.com")
    person = Person.objects.create_user("wren@example.com", PASSWORD, name="Wren")
    give_role(person=person, role=DESIGNER)
    return person


def current_code(secret):
    counter = next(iter(yield_hotp_counters_from_time()))
    return format_hotp_value(hotp_value(secret, counter))


def sign_in(client, password=PASSWORD):
    return client.post(reverse("account_login"), {"login": "wren@example.com", "password": password})


def switch_on_second_step(client):
    address = reverse("mfa_activate_totp")
    asked = client.get(address, follow=True)
    assert "Is it you?" in asked.content.decode()
    page = client.post(
        reverse("account_reauthenticate"), {"password": PASSWORD, "next": address}, follow=True
    )
    secret = page.context["form"].secret
    assert secret in page.content.decode()
    return secret, client.post(address, {"code": current_code(secret)})


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("account_login", "You need no password"),
        ("account_request_login_code", "Send me a code"),
        ("account_reset_password", "choose a new password"),
        ("account_reset_password_done", "Check your e-mail"),
        ("account_inactive", "This account is closed"),
    ],
)
def test_pages_before_signing_in_are_ours(client, name, words):
    page = client.get(reverse(name)).content.decode()
    assert words in page
    assert 'class="skip"' in page
    assert '<html lang="en-GB">' in page


def test_a_wrong_password_keeps_the_address_and_says_so_beside_the_form(client, designer):
    page = sign_in(client, "not this one").content.decode()
    assert 'value="wren@example.com"' in page
    assert '<div class="message message-error" role="alert"' in page


def test_a_missing_field_is_named_at_the_field(client, designer):
    page = client.post(reverse("account_login"), {"login": "wren@example.com"}).content.decode()
    (field,) = re.findall(r'<input[^>]*name="password"[^>]*>', page)
    assert 'aria-invalid="true"' in field
    assert "invalid-feedback" in page


def test_signing_in_and_out(client, designer):
    assert sign_in(client).status_code == 302
    assert "Sign out?" in client.get(reverse("account_logout")).content.decode()
    assert "_auth_user_id" in client.session
    client.post(reverse("account_logout"))
    assert "_auth_user_id" not in client.session


def test_a_forgotten_password_is_replaced_by_an_address_in_a_mail(client, designer, mailoutbox):
    client.post(reverse("account_reset_password"), {"email": "wren@example.com"})
    (mail,) = mailoutbox
    assert mail.subject == "Choose a new password"
    assert mail.extra_headers["X-Evenrow-Kind"] == "key"
    address = present(re.search(r"https?://[^/]+(/\S+)", mail.body)).group(1)
    page = client.get(address, follow=True)
    assert "Choose a new password" in page.content.decode()
    done = client.post(
        page.redirect_chain[-1][0],
        {"password1": "another long row", "password2": "another long row"},
        follow=True,
    )
    assert "Your password is changed." in done.content.decode()
    assert "_auth_user_id" in client.session, "who has the letter is in"
    client.post(reverse("account_logout"))
    assert sign_in(client, "another long row").status_code == 302
    assert "This link no longer works" in client.get(address, follow=True).content.decode()


def test_changing_the_password_is_confirmed(client, designer):
    sign_in(client)
    address = reverse("account_change_password")
    assert "Change password" in client.get(address).content.decode()
    typed = {"oldpassword": PASSWORD, "password1": "another long row", "password2": "another long row"}
    client.post(address, typed)
    designer.refresh_from_db()
    assert designer.check_password("another long row")


def test_the_second_step_is_asked_for_once_switched_on(client, designer):
    sign_in(client)
    assert "Switch it on" in client.get(reverse("mfa_index")).content.decode()
    _, answer = switch_on_second_step(client)
    assert answer.status_code == 302
    assert "Switch it off" in client.get(reverse("mfa_index")).content.decode()
    client.post(reverse("account_logout"))
    assert sign_in(client).url == reverse("mfa_authenticate")
    page = client.get(reverse("mfa_authenticate")).content.decode()
    assert "Second step" in page
    wrong = client.post(reverse("mfa_authenticate"), {"code": "000000"}).content.decode()
    assert "invalid-feedback" in wrong
    assert "_auth_user_id" not in client.session


def test_spare_codes_are_shown_and_made_anew(client, designer):
    sign_in(client)
    switch_on_second_step(client)
    page = client.get(reverse("mfa_view_recovery_codes")).content.decode()
    assert page.count("<li><code>") == 10
    assert "The old ones stop working" in client.get(reverse("mfa_generate_recovery_codes")).content.decode()
    client.post(reverse("mfa_generate_recovery_codes"))
    assert client.get(reverse("mfa_view_recovery_codes")).content.decode() != page


def test_a_spare_code_lets_in(client, designer):
    sign_in(client)
    switch_on_second_step(client)
    page = client.get(reverse("mfa_view_recovery_codes")).content.decode()
    spare = present(re.search(r"<li><code>(\w+)</code>", page)).group(1)
    client.post(reverse("account_logout"))
    sign_in(client)
    client.post(reverse("mfa_authenticate"), {"code": spare})
    assert "_auth_user_id" in client.session


def test_the_second_step_can_be_switched_off(client, designer):
    sign_in(client)
    switch_on_second_step(client)
    assert "Switch off the second step?" in client.get(reverse("mfa_deactivate_totp")).content.decode()
    client.post(reverse("mfa_deactivate_totp"))
    assert "Switch it on" in client.get(reverse("mfa_index")).content.decode()


@pytest.mark.parametrize("name", ["account_reauthenticate", "mfa_reauthenticate"])
def test_who_changes_the_sign_in_is_asked_again(client, designer, name):
    sign_in(client)
    switch_on_second_step(client)
    assert "Is it you?" in client.get(reverse(name)).content.decode()


def test_testers_sign_in_with_a_code_from_a_mail(client, mailoutbox):
    person = Person.objects.create_user("moss@example.com")
    client.post(reverse("account_request_login_code"), {"email": person.email})
    (mail,) = mailoutbox
    assert mail.subject == "Your code to sign in"
    assert mail.extra_headers["X-Evenrow-Kind"] == "key"
    page = client.get(reverse("account_confirm_login_code")).content.decode()
    assert "Type the code" in page
    assert person.email in page
    wrong = client.post(reverse("account_confirm_login_code"), {"code": "WRONG1"}).content.decode()
    assert "invalid-feedback" in wrong
    code = present(re.search(r"sign in:\n\n(\S+)\n", mail.body)).group(1)
    client.post(reverse("account_confirm_login_code"), {"code": code})
    assert client.session["_auth_user_id"] == str(person.pk)
