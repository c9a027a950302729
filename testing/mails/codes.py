"""Sending a tester the code to sign in with."""

from allauth.account.internal.flows.login_by_code import LoginCodeVerificationProcess
from django.http import HttpRequest

from catalogue.models import Person


def send_code(request: HttpRequest, person: Person) -> None:
    """Mail a short code to the person's address; the sign-in page then asks for it."""
    LoginCodeVerificationProcess.initiate(request=request, user=person, email=person.email)
