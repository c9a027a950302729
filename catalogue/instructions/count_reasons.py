"""Counts that do not come out: what stands in the way of a release, and what is kept with a reason."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from catalogue.drafts.patterns import graded
from catalogue.instructions.row_accounts import audit_lines
from catalogue.models import CountReason, Pattern, Person
from grading.core.audit.count_findings import CountFault, CountFindings, count_findings


class FaultGone(Exception):
    """No such count is wrong (any more)."""


@dataclass(frozen=True)
class Judged:
    """A count that does not come out, and why it stays so, where somebody wrote that."""

    fault: CountFault
    title: str
    reason: CountReason | None

    @property
    def place(self) -> str:
        """Where it is, as it is told."""
        return f"{self.title}, step {self.fault.step + 1}"

    @property
    def sizes(self) -> str:
        """In which sizes."""
        return ", ".join(self.fault.sizes)

    @property
    def anchor(self) -> str:
        """Its row on the page of the account."""
        return f"row-{self.fault.line + 1}"


def counts_found(pattern: Pattern) -> CountFindings:
    """What the count audit finds in a pattern as it stands."""
    return count_findings(audit_lines(pattern), graded(pattern).sizes)


def judged_faults(pattern: Pattern) -> list[Judged]:
    """Counts that do not come out, those without a reason first."""
    faults = counts_found(pattern).faults
    if not faults:
        return []
    reasons = {one.key: one for one in pattern.count_reasons.select_related("by")}
    sections = graded(pattern).pattern.sections
    judged = [Judged(fault, sections[fault.section].title, reasons.get(fault.key)) for fault in faults]
    return sorted(judged, key=lambda one: one.reason is not None)


@transaction.atomic
def keep_fault(*, pattern: Pattern, key: str, reason: str, by: Person | None) -> None:
    """Keep a count as it is, with a reason; an empty one takes the reason back.

    Raises:
        FaultGone: The words or the numbers were changed meanwhile.
    """
    if key not in {fault.key for fault in counts_found(pattern).faults}:
        raise FaultGone
    if not reason:
        pattern.count_reasons.filter(key=key).delete()
        return
    CountReason.objects.update_or_create(pattern=pattern, key=key, defaults={"reason": reason, "by": by})


def count_record(pattern: Pattern) -> dict[str, Any]:
    """What a version keeps of the count audit: how many rows were checked, and the reasons."""
    found = counts_found(pattern)
    return {"checked": found.checked, "total": found.total, "faults": list(_fault_records(pattern))}


def _fault_records(pattern: Pattern) -> Iterator[dict[str, Any]]:
    for one in judged_faults(pattern):
        yield {
            "where": one.fault.where,
            "sizes": list(one.fault.sizes),
            "options": dict(one.fault.options),
            "says": one.fault.sentence,
            "reason": one.reason.reason if one.reason else "",
        }
