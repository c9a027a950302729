"""The editor's work list: every step in every size, what the count audit says of it, and what was read."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from catalogue.drafts.patterns import graded
from catalogue.instructions.row_accounts import AccountRow, account_of, lines_of
from catalogue.models import Pattern, Person, ReadCell
from catalogue.technical_edit.technical_edits import QueryAbout, open_queries
from grading.core.audit.patterns import Counted, Line
from grading.core.grade.grade import Graded
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.steps import render_step
from grading.core.pattern.pattern import SectionEntry
from grading.core.printing.edition import PrintForm

GRAVEST = ("disagrees", "unreadable", "agrees")
SHOWN = {
    "": "all steps",
    "changed": "changed since my last reading",
    "unread": "not read yet",
    "wrong": "counts that do not come out",
}
WORK = "cells of the work list"
LONGEST_WORDS = 90


@dataclass(frozen=True)
class WorkCell:
    """A step in one size: what the audit says, the count after it, and whether it was read as it stands."""

    size: str
    verdict: str
    says: str
    stitches: int | None
    queries: int
    digest: str
    reading: str
    """read, changed (since it was read), or "" where it was never read."""

    @property
    def sent(self) -> str:
        """What a tick sends: the size, and what was seen of it."""
        return f"{self.size}|{self.digest}"


@dataclass(frozen=True)
class WorkStep:
    """A step with its sizes; sections and steps count from 1."""

    section: int
    step: int
    title: str
    words: str
    cells: tuple[WorkCell, ...]


@dataclass(frozen=True)
class Readings:
    """What somebody has read of a pattern: by place, and by what was read."""

    places: frozenset[tuple[int, int, str]]
    seen: frozenset[tuple[str, str]]

    def of(self, place: tuple[int, int, str], digest: str) -> str:
        """How a cell stands."""
        if (place[2], digest) in self.seen:
            return "read"
        return "changed" if place in self.places else ""


def work_list(pattern: Pattern, person: Person | None, show: str = "") -> list[WorkStep]:
    """Every step that is worked, of those that are asked for."""
    steps = _steps(pattern, _readings(pattern, person))
    wanted = {
        "changed": lambda cell: cell.reading == "changed",
        "unread": lambda cell: cell.reading != "read",
        "wrong": lambda cell: cell.verdict == "disagrees",
    }.get(show)
    return [step for step in steps if wanted is None or any(map(wanted, step.cells))]


def _readings(pattern: Pattern, person: Person | None) -> Readings:
    found = list(pattern.read_cells.filter(by=person)) if person else []
    return Readings(
        frozenset((one.section, one.step, one.size) for one in found),
        frozenset((one.size, one.digest) for one in found),
    )


def _steps(pattern: Pattern, readings: Readings) -> list[WorkStep]:
    asked = [(query.place, query.size) for query in open_queries(pattern)]
    return [replace(step, cells=_read(step, readings, asked)) for step in _steps_of(graded(pattern))]


def _read(step: WorkStep, readings: Readings, asked: Sequence[tuple[str, str]]) -> tuple[WorkCell, ...]:
    """The cells of a step with what was read and asked of them."""
    i, j = step.section - 1, step.step - 1
    where = f"sections[{i}].steps[{j}]"
    return tuple(
        replace(
            cell,
            queries=sum(place == where and size in ("", cell.size) for place, size in asked),
            reading=readings.of((i, j, cell.size), cell.digest),
        )
        for cell in step.cells
    )


def _steps_of(made: Graded) -> tuple[WorkStep, ...]:
    """The steps as they stand; kept for as long as the document stays the same."""
    memo = made.pattern.memo
    if WORK not in memo:
        facts = facts_of(made.pattern, made)
        lines: dict[tuple[int, int], list[Line]] = {}
        for line in lines_of(made):
            lines.setdefault((line.section, line.step), []).append(line)
        memo[WORK] = tuple(
            WorkStep(
                i + 1,
                j + 1,
                section.title,
                _words(facts, section, words),
                _cells(facts, section, words, lines.get((i, j), [])),
            )
            for i, section in enumerate(made.pattern.sections)
            for j, words in enumerate(section.steps)
        )
    steps: tuple[WorkStep, ...] = memo[WORK]
    return steps


def _words(facts: Facts, section: SectionEntry, words: str) -> str:
    """The beginning of a step as printed for all sizes."""
    printed = " ".join(part.text for part in render_step(words, facts, PrintForm(), section.when))
    return _shortened(" ".join(printed.split()))


def _cells(facts: Facts, section: SectionEntry, words: str, lines: Sequence[Line]) -> tuple[WorkCell, ...]:
    return tuple(
        _cell(
            size,
            [section.title, *_printed(facts, section, words, size)],
            [line.sizes[number] for line in lines if line.sizes[number].audited is not None],
        )
        for number, size in enumerate(facts.pattern.sizes)
    )


def _printed(facts: Facts, section: SectionEntry, words: str, size: str) -> list[str]:
    edition = PrintForm("both", facts.home_terms, size)
    return [part.text for part in render_step(words, facts, edition, section.when)]


def _cell(size: str, printed: Sequence[str], counted: Sequence[Counted]) -> WorkCell:
    """A cell that nobody has read or asked about."""
    told = [f"{one.verdict} {one.stitches} {one.rows}" for one in counted]
    digest = hashlib.sha256("\n".join([*printed, *told]).encode()).hexdigest()
    worst = min(counted, key=lambda one: GRAVEST.index(one.verdict), default=None)
    says = worst.audited.says if worst and worst.audited and worst.verdict != "agrees" else ""
    stitches = counted[-1].stitches if counted else None
    return WorkCell(size, worst.verdict if worst else "", says, stitches, 0, digest, "")


@transaction.atomic
def mark_read(*, pattern: Pattern, by: Person, section: int, step: int, seen: Mapping[str, str]) -> bool:
    """Tick the cells of a step that were seen as they stand, untick the others; False where some changed.

    `seen` holds the digest of each ticked size; sections and steps count from 1.
    """
    here = [one for one in _steps_of(graded(pattern)) if (one.section, one.step) == (section, step)]
    cells = {cell.size: cell for one in here for cell in one.cells}
    place: dict[str, Any] = {"pattern": pattern, "by": by, "section": section - 1, "step": step - 1}
    ReadCell.objects.filter(**place).exclude(size__in=seen).delete()
    fresh = {size: digest for size, digest in seen.items() if size in cells and cells[size].digest == digest}
    for size, digest in fresh.items():
        ReadCell.objects.update_or_create(**place, size=size, defaults={"digest": digest})
    return len(fresh) == len(seen)


# --- queries about a row
def row_choices(pattern: Pattern) -> list[tuple[str, str]]:
    """The lines of the account that a query may be about."""
    rows = account_of(graded(pattern), {}).rows
    return [(row.anchor, _shortened(f"{row.title}, step {row.step}: {row.text}")) for row in rows]


def query_about(pattern: Pattern, typed: Mapping[str, Any]) -> tuple[str, QueryAbout]:
    """The place that a query names, and what else it is about; a row's line of the account is copied in."""
    rows = account_of(graded(pattern), {"size": typed["size"]}).rows
    row = next((one for one in rows if one.anchor == typed["row"]), None)
    place = f"sections[{row.section - 1}].steps[{row.step - 1}]" if row else typed["place"]
    line = _account_line(row) if row else ""
    return place, QueryAbout(typed["size"], line, typed["is_blocking"])


def _account_line(row: AccountRow) -> str:
    """A line of the account as text: what is done, the stitches after it, and what is wrong."""
    counts = ", ".join(f"{cell.size} {cell.count}" for cell in row.cells if cell.count is not None)
    parts = (f"{row.text} Stitches after it: {counts}." if counts else row.text, row.why)
    return " ".join(part for part in parts if part)


def _shortened(text: str) -> str:
    return text if len(text) <= LONGEST_WORDS else f"{text[:LONGEST_WORDS].rstrip()} …"
