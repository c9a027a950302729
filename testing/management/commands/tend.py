"""Does what test calls need from day to day."""

from typing import Any

from django.core.management.base import BaseCommand

from testing.tending import tend_calls


class Command(BaseCommand):
    """Lets offers lapse, reminds, erases; safe to run as often as you like."""

    help = "Look after the test calls: lapsed offers, reminders, and personal data whose time is over."

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Tend all calls and say what was done."""
        self.stdout.write(str(tend_calls()))
