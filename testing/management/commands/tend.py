"""Does what test calls need from day to day."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from testing.running.tending import tend_calls


class Command(BaseCommand):
    """Lets offers lapse, reminds, erases; safe to run as often as you like."""

    help = (
        "Do what is due in the test calls: end old offers, send reminders, and erase personal data whose day "
        "has come. The worker does this by itself."
    )

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Tend all calls, say what was done, and end with what was not."""
        done = tend_calls()
        counts = [f"{one.result} {chore.counts}" for chore, one in done if chore.counts and not one.why]
        if counts:
            self.stdout.write(", ".join(counts) + ".")
        failed = [f"{chore.undone}: {one.why}." for chore, one in done if one.why]
        if failed:
            raise CommandError("\n".join(failed))
