"""Place the testers of a call file without a database."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import text_of_file
from testing.placing.files import MOST_CHARACTERS, placing_json, read_task
from testing.placing.placing import Placing, place_testers

REFUSED = 2


class Command(BaseCommand):
    """Propose who makes which size; exit 2 if the file does not fit."""

    help = "Propose who makes which size in a test call, from a file, with no database."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a file name and the form of the output."""
        parser.add_argument("file", type=Path, help="sizes, body, places, applicants and seed (JSON)")
        parser.add_argument("--json", action="store_true", help="print JSON instead of lines")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Read, place, print."""
        try:
            placing = place_testers(read_task(text_of_file(options["file"], MOST_CHARACTERS)))
        except PatternFileError as error:
            self.stderr.write(f"{options['file']} does not fit. {error}")
            sys.exit(REFUSED)
        if options["json"]:
            self.stdout.write(json.dumps(placing_json(placing), ensure_ascii=False, indent=1))
            return
        for line in _lines(placing):
            self.stdout.write(line)


def _lines(placing: Placing) -> list[str]:
    """The proposal for people: everybody with their reason, then the sums."""
    everybody = list(placing.placed) + placing.waiting
    lines = [f"{name}: {placing.placed.get(name, 'waiting')}. {placing.reasons[name]}" for name in everybody]
    sums = f"{placing.filled} places filled, {placing.filled_at_least} of them needed"
    return [*lines, f"{sums}; total cost {float(placing.cost_cm):.2f}; seed {placing.seed}."]
