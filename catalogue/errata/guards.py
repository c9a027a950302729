"""Guards: checks that are kept with an erratum, so that a corrected mistake can't come back."""

import json
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.guard_findings import guarded_line, mistake_stops
from catalogue.errata.errata import ErratumRefused, note_event
from catalogue.models import Erratum, Guard, Pattern, Person, Version
from catalogue.versions.freezing import record_pattern
from catalogue.versions.frozen_grades import numbers_digest
from catalogue.versions.frozen_work import Asked, kept_all
from catalogue.versions.held_errata import hold_erratum
from catalogue.versions.records import Record, read_record
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile
from grading.grid.statement_words import statement_words
from grading.sheets.documents import Document

STATES = ("confirmed", "corrected")


@dataclass(frozen=True)
class JudgedGuard:
    """A guard with what it says of one state of the pattern: where it fails, or why it can't be told."""

    guard: Guard
    fails_in: tuple[str, ...]
    problem: str = ""

    @property
    def holds(self) -> bool:
        """Whether it was worked out and holds in every size."""
        return not self.fails_in and not self.problem

    @property
    def words(self) -> str:
        """The verdict in words."""
        if self.problem:
            return f"can't be worked out: {self.problem}"
        return f"fails in {', '.join(self.fails_in)}" if self.fails_in else "holds"


@transaction.atomic
def add_guard(*, erratum: Erratum, holds: str, says: str, by: Person | None) -> Guard:
    """Attach a check to an erratum.

    Raises:
        ErratumRefused: It can't be worked out on the pattern as it stands.
    """
    hold_erratum(erratum)
    guard = Guard(erratum=erratum, holds=holds, says=says)
    (judged,) = judge_draft(erratum.pattern, [guard])
    if judged.problem:
        raise ErratumRefused(f"The guard can't be worked out: {judged.problem}")
    is_stopping = bool(judged.fails_in) and erratum.state in STATES
    guard.broken_since = timezone.now() if is_stopping else None
    guard.save()
    note_event(erratum, by, f"Guarded by: {holds}")
    return guard


def remove_guard(*, guard: Guard, by: Person | None) -> None:
    """Take a guard away; the history keeps that it was there."""
    with transaction.atomic():
        note_event(guard.erratum, by, f"No longer guarded by: {guard.holds}")
        guard.delete()


def guards_of(pattern: Pattern) -> list[Guard]:
    """The guards of everything that was found to be a mistake."""
    known = Guard.objects.filter(erratum__pattern=pattern, erratum__state__in=STATES)
    return list(known.select_related("erratum"))


def judge_draft(pattern: Pattern, guards: Sequence[Guard]) -> list[JudgedGuard]:
    """What guards say of a pattern as it stands on the desk."""
    return _judge(read_pattern(pattern_document(pattern)), guards)


def judge_version(version: Version, guards: Sequence[Guard]) -> list[JudgedGuard]:
    """What guards say of a frozen version."""
    return judge_record(read_record(version.record), guards)


def judge_record(record: Record, guards: Sequence[Guard]) -> list[JudgedGuard]:
    """What guards say of a record: worked out once for each, and kept."""
    numbers = numbers_digest(record)

    def make(missing: Collection[Asked]) -> dict[Asked, str]:
        judged = _judge(record_pattern(record), [Guard(holds=holds, says="Guarded.") for _, holds in missing])
        return {(numbers, one.guard.holds): json.dumps([one.fails_in, one.problem]) for one in judged}

    made = kept_all("guard", {(numbers, guard.holds) for guard in guards}, make)
    verdicts = [json.loads(made[numbers, guard.holds]) for guard in guards]
    return [
        JudgedGuard(guard, tuple(fails_in), problem)
        for guard, (fails_in, problem) in zip(guards, verdicts, strict=True)
    ]


def broken_guards(pattern: Pattern, record: Record) -> list[tuple[Guard, str, str]]:
    """Each guard that a record breaks, the sentence that stops its publication, and the line to mend.

    The line is empty where the guard itself has to be mended, at its erratum.
    """
    document, judged = record["pattern"], judge_record(record, guards_of(pattern))
    return [
        (
            one.guard,
            _broken_sentence(one, document),
            "" if one.problem else guarded_line(document, one.guard.holds),
        )
        for one in judged
        if not one.holds
    ]


def _broken_sentence(judged: JudgedGuard, document: Document) -> str:
    """What a broken guard says before publishing, in the words of the sheet."""
    wanted, mistake = statement_words(document, judged.guard.holds), judged.guard.says.rstrip(".")
    if judged.problem:
        return (
            f"A guard against a known mistake can't be worked out: {mistake} (wanted: {wanted}). "
            f"{judged.problem.rstrip('.')}. Correct the guard on the page of its erratum."
        )
    return (
        f"{mistake_stops(judged.guard)} in {', '.join(judged.fails_in)}: {mistake} "
        f"(wanted: {wanted}). Correct the line, or delete the guard on the page of its erratum."
    )


def _judge(core: PatternFile, guards: Sequence[Guard]) -> list[JudgedGuard]:
    """Work the guards out as checks of the pattern, beside its own."""
    if not guards:
        return []
    taken = [check["name"] for check in core.typed.get("checks", [])]
    start = "guard_" + "x" * sum(name.startswith("guard_") for name in taken)
    names = [f"{start}{place}" for place in range(len(guards))]
    checks = [
        {"name": name, "holds": guard.holds, "says": guard.says, "weight": "stop"}
        for name, guard in zip(names, guards, strict=True)
    ]
    document = {**core.typed, "checks": [*core.typed.get("checks", []), *checks]}
    found = grade(read_pattern(document)).as_json()
    return [_judged(guard, name, found) for name, guard in zip(names, guards, strict=True)]


def _judged(guard: Guard, name: str, found: dict[str, Any]) -> JudgedGuard:
    """Read one guard's verdict: a finding without a size is a statement that can't be worked out."""
    findings = [one for one in found["findings"] if one["where"] == f"checks.{name}"]
    problem = next((one["says"] for one in findings if one["size"] is None), "")
    verdicts = zip(found["sizes"], found["checks"][name], strict=True)
    return JudgedGuard(guard, tuple(size for size, holds in verdicts if holds is False), problem)
