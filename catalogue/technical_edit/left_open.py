"""What is still open when an editor is about to sign."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.utils.module_loading import import_string

from catalogue.drafts.patterns import graded
from catalogue.models import EditQuery, Pattern, Person
from catalogue.sheets.used_tables import UsedTable, unchecked_tables
from catalogue.technical_edit.settled import Settled, settled_of
from catalogue.technical_edit.signing_stops import SigningStop, signing_stops
from catalogue.technical_edit.work_lists import Progress, reading_progress
from catalogue.versions.records import Record
from grading.grid.finding_groups import finding_groups


@dataclass(frozen=True)
class LeftOpen:
    """What an editor sees before signing; stops and queries without an answer forbid it."""

    stops: list[SigningStop]
    unanswered: list[EditQuery]
    own: list[EditQuery]
    unsettled: list[EditQuery]
    """Answered, and not yet settled by who asks; those of `own` apart."""
    progress: Progress
    unreadable_rows: int
    warnings: list[str]
    """What each finding that is no Stop says, with where it is."""
    settled: Settled
    tables: list[UsedTable]
    """Published size tables that the numbers come from and nobody has compared in full."""
    untested: str
    found: Any
    """What testers found: `wrong`, `in_doubt`, `yarn`, `remarks`, the `version`, the `address` of all."""

    @property
    def forbids(self) -> bool:
        """Whether nothing can be signed yet."""
        return bool(self.stops or self.unanswered)

    @property
    def is_open(self) -> bool:
        """Whether anything is left that an editor looks at before signing."""
        found, by_construction = self.found, self.settled.by_construction
        told = found and (found.wrong or found.in_doubt or found.remarks or found.yarn)
        left = self.progress.unread, self.unreadable_rows, self.warnings, self.tables, self.untested, self.own
        return self.forbids or bool(told or by_construction or self.unsettled or any(left))


def left_open(
    pattern: Pattern, record: Record, editor: Person | None, queries: Sequence[EditQuery]
) -> LeftOpen:
    """Gather what is open: errors, queries, cells, rows that can't be read, findings, what testers found."""
    counted, findings = record["count_audit"], record["results"]["findings"]
    groups = finding_groups(record["pattern"], findings)
    own = [one for one in queries if one.is_blocking and one.is_self_answered]
    ended = [f"{name} is no longer made" for name in record.get("ended_names", ())]
    return LeftOpen(
        stops=list(signing_stops(record)),
        unanswered=[one for one in queries if not one.answer],
        own=own,
        unsettled=[one for one in queries if one.answer and not one.settled_at and one not in own],
        progress=reading_progress(pattern, editor),
        unreadable_rows=counted["total"] - counted["checked"],
        warnings=[group.sentence for group in groups if group.weight == "warn"] + ended,
        settled=settled_of(record["pattern"], graded(pattern)),
        tables=unchecked_tables(record["pattern"]),
        untested=import_string(settings.UNTESTED_SIZES)(pattern, record["results"]["sizes"]),
        found=import_string(settings.FOUND_BY_TESTERS)(pattern, editor.units if editor else "cm"),
    )
