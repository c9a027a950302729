"""How fast an edit is: against working everything out and storing it, in a database of its own."""

import copy
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.db import connection, transaction
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext, setup_databases, teardown_databases
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_pattern
from catalogue.drafts.patterns import load_pattern
from catalogue.models import Pattern, Person
from catalogue.site.benches import sheets
from catalogue.site.benches.catalogue import ANSWERING
from catalogue.site.benches.ratios import BenchError, BenchRatio, BenchResult, Work, best_times
from catalogue.studio.roles import DESIGNER, give_role
from grading.models import Sheet, StoredResult
from grading.sheets.kept_sheets import forget_kept_sheets, kept_sheet, work_out_after
from grading.sheets.recalculation import recalculate

ROUNDS, EDITS_A_ROUND = 20, 4
MOST_ENGINES = 12
EDITED = "p6_ease"
MOST_DEPENDENTS, MOST_QUERIES = 20, 15
Document = dict[str, Any]
Rows = dict[tuple[str, Any], tuple[Any, ...]]


def measure() -> BenchResult:
    """Measure in a throw-away database, which is made first and destroyed after."""
    databases = setup_databases(verbosity=0, interactive=False)
    try:
        document = sheets.pattern_document(sizes=24, values=400)
        return measure_edits(load_pattern(document=document, by=None))
    finally:
        teardown_databases(databases, verbosity=0)


def measure_edits(pattern: Pattern, *, rounds: int = ROUNDS) -> BenchResult:
    """Measure edits of a stored pattern."""
    edits = Edits(pattern)
    edits.prepare(rounds * EDITS_A_ROUND + 3)
    edits.make()
    dependents = edits.dependents()
    queries, written, changed = edits.counted()
    works: list[Work] = [*[edits.make] * EDITS_A_ROUND, lambda: recalculate_all(pattern)]
    stale: dict[int, Work] = {EDITS_A_ROUND: lambda: make_stale(pattern)}
    *edits_s, full_s = best_times(works, rounds=rounds, preparations=stale)
    edit_s = min(edits_s)
    request_s, engine_s = request_times(edits, rounds=rounds)
    return BenchResult(
        "edit",
        f"best of {rounds} rounds of {EDITS_A_ROUND} edits and one full recalculation; rows of one edit",
        {
            "edit / full recalculation, 24 sizes x 400 values": BenchRatio(edit_s / full_s, 0.1),
            "dependents of the edited value": BenchRatio(dependents, MOST_DEPENDENTS),
            "whole request of a value's form / its calculation": BenchRatio(
                request_s / engine_s, MOST_ENGINES
            ),
            "queries of an edit, BEGIN and COMMIT included": BenchRatio(queries, MOST_QUERIES),
            "rows written beyond those changed (the sheet's own row is locked first)": BenchRatio(
                written - changed, 1
            ),
        },
        {
            "edit, ms": round(edit_s * 1000, 1),
            "full recalculation, ms": round(full_s * 1000, 1),
            "whole request of a value's form, ms": round(request_s * 1000, 1),
            "its calculation, ms": round(engine_s * 1000, 1),
            "rows changed": changed,
        },
    )


def request_times(edits: "Edits", *, rounds: int) -> tuple[float, float]:
    """The time of a value's form from what is typed to the answer, and of its calculation alone."""
    with override_settings(**ANSWERING):
        requests = EditRequests(edits.pattern, edits.made + 1)
        works: list[Work] = [requests.send, lambda: work_out_after(*requests.ready)]
        request_s, engine_s = best_times(works, rounds=rounds, preparations={1: requests.prepare})
    return request_s, engine_s


def make_stale(pattern: Pattern) -> None:
    """Forget what is kept and mark all that is stored as worked out by an older calculation."""
    forget_kept_sheets()
    Sheet.objects.filter(pk=pattern.sheet_id).update(fingerprint="")
    StoredResult.objects.filter(sheet_id=pattern.sheet_id).update(fingerprint="")


def recalculate_all(pattern: Pattern) -> None:
    """Read the whole pattern, check it, work it out, and store every result.

    An edit does each of these too, as far as something hangs on it.
    """
    with transaction.atomic():
        current = Pattern.objects.select_related("sheet").get(pk=pattern.pk)
        recalculate(sheet=current.sheet, document=pattern_document(current))


