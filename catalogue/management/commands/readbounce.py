"""Reads a bounce or complaint, as a mail server can hand it over."""

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from catalogue.holders.bounces import BounceUnread, note_bounce


class Command(BaseCommand):
    """Notes what one returned e-mail tells."""

    help = "Note a bounce or complaint: the whole returned e-mail from a file, or from standard input."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where the e-mail is."""
        parser.add_argument("file", nargs="?", default="-", help="The e-mail (default: standard input).")

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        """Read it and say what was noted."""
        try:
            data = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
            self.stdout.write(note_bounce(data.decode(errors="replace")))
        except OSError as problem:
            raise CommandError(f"{file} can't be read: {problem.strerror}.") from None
        except BounceUnread as unread:
            raise CommandError(str(unread)) from None
