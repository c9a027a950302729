"""What the server does for the grid of a large sheet: its page, previews, saves, with new lines or without.

Time is that of the processor, so that what else the machine does counts for nothing. Each is held against
reading and working out the whole pattern file once.
"""

import json
from typing import Any

from django.db import connection
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext, setup_databases, teardown_databases
from django.urls import reverse

from catalogue.drafts.patterns import load_pattern
from catalogue.models import Pattern, Person
from catalogue.site.benches import sheets
from catalogue.site.benches.catalogue import ANSWERING
from catalogue.site.benches.ratios import BenchError, BenchRatio, BenchResult, processor_times
from catalogue.studio.roles import DESIGNER, give_role
from grading.core.grade.grade import grade
from grading.core.pattern.file import forget_fitting_files, read_pattern

ROUNDS = 12
NEW_LINES = 3
EDITED = "p6_ease"
MOST_QUERIES = 15
# Wanted are 120, 80 and 250 ms where the whole takes 80; a fifth more is left for what a busy machine adds.
MOST_PREVIEW, MOST_SAVE, MOST_PAGE = (1.2 * wanted_ms / 80 for wanted_ms in (120, 80, 250))


def measure() -> BenchResult:
    """Measure in a throw-away database, which is made first and destroyed after."""
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        document = sheets.pattern_document(sizes=24, values=400)
        return measure_desk(load_pattern(document=document, by=None), document)
    finally:
        teardown_databases(databases, verbosity=0)


def measure_desk(pattern: Pattern, document: dict[str, Any], *, rounds: int = ROUNDS) -> BenchResult:
    """Measure the requests of the grid for a stored pattern."""
    with override_settings(**ANSWERING):
        grid = GridRequests(pattern)
        works = {
            "the whole file, read and worked out": lambda: work_out(json.dumps(document)),
            "sheet page": grid.look,
            "preview of a change": grid.preview,
            f"preview with {NEW_LINES} newest lines": lambda: grid.preview(NEW_LINES),
            "save of a change": grid.save,
            f"save with {NEW_LINES} newest lines": lambda: grid.save(NEW_LINES),
        }
        whole_s, page_s, *asked_s = processor_times(list(works.values()), rounds=rounds)
        queries = grid.queries_of_preview()
    names = list(works)
    most = [MOST_PREVIEW, MOST_PREVIEW, MOST_SAVE, MOST_SAVE]
    ratios = {f"{names[1]} / {names[0]}": BenchRatio(page_s / whole_s, MOST_PAGE)}
    for name, took_s, limit in zip(names[2:], asked_s, most, strict=True):
        ratios[f"{name} / {names[0]}"] = BenchRatio(took_s / whole_s, limit)
    ratios["queries of a preview"] = BenchRatio(queries, MOST_QUERIES)
    times_s = [whole_s, page_s, *asked_s]
    notes = {f"{name}, ms": round(took_s * 1000, 1) for name, took_s in zip(names, times_s, strict=True)}
    runs = f"best of {rounds} rounds, 24 sizes x 400 values, time of the processor"
    return BenchResult("desk", runs, ratios, notes)


def work_out(text: str) -> None:
    """Read a pattern file as if it had never been read, and grade it."""
    forget_fitting_files()
    grade(read_pattern(text))


class GridRequests:
    """What a browser sends from the grid, each time with numbers and lines that the sheet never had."""

    def __init__(self, pattern: Pattern) -> None:
        self.slug, self.revision, self.made, self.stands = pattern.slug, 1, 0, "6"
        self.browser = Client()
        person = Person.objects.create_user(f"{pattern.slug}@larkmoss.example")
        give_role(person=person, role=DESIGNER)
        self.browser.force_login(person)

    def look(self) -> None:
        """Open the sheet."""
        answer = self.browser.get(reverse("sheet", args=[self.slug]))
        if answer.status_code != 200:
            raise BenchError(f"The sheet was not shown: the answer was {answer.status_code}.")

    def preview(self, new: int = 0) -> None:
        """Ask what a change would move."""
        self._send("grid_preview", new)

    def save(self, new: int = 0) -> None:
        """Save a change."""
        self.stands = self._send("grid_save", new)
        self.revision += 1

    def queries_of_preview(self) -> int:
        """How many queries a preview with newest lines takes."""
        with CaptureQueriesContext(connection) as queries:
            self.preview(NEW_LINES)
        return len(queries)

    def _send(self, name: str, new: int) -> str:
        """Send a change with so many lines; what it types."""
        self.made += 1
        text = f"{10 + self.made}"
        change = {"part": "values", "name": EDITED, "field": "0", "was": self.stands, "text": text}
        added = [
            {
                "part": "values",
                "id": f"+{place}",
                "fields": {"label": f"Newest {self.made} {place}", "source": f"{EDITED} * {place + 2}"},
            }
            for place in range(new)
        ]
        batch = {"revision": self.revision, "changes": [change], "added": added, "deleted": [], "order": {}}
        address = reverse(name, args=[self.slug])
        answer = self.browser.post(address, json.dumps(batch), content_type="application/json")
        if answer.status_code != 200 or answer.json()["refused"] or answer.json()["conflicts"]:
            raise BenchError(f"The grid was refused: the answer was {answer.status_code}.")
        return text
