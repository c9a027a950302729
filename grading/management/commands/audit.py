"""Audit the counts of a pattern file, or of written rows, without a database."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from grading.core.audit.patterns import Line, audit_pattern
from grading.core.audit.row_files import audit_rows, line_json
from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade
from grading.core.instructions.asked_words import of_words
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern, text_of_file
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding
from grading.management.commands.grade import REFUSED, STOPPED, with_words_asked


class Command(BaseCommand):
    """Work every written row; exit 1 if any count disagrees, 2 if the file does not fit."""

    help = (
        "Work the written rows of a pattern file, or of a list of rows; compare counts, and read the words."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take a file name and the form of the output."""
        parser.add_argument("file", type=Path, help="a pattern file, or a list of rows (JSON)")
        parser.add_argument("--json", action="store_true", help="print JSON instead of lines")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Read, work, print."""
        try:
            answers, verdicts = self.answers(text_of_file(options["file"]), as_json=options["json"])
        except PatternFileError as error:
            self.stderr.write(f"{options['file']} does not fit. {error}")
            sys.exit(REFUSED)
        for line in answers:
            self.stdout.write(line)
        if "disagrees" in verdicts:
            sys.exit(STOPPED)

    def answers(self, text: str, *, as_json: bool) -> tuple[list[str], list[str]]:
        """The lines to print, and the verdict of every row."""
        try:
            data = json.loads(text)
        except (ValueError, RecursionError) as error:
            raise PatternFileError("$", f"The file is not JSON: {error}.") from None
        if isinstance(data, list):
            found = audit_rows(data)
            rows = [row for entry in found for row in entry.get("rows", [entry])]
            lines = (
                [json.dumps(found, ensure_ascii=False, indent=1)] if as_json else list(map(_row_line, rows))
            )
            return lines, [row["verdict"] for row in rows]
        pattern = read_pattern(text)
        graded = with_words_asked(grade(pattern))
        worked = audit_pattern(facts_of(pattern, graded))
        verdicts = [counted.verdict for line in worked for counted in line.sizes]
        if as_json:
            answers = [answer for line in worked for answer in line_json(line, pattern)]
            return [json.dumps(answers, ensure_ascii=False, indent=1)], verdicts
        words = [_word_line(one, pattern) for one in of_words(graded.findings)]
        return [*(_pattern_line(line, pattern) for line in worked), *words, _summary(worked)], verdicts


def _row_line(row: dict[str, Any]) -> str:
    says = f": {row['says']}" if row["says"] else ""
    return f"{row['id']}: {row['verdict']}{says}"


def _pattern_line(line: Line, pattern: PatternFile) -> str:
    """A line for people: where, what, and in which sizes it does not come out."""
    place = f"{pattern.sections[line.section].title}, step {line.step + 1}"
    chosen = "".join(f", {choice}" for _, choice in line.options)
    counts = " ".join("-" if counted.stitches is None else str(counted.stitches) for counted in line.sizes)
    faults = {
        counted.audited.says: size
        for size, counted in zip(reversed(pattern.sizes), reversed(line.sizes), strict=True)
        if counted.audited is not None and counted.verdict == line.verdict and counted.audited.says
    }
    says = "".join(f" {size}: {fault}." for fault, size in faults.items())
    return f"{place}{chosen}: {line.verdict}. {' '.join(line.text.split())} [{counts}]{says}"


def _word_line(finding: Finding, pattern: PatternFile) -> str:
    """What is noticed in the words of a section or a step, for people."""
    section, _, step = finding.where.partition(".")
    number = section.removeprefix("sections").strip("[]")
    title = pattern.sections[int(number)].title if number else "Instructions"
    place = f"{title}, step {int(step.removeprefix('steps').strip('[]')) + 1}" if step else title
    size = f", {finding.size}" if finding.size else ""
    return f"{place}{size}: {finding.weight}. {finding.says}"


def _summary(lines: list[Line] | tuple[Line, ...]) -> str:
    read = sum(line.verdict != "unreadable" for line in lines)
    wrong = sum(line.verdict == "disagrees" for line in lines)
    return f"{read} of {len(lines)} lines checked, {wrong} of them disagree."
