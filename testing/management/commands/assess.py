"""Assess a results file without a database."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import text_of_file
from testing.assessment.assessment_json import assess_results
from testing.assessment.results_files import SentResults, read_results
from testing.verdicts.sentences import VERDICT_WORDS

REFUSED = 2


class Command(BaseCommand):
    """Say what testers' results say about a pattern; exit 2 if the file does not fit."""

    help = "Say what a results file says about its pattern: is it the pattern, the gauge or the tape?"
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a file name and the form of the output."""
        parser.add_argument(
            "file", type=Path, help="the results file of a call (JSON), from the page of its results"
        )
        parser.add_argument("--json", action="store_true", help="print JSON instead of lines")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Read, assess, print."""
        try:
            sent = read_results(text_of_file(options["file"]))
        except PatternFileError as error:
            self.stderr.write(f"{options['file']} does not fit. {error}")
            sys.exit(REFUSED)
        answer = assess_results(sent)
        if options["json"]:
            self.stdout.write(json.dumps(answer, ensure_ascii=False, indent=1))
            return
        for line in _lines(answer, sent):
            self.stdout.write(line)


def _lines(answer: dict[str, Any], sent: SentResults) -> list[str]:
    """The answer for people."""
    labels = {line.name: line.label for line in sent.lines}
    verdicts = [_verdict_line(labels[name], found) for name, found in answer["measurements"].items()]
    doubts = [
        f"Doubtful: {doubt['maker']}, {labels[doubt['measurement']]}, looks like {doubt['looks_like']}."
        for doubt in answer["doubtful"]
    ]
    yarn = [
        f"Yarn, {fabric}: {found['factor']:.3f} of what was computed; {found['testers']} testers."
        for fabric, found in answer["yarn"].items()
    ]
    gauges = [
        f"Doubtful: the gauge of {one['maker']}, not the measurements; looks like {one['looks_like']}."
        for one in answer["gauges"]
    ]
    return [*verdicts, *gauges, *doubts, *yarn]


def _verdict_line(label: str, found: dict[str, Any]) -> str:
    """One verdict."""
    errors = ", ".join(f"{error / 10:+.1f}" for error in found["error"])
    of_sizes = f" ({', '.join(found['sizes'])})" if found["verdict"] == "sizes" else ""
    verdict = f"{VERDICT_WORDS[found['verdict']]}{of_sizes}"
    return f"{label}: {verdict}; cm by size {errors}; {found['rests_on']} results."
