"""Grade a pattern file without a database."""

import json
import sys
from argparse import ArgumentParser
from dataclasses import replace
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from grading.core.audit.count_findings import CountFindings, as_findings, count_findings
from grading.core.audit.patterns import audit_pattern
from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import Graded, grade
from grading.core.grade.text import graded_lines
from grading.core.grade.worked_pieces import worked_piece_findings
from grading.core.instructions.asked_words import words_asked
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern, text_of_file

STOPPED, REFUSED = 1, 2


class Command(BaseCommand):
    """Work out a pattern file; exit 1 if anything stands in the way, 2 if the file does not fit."""

    help = "Work out a pattern file for all its sizes, with no database."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a file name and the form of the output."""
        parser.add_argument("file", type=Path, help="a pattern file (JSON)")
        parser.add_argument("--json", action="store_true", help="print JSON instead of a table")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Read, grade, print."""
        try:
            graded = with_words_asked(grade(read_pattern(text_of_file(options["file"]))))
        except PatternFileError as error:
            self.stderr.write(f"{options['file']} does not fit. {error}")
            sys.exit(REFUSED)
        lines = audit_pattern(facts_of(graded.pattern, graded))
        graded = replace(graded, findings=(*graded.findings, *worked_piece_findings(lines, graded)))
        counts = count_findings(lines, graded.sizes)
        self.write(graded, counts, as_json=options["json"])
        if graded.stops or counts.faults:
            sys.exit(STOPPED)

    def write(self, graded: Graded, counts: CountFindings, *, as_json: bool) -> None:
        """Print the results, what the count audit found after the others."""
        if as_json:
            results = graded.as_json()
            found = [one.as_json() for one in as_findings(counts, graded.pattern)]
            results = {**results, "findings": [*results["findings"], *found]}
            self.stdout.write(json.dumps(results, ensure_ascii=False, indent=1))
            return
        for line in graded_lines(graded):
            self.stdout.write(line)
        for fault in counts.faults:
            self.stdout.write(f"{fault.where} {', '.join(fault.sizes)} (stop): {fault.sentence}")
        self.stdout.write(f"{counts.sentence}.")


def with_words_asked(graded: Graded) -> Graded:
    """A graded pattern with what makers would have to ask for, as it is told before publishing."""
    return replace(graded, findings=(*graded.findings, *words_asked(graded.pattern)))
