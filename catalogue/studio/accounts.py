"""How people sign in: staff by password, testers by a code sent by e-mail.

No answer tells whether an address is known: a code asked for staff and a new password asked for a tester are
answered like those for an address that nobody has.
"""

from typing import Any, ClassVar

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.forms import LoginForm, RequestLoginCodeForm, ResetPasswordForm
from allauth.core import context
from django import forms
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Person
from catalogue.studio.known_devices import device_of, remember_device
from catalogue.studio.limits import client_of, count
from catalogue.studio.mailing import post_mail
from catalogue.studio.public_address import link_address
from catalogue.studio.roles import is_on_desk
from catalogue.studio.sign_in_library import Counted, take_back_later
from catalogue.studio.sign_ins import note_sign_in

ADDRESS = "E-mail address"
# The e-mails of the library that let whoever reads them sign in, or set a password.
KEYS = ("account/email/login_code", "account/email/password_reset_key")
TOO_MANY_ASKED = (
    "Several e-mails to this address were asked for already. Check its inbox and spam folder, "
    "or wait an hour and try again."
)


class StudioAccountAdapter(DefaultAccountAdapter):
    """Closed to sign-up: accounts come with an invitation or a place in a test call."""

    error_messages: ClassVar[dict[str, Any]] = {
        **DefaultAccountAdapter.error_messages,
        "account_inactive": "This account is closed; please write to the studio.",
        "email_password_mismatch": "E-mail address and password do not match: check the spelling of both.",
        "incorrect_code": "This is not the code that we sent: check it, or ask for a new one.",
        "incorrect_password": "This is not your password: check the spelling.",
        "too_many_login_attempts": "Too many attempts: try again later, or sign in by e-mail now. Ask for "
        "a new password, or for a code if you are a tester.",
        "rate_limited": "Too many requests: wait a few minutes, then try again.",
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002  the library's signature
        """Nobody makes an account on their own."""
        return False

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """Hand the e-mail to the worker: the page answers as fast for a known address as for any other."""
        values = {**context, "email": email}
        subject = render_to_string(f"{template_prefix}_subject.txt", values, request=self.request)
        text = render_to_string(f"{template_prefix}_message.txt", values, request=self.request)
        kind = "key" if template_prefix in KEYS else "letter"
        post_mail(to=email, subject=" ".join(subject.split()), text=text.strip() + "\n", kind=kind)

    def send_notification_mail(
        self,
        template_prefix: str,
        user: Person,
        context: dict[str, Any] | None = None,
        email: str | None = None,
    ) -> None:
        """Tell people what happened to their account."""
        self.send_mail(template_prefix, email or user.email, {"timestamp": timezone.now(), **(context or {})})

    def get_reset_password_from_key_url(self, key: str) -> str:
        """The page for a new password, always at the studio's own address, whatever the request says."""
        uid, _, token = key.partition("-")
        return link_address() + reverse(
            "account_reset_password_from_key", kwargs={"uidb36": uid, "key": token}
        )

    def pre_authenticate(self, request: HttpRequest, **credentials: Any) -> None:
        """Count a guess before it is judged: of this client and for this address; a right one is taken back.

        On a device where the person has signed in before only its own guesses count: no stranger locks it.
        """
        address = str(credentials.get("email", ""))
        counts: list[tuple[str, ...]]
        if device := device_of(request, address):
            counts = [("guesses_on_known_device", device, address)]
        else:
            counts = [
                ("guesses_of_client",),
                ("guesses_of_client_for_address", address, client_of(request)),
                ("guesses_of_strangers", address),
            ]
        tries: list[Counted] = []
        for action, *of in counts:
            counted = count(request, action, *of)
            if counted is None:
                raise self.validation_error("too_many_login_attempts")
            tries.append(counted)
            take_back_later(self, tries)

    def post_login(self, request: HttpRequest, user: Person, **more: Any) -> HttpResponse:
        """Go on, on a device that is known from now on; the sign-in is written down."""
        note_sign_in(request, user)
        response: HttpResponse = super().post_login(request, user, **more)
        remember_device(request, response, user)
        return response

    def reauthenticate(self, user: Person, password: str) -> bool:
        """Whether it is still the same person."""
        return user.check_password(password)


def refuse_too_many(what: str, address: str) -> None:
    """Count codes or new passwords asked for; on a device that the person has used no stranger's count."""
    request = context.request
    is_within = count(request, f"{what}_of_client_to_address", address, client_of(request)) and (
        device_of(request, address) or count(request, f"{what}_to_address", address)
    )
    if not is_within:
        raise forms.ValidationError(TOO_MANY_ASKED)


def _without_placeholders(form: forms.BaseForm) -> None:
    """The labels stand above: the library's own words within the fields would say the same in others."""
    for field in form.fields.values():
        field.widget.attrs.pop("placeholder", None)


class SignInForm(LoginForm):
    """Asks for address and password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["login"].label = ADDRESS
        _without_placeholders(self)
        self.fields["remember"].label = "Stay signed in on this device"


class CodeForm(RequestLoginCodeForm):
    """Asks for a code; staff get the same answer but no code."""

    _user: Person | None

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["email"].label = ADDRESS
        _without_placeholders(self)

    def clean_email(self) -> str:
        """Forget the person behind the address where it is staff."""
        email: str = super().clean_email()
        refuse_too_many("codes", email)
        if self._user is not None and is_on_desk(self._user):
            self._user = None
        return email


class ForgottenPasswordForm(ResetPasswordForm):
    """Asks for a new password; testers, who have none, get the same answer but no e-mail."""

    users: list[Person]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["email"].label = ADDRESS
        _without_placeholders(self)

    def clean_email(self) -> str:
        """Forget the people behind the address who sign in by code."""
        email: str = super().clean_email()
        refuse_too_many("resets", email)
        self.users = [user for user in self.users if is_on_desk(user)]
        return email
