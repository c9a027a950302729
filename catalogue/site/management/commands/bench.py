"""Measures how fast the studio works, as ratios of two ways of doing the same work in one run."""

import json
from collections.abc import Callable
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from catalogue.site.benches import assess, audit, catalogue, desk, edit, grading, pages, place, publish, visit
from catalogue.site.benches.ratios import BenchError, BenchResult

BENCHES: dict[str, Callable[[], BenchResult]] = {
    "assess": assess.measure,
    "audit": audit.measure,
    "catalogue": catalogue.measure,
    "desk": desk.measure,
    "grading": grading.measure,
    "edit": edit.measure,
    "pages": pages.measure,
    "place": place.measure,
    "publish": publish.measure,
    "visit": visit.measure,
}


class Command(BaseCommand):
    """Prints one answer for each bench; ends with status 1 where a target is missed."""

    help = "Measure how the studio works, each bench by itself; a missed target gives exit status 1."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the names of benches."""
        parser.add_argument("names", nargs="+", metavar="NAME", choices=sorted(BENCHES), help="A bench.")
        parser.add_argument("--json", action="store_true", help="Print one line of JSON for each bench.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run the benches one after the other."""
        answers = [self._run(name, as_json=options["json"]) for name in options["names"]]
        missed = [name for answer in answers for name, ratio in answer.ratios.items() if not ratio.ok]
        if missed:
            raise CommandError(f"Missed: {'; '.join(missed)}.")

    def _run(self, name: str, *, as_json: bool) -> BenchResult:
        """Run one bench and print what it found."""
        try:
            answer = BENCHES[name]()
        except BenchError as error:
            raise CommandError(f"bench {name}: {error}") from None
        self.stdout.write(json.dumps(answer.as_json()) if as_json else _for_people(answer))
        return answer


def _for_people(answer: BenchResult) -> str:
    """Return an answer as lines of text."""
    found = answer.as_json()
    lines = [f"{answer.bench} on {found['machine']}: {answer.runs}"]
    for name, ratio in answer.ratios.items():
        verdict = "ok" if ratio.ok else "MISSED"
        lines.append(f"  {name}: {ratio.value:.3g} ({ratio.limit} {ratio.target:g}) {verdict}")
    return "\n".join([*lines, *[f"  {name}: {note}" for name, note in answer.notes.items()]])
