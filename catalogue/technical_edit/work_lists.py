"""The editor's work list: every step in every size, what the count audit says of it, and what was read."""

import hashlib
import json
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from textwrap import shorten
from typing import cast

from django.db import transaction
from django.utils import timezone

from catalogue.drafts.patterns import graded
from catalogue.instructions.row_accounts import lines_of
from catalogue.instructions.row_words import without_names
from catalogue.models import Pattern, Person, ReadCell
from catalogue.technical_edit.technical_edits import open_queries
from grading.core.audit.patterns import Counted, Line
from grading.core.grade.grade import Graded
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.steps import render_step
from grading.core.pattern.pattern import SectionEntry
from grading.core.printing.edition import PrintForm, Units

GRAVEST = ("disagrees", "unreadable", "agrees")
SHOWN = {
    "": "all steps",
    "changed": "changed since my last reading",
    "unread": "not read yet",
    "wrong": "counts that do not come out",
    "unreadable": "can’t be read",
}
VERDICTS = {"wrong": "disagrees", "unreadable": "unreadable"}
WORK = "cells of the work list"
LONGEST_WORDS = 90
SHORT = 16  # signs of a digest that a page carries
WAS_READ = "+"  # follows the digest of a cell whose tick was set when the page was made


@dataclass(frozen=True)
class WorkCell:
    """A step in one size: what the audit says, the count after it, and whether it was read as it stands."""

    size: str
    verdict: str
    says: str
    stitches: int | None
    queries: int
    digest: str
    printed: str
    """The whole step as this size reads it."""
    reading: str
    """read, changed (since it was read), or "" where it was never read."""


@dataclass(frozen=True)
class WorkStep:
    """A step with its sizes; sections and steps count from 1."""

    section: int
    step: int
    title: str
    words: str
    printed: str
    """The whole step as printed for all sizes."""
    cells: tuple[WorkCell, ...]

    @property
    def whole(self) -> str:
        """All its words, where the list shows their beginning alone; of one size where that is shown."""
        whole = self.cells[0].printed if len(self.cells) == 1 else self.printed
        return "" if " ".join(whole.split()) == self.words else whole

    @property
    def key(self) -> str:
        """How its ticks name it."""
        return f"{self.section}-{self.step}"

    @property
    def place(self) -> str:
        """How queries name it."""
        return f"sections[{self.section - 1}].steps[{self.step - 1}]"

    @property
    def unreadable(self) -> str:
        """In which sizes its rows can't be read, and why, once for all; counts shown are those stated."""
        cells = [cell for cell in self.cells if cell.verdict == "unreadable"]
        if not cells:
            return ""
        where = "" if len(cells) == len(self.cells) else f" in {', '.join(cell.size for cell in cells)}"
        lead = "Can’t be read" if cells[0].stitches is None else "As stated, not checked"
        return f"{lead}{where}: {cells[0].says}" if cells[0].says else f"{lead}{where}"


@dataclass(frozen=True)
class Readings:
    """What somebody has read of a pattern: by place, and by what was read."""

    places: frozenset[tuple[int, int, str]]
    seen: frozenset[tuple[str, str]]
    last: datetime | None

    def of(self, place: tuple[int, int, str], digest: str) -> str:
        """How a cell stands."""
        if (place[2], digest) in self.seen:
            return "read"
        return "changed" if place in self.places else ""


def work_list(pattern: Pattern, person: Person | None, show: str = "", size: str = "") -> list[WorkStep]:
    """Every step that is worked, of those that are asked for; of one size where one is named."""
    steps = _steps(pattern, _readings(pattern, person))
    if size:
        steps = _of_size(steps, size)
    return [step for step in steps if any(is_shown(cell, show) for cell in step.cells)]


def work_list_of_one_size(pattern: Pattern, person: Person | None, show: str) -> tuple[str, list[WorkStep]]:
    """The work list of the first size that has something to show, and which that is."""
    steps = _steps(pattern, _readings(pattern, person))
    cells = [cell for step in steps for cell in step.cells if is_shown(cell, show)]
    with_some = {cell.size for cell in cells}
    size = next((one for one in graded(pattern).sizes if one in with_some), graded(pattern).sizes[0])
    of_size = _of_size(steps, size)
    return size, [step for step in of_size if any(is_shown(cell, show) for cell in step.cells)]