@dataclass
class Edits:
    """One edit after another of the same value, each to a number it never had: nothing is known of it."""

    pattern: Pattern
    made: int = 0
    ready: list[Document] = field(default_factory=list)

    def make(self) -> None:
        """Edit by the one path of edits; the document has come from a form before."""
        edit_pattern(pattern=self.pattern, revision=1 + self.made, change=lambda _: self.ready.pop())
        self.made += 1

    def prepare(self, number: int) -> None:
        """Have documents ready, as forms would hand them over."""
        stored = pattern_document(Pattern.objects.select_related("sheet").get(pk=self.pattern.pk))
        self.ready = [self._edited(stored, at) for at in range(number)]

    def _edited(self, document: Document, at: int) -> Document:
        """The document with another ease in all sizes."""
        edited = copy.deepcopy(document)
        (value,) = [one for one in edited["values"] if one["name"] == EDITED]
        value["list"] = [f"{5 + (self.made + at) / 10} cm"] * len(edited["sizes"])
        return edited

    def dependents(self) -> int:
        """How many results hang on the edited value: those that get another fingerprint with it."""
        before = self._fingerprints()
        self.make()
        after = self._fingerprints()
        return sum(before[key] != after[key] for key in after) - 1

    def _fingerprints(self) -> dict[tuple[str, str], str]:
        """The stored fingerprints."""
        rows = StoredResult.objects.filter(sheet_id=self.pattern.sheet_id)
        return {(part, name): mark for part, name, mark in rows.values_list("part", "name", "fingerprint")}

    def counted(self) -> tuple[int, int, int]:
        """How many queries an edit takes, how many rows it writes, and how many are others afterwards."""
        before = _all_rows()
        with CaptureQueriesContext(connection) as queries, _counting_writes() as writes:
            self.make()
        after = _all_rows()
        changed = sum(before.get(key) != after.get(key) for key in before.keys() | after.keys())
        if not changed:
            raise BenchError("The edit changed nothing: nothing was measured.")
        return len(queries), sum(writes), changed


class EditRequests:
    """One edit after another by the form of a value's page, as a browser sends it."""

    def __init__(self, pattern: Pattern, revision: int) -> None:
        self.pattern, self.revision = pattern, revision
        self.browser = Client()
        person = Person.objects.create_user(f"{pattern.slug}@larkmoss.example")
        give_role(person=person, role=DESIGNER)
        self.browser.force_login(person)
        self.address = reverse("value", args=[pattern.slug, EDITED])
        self.typed = {"name": EDITED, "was": EDITED, "label": "Ease", "kind": "length", "source": "list"}

    def send(self) -> None:
        """Send the form with a number that it never had."""
        sizes = len(self.pattern.sheet.graded_sizes)
        cells = {f"list__{place}": f"{100 + self.revision} mm" for place in range(sizes)}
        answer = self.browser.post(self.address, {**self.typed, **cells, "revision": self.revision})
        if answer.status_code != 302:
            raise BenchError(f"The form was not saved: the answer was {answer.status_code}.")
        self.revision += 1

    def prepare(self) -> None:
        """Have the stored sheet and another document ready, which nobody has worked out yet."""
        stored = Pattern.objects.select_related("sheet").get(pk=self.pattern.pk)
        before = kept_sheet(stored.sheet.fingerprint)
        if before is None:
            raise BenchError("The sheet that was saved is not kept.")
        document = copy.deepcopy(before.document)
        (value,) = [one for one in document["values"] if one["name"] == EDITED]
        value["list"] = [f"{200 + self.revision} mm"] * len(document["sizes"])
        self.ready = before, document


def _all_rows() -> Rows:
    """Every row of every table by its key, which stands first."""
    with connection.cursor() as cursor:
        rows: Rows = {}
        for table in connection.introspection.django_table_names(only_existing=True):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")  # noqa: S608  our own names
            rows |= {(table, row[0]): row for row in cursor.fetchall()}
    return rows


@contextmanager
def _counting_writes() -> Iterator[list[int]]:
    """Collect how many rows each statement wrote."""
    written: list[int] = []

    def count(execute: Any, sql: str, params: Any, many: bool, context: dict[str, Any]) -> Any:
        result = execute(sql, params, many, context)
        if sql.startswith("INSERT"):
            columns = sql[sql.index("(") : sql.index(")")].count(",") + 1
            written.append(len(params) // columns)
        elif sql.startswith(("UPDATE", "DELETE")):
            written.append(context["cursor"].rowcount)
        return result

    with connection.execute_wrapper(count):
        yield written
