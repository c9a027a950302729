"""Opens the studio."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from catalogue.site.opening import admit_visitors, prepare, take_address, words_for_first_designer
from catalogue.site.supervisor import check_port, only_one, run
from catalogue.site.unfinished_restores import cut_short, note_path


class Command(BaseCommand):
    """Runs server and worker on the studio's own data until Ctrl-C."""

    help = "Open the studio: bring the database up to date, run server and worker until Ctrl-C."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where the server listens."""
        parser.add_argument(
            "--host", default="127.0.0.1", help="Address to listen on (default: %(default)s)."
        )
        parser.add_argument(
            "--port", type=int, default=8000, help="Port to listen on (default: %(default)s)."
        )

    def handle(self, *args: Any, host: str, port: int, **options: Any) -> None:
        """Prepare, say the address, run."""
        with only_one():
            if begun := cut_short():
                raise CommandError(
                    f"Restoring a backup was cut short. Restore it again: python3 manage.py restore "
                    f"{begun.path}. To go on with what is there, delete {note_path()}."
                )
            check_port(port)
            take_address(f"http://[{host}]:{port}" if ":" in host else f"http://{host}:{port}")
            prepare()
            admit_visitors()
            address = settings.STUDIO_URL or settings.LOCAL_URL
            self._say(f"Evenrow is at {address}/ (Ctrl-C ends it).")
            if words := words_for_first_designer():
                self._say(words)
            run(host=host, port=port, say=self._say)

    def _say(self, words: str) -> None:
        """Write at once: the terminal, or the file that it goes to, is read while we run."""
        self.stdout.write(words)
        self.stdout.flush()