def step_words(pattern: Pattern, place: str, size: str) -> str:
    """A step as its size reads it, or as printed for all sizes; nothing for a place that is no step."""
    step = next((one for one in _steps_of(graded(pattern)) if one.place == place), None)
    if step is None:
        return ""
    return next((cell.printed for cell in step.cells if cell.size == size), step.printed)


def is_shown(cell: WorkCell, show: str) -> bool:
    """Whether a cell is of those that are asked for."""
    if show == "changed":
        return cell.reading == "changed"
    if show == "unread":
        return cell.reading != "read"
    return show not in VERDICTS or cell.verdict == VERDICTS[show]


def _of_size(steps: Sequence[WorkStep], size: str) -> list[WorkStep]:
    """The same steps with their cell of one size alone."""
    return [replace(step, cells=tuple(cell for cell in step.cells if cell.size == size)) for step in steps]


@dataclass(frozen=True)
class Progress:
    """How far somebody has come with a pattern."""

    total: int
    read: int
    changed: int
    last: datetime | None = None
    """When the newest tick was set; None where there is none."""

    @property
    def unread(self) -> int:
        """Cells that are not read as they stand."""
        return self.total - self.read


def reading_progress(pattern: Pattern, person: Person | None) -> Progress:
    """How many cells of the work list somebody has read as they stand."""
    return progress_of(pattern, _readings(pattern, person))


def progress_of(pattern: Pattern, readings: Readings) -> Progress:
    """How many cells of the work list are read as they stand, by what somebody has read."""
    cells = [
        readings.of((step.section - 1, step.step - 1, cell.size), cell.digest)
        for step in _steps_of(graded(pattern))
        for cell in step.cells
    ]
    return Progress(len(cells), cells.count("read"), cells.count("changed"), readings.last)


def seen_cells(steps: Sequence[WorkStep]) -> str:
    """What a page shows of each cell, as its form carries it: how it stands, and whether it was ticked."""
    return json.dumps(
        {step.key: {cell.size: _shown_as(cell) for cell in step.cells} for step in steps},
        separators=(",", ":"),
    )


def _shown_as(cell: WorkCell) -> str:
    return cell.digest[:SHORT] + (WAS_READ if cell.reading == "read" else "")


def _readings(pattern: Pattern, person: Person | None) -> Readings:
    return readings_of([pattern], person).get(pattern.pk, _readings_from([]))


def readings_of(patterns: Sequence[Pattern], person: Person | None) -> dict[int, Readings]:
    """What somebody has read of each pattern, by its key; those in which nothing is ticked are left out."""
    found: dict[int, list[ReadCell]] = {}
    cells = ReadCell.objects.filter(by=person, pattern__in=patterns) if person else ()
    for cell in cells:
        found.setdefault(cell.pattern_id, []).append(cell)
    return {key: _readings_from(of) for key, of in found.items()}


def _readings_from(found: Sequence[ReadCell]) -> Readings:
    return Readings(
        frozenset((one.section, one.step, one.size) for one in found),
        frozenset((one.size, one.digest) for one in found),
        max((one.read_at for one in found), default=None),
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
                shorten(" ".join(_printed(facts, section, words)), LONGEST_WORDS, placeholder=" …"),
                "\n".join(_printed(facts, section, words)),
                _cells(facts, section, words, lines.get((i, j), [])),
            )
            for i, section in enumerate(made.pattern.sections)
            for j, words in enumerate(section.steps)
        )
    steps: tuple[WorkStep, ...] = memo[WORK]
    return steps


def _cells(facts: Facts, section: SectionEntry, words: str, lines: Sequence[Line]) -> tuple[WorkCell, ...]:
    return tuple(
        _cell(
            facts,
            size,
            [section.title, *_printed(facts, section, words, size)],
            [line.sizes[number] for line in lines if line.sizes[number].audited is not None],
        )
        for number, size in enumerate(facts.pattern.sizes)
    )


