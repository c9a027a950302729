"""Sending a tester the code to sign in with."""

from django.http import HttpRequest

from catalogue.models import Person
from catalogue.studio.sign_in_library import start_sign_in_by_code


def send_code(request: HttpRequest, person: Person) -> None:
    """Mail a short code to the person's address; the sign-in page then asks for it."""
    start_sign_in_by_code(request, person)
