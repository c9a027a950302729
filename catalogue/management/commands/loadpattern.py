"""Load a pattern file as a draft."""

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from catalogue.drafts.patterns import SlugTaken, load_pattern
from grading.core.formula.errors import PatternFileError
from grading.grid.refusals import spot_in_words


class Command(BaseCommand):
    """loadpattern FILE [--replace]."""

    help = "Load a pattern file as a draft; an existing draft is replaced only with --replace."

    def add_arguments(self, parser: CommandParser) -> None:
        """Describe the arguments."""
        parser.add_argument("file", type=Path, help="A pattern file (JSON).")
        parser.add_argument("--replace", action="store_true", help="Replace the draft; versions stay.")

    def handle(self, *_: Any, **options: Any) -> None:
        """Load the file, or say why not; exit status 2 for a file that does not fit."""
        text = ""
        try:
            text = options["file"].read_text(encoding="utf-8-sig")
            pattern = load_pattern(document=text, by=None, replace=options["replace"])
        except PatternFileError as error:
            place = ", ".join(filter(None, (spot_in_words(error.path, text), error.path)))
            self.stderr.write(f"{options['file'].name}: {place}: {error.reason}")
            sys.exit(2)
        except UnicodeDecodeError:
            self.stderr.write(f"{options['file'].name}: $: This is not UTF-8 text.")
            sys.exit(2)
        except OSError as error:
            raise CommandError(
                f"{options['file']} can’t be read ({error.strerror}): look at its name and place."
            ) from None
        except SlugTaken as error:
            raise CommandError(f"{str(error).rstrip('.')} with --replace.") from None
        self.stdout.write(f"Loaded {pattern.slug}.")
