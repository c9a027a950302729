"""How people sign in: staff by password, testers by a code sent by e-mail."""

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class StudioAccountAdapter(DefaultAccountAdapter):
    """Closed to sign-up: accounts come with an invitation or a place in a test call."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Nobody makes an account on their own."""
        return False