def _printed(facts: Facts, section: SectionEntry, words: str, size: str = "") -> list[str]:
    """The parts of a step as printed for a size, or for all; in the terms that the pattern is written in."""
    home_units = cast("Units", facts.pattern.home_units)
    edition = PrintForm("both" if size else home_units, facts.home_terms, size or None)
    return [part.text for part in render_step(words, facts, edition, section.when)]


def _cell(facts: Facts, size: str, printed: Sequence[str], counted: Sequence[Counted]) -> WorkCell:
    """A cell that nobody has read or asked about; first of what is printed is the title of its section."""
    told = [f"{one.verdict} {one.stitches} {one.rows}" for one in counted]
    digest = hashlib.sha256("\n".join([*printed, *told]).encode()).hexdigest()
    worst = min(counted, key=lambda one: GRAVEST.index(one.verdict), default=None)
    says = worst.audited.says if worst and worst.audited and worst.verdict != "agrees" else ""
    stitches = counted[-1].stitches if counted else None
    verdict = worst.verdict if worst else ""
    return WorkCell(
        size, verdict, without_names(says, facts), stitches, 0, digest, "\n".join(printed[1:]), ""
    )


Seen = Mapping[str, Mapping[str, object]]


def read_seen(sent: str) -> Seen:
    """What a form carried of the cells that it showed; nothing where it is no such text."""
    try:
        found = json.loads(sent)
    except (ValueError, RecursionError):
        return {}
    if not isinstance(found, dict) or not all(isinstance(cells, dict) for cells in found.values()):
        return {}
    return found


@transaction.atomic
def mark_read(*, pattern: Pattern, by: Person, shown: Seen, ticked: Collection[tuple[str, str]]) -> bool:
    """Keep what was ticked or unticked on a page; False where a ticked cell changed since it was shown.

    Only what differs from what the page showed is done, so what was ticked or unticked elsewhere since stays.
    A tick that stands already is not written again, unless its step has moved.

    Args:
        pattern: The pattern.
        by: Who reads.
        shown: What the page showed: step, size, the beginning of the digest of each cell, and whether it
            was ticked.
        ticked: Step and size of each tick.
    """
    steps = {step.key: step for step in _steps_of(graded(pattern))}
    digests = {(key, cell.size): cell.digest for key, step in steps.items() for cell in step.cells}
    mine = list(ReadCell.objects.filter(pattern=pattern, by=by))
    stored = {(one.section, one.step, one.size): one.digest for one in mine}
    read = {(one.size, one.digest) for one in mine}
    kept, gone, moved = [], set(), False
    for key, size, seen in _each(shown):
        is_ticked, was_read, now = (
            (key, size) in ticked,
            seen.endswith(WAS_READ),
            digests.get((key, size), ""),
        )
        if not _is_same(now, seen.removesuffix(WAS_READ)):
            moved = moved or is_ticked
        elif is_ticked and (not was_read or (size, now) in read):
            kept.append(_read_cell(pattern, by, steps[key], size, now))
        elif was_read and not is_ticked:
            gone.add((size, now))
    gone -= {(one.size, one.digest) for one in kept}
    ReadCell.objects.filter(pk__in=[one.pk for one in mine if (one.size, one.digest) in gone]).delete()
    ReadCell.objects.bulk_create(
        [one for one in kept if stored.get((one.section, one.step, one.size)) != one.digest],
        update_conflicts=True,
        unique_fields=["pattern", "by", "section", "step", "size"],
        update_fields=["digest", "read_at"],
    )
    return not moved


def _each(shown: Seen) -> Iterator[tuple[str, str, str]]:
    """Step, size and what was shown of each cell."""
    for key, sizes in shown.items():
        for size, seen in sizes.items():
            yield key, size, seen if isinstance(seen, str) else ""


def _is_same(now: str, digest: str) -> bool:
    """Whether a cell stands as it was shown."""
    return len(digest) == SHORT and now.startswith(digest)


def _read_cell(pattern: Pattern, by: Person, step: WorkStep, size: str, digest: str) -> ReadCell:
    return ReadCell(
        pattern=pattern, by=by, section=step.section - 1, step=step.step - 1, size=size, digest=digest,
        read_at=timezone.now(),
    )  # fmt: skip
