"""Says where the first designer opens a studio whose server is started by something else than `start`."""

from typing import Any

from django.core.management.base import BaseCommand

from catalogue.site.opening import words_for_first_designer


class Command(BaseCommand):
    """Makes a new one-time address where there is no designer yet; else it says that there is one."""

    help = (
        "Print the one-time address where the first designer opens the studio; an earlier one stops working."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        """Say the address, or that there is a designer."""
        self.stdout.write(
            words_for_first_designer() or "There is a designer already: ask them to invite you."
        )
