"""Write a pattern out as a pattern file."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from catalogue.drafts.documents import document_text, pattern_document
from catalogue.models import Pattern


class Command(BaseCommand):
    """exportpattern SLUG [--out FILE]."""

    help = "Write a pattern's draft as a pattern file, as it was typed."

    def add_arguments(self, parser: CommandParser) -> None:
        """Describe the arguments."""
        parser.add_argument("slug", help="The pattern, as in its address.")
        parser.add_argument("--out", type=Path, help="The file to write; without it, the screen.")

    def handle(self, *_: Any, **options: Any) -> None:
        """Write the file."""
        pattern = Pattern.objects.select_related("sheet").filter(slug=options["slug"]).first()
        if pattern is None:
            raise CommandError(
                f"There is no pattern “{options['slug']}”: use the last part of the link of its page."
            )
        text = document_text(pattern_document(pattern))
        if options["out"] is None:
            self.stdout.write(text)
        else:
            options["out"].write_text(text, encoding="utf-8")
