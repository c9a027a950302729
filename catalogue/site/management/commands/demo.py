"""Opens the demo studio."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from catalogue.site.demo_studio import build, log_ins
from catalogue.site.opening import prepare, take_address
from catalogue.site.supervisor import check_port, only_one, run


class Command(BaseCommand):
    """Runs server and worker on the invented Larkmoss Studio until Ctrl-C."""

    help = "Open the demo: the invented Larkmoss Studio with patterns in every stage, in a folder of its own."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where the server listens."""
        parser.add_argument(
            "--port", type=int, default=8000, help="Port to listen on (default: %(default)s)."
        )

    def handle(self, *args: Any, port: int, **options: Any) -> None:
        """Prepare, load the demo once, say how to get in, run."""
        if not settings.IS_DEMO:
            raise CommandError("Run the demo as: python3 manage.py demo")
        take_address(f"http://127.0.0.1:{port}")
        with only_one():
            check_port(port)
            prepare()
            build()
            self._say(_how_to_get_in(f"http://127.0.0.1:{port}"))
            run(host="127.0.0.1", port=port, say=self._say)

    def _say(self, words: str) -> None:
        """Write at once: the terminal, or the file that it goes to, is read while we run."""
        self.stdout.write(words)
        self.stdout.flush()


def _how_to_get_in(address: str) -> str:
    """Address and log-ins, as the terminal shows them."""
    lines = [
        f"Larkmoss Studio, an invented one, is at {address}/ (Ctrl-C ends it).",
        f"A short tour, as designer: {address}/tour/",
        "",
    ]
    for log_in in log_ins():
        secret = (
            f"password {log_in.password}"
            if log_in.password
            else f"sign in by code: {address}/account/login/code/"
        )
        lines.append(f"  {log_in.role:<9}{log_in.email:<28}{secret}")
    lines += [
        "",
        f"E-mails, and with them the testers' codes, land here: {address}/studio/mails/ (as designer).",
    ]
    return "\n".join(lines)
