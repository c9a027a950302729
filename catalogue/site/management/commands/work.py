"""Works through the queue, on a machine of its own or beside a server that is started otherwise."""

from typing import Any

from django.core.management.base import BaseCommand

from catalogue.site.supervisor import only_one, run_worker


class Command(BaseCommand):
    """Runs a worker, and what is done now and then, until Ctrl-C."""

    help = (
        "Make PDFs, send e-mails and tidy up, without a server: for a machine of its own. `start` does both."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        """Watch over the worker until it is ended."""
        with only_one():
            self._say("The worker is running (Ctrl-C ends it).")
            run_worker(say=self._say)

    def _say(self, words: str) -> None:
        """Write at once: the file that it goes to is read while we run."""
        self.stdout.write(words)
        self.stdout.flush()
