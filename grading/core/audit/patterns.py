"""The count audit of a pattern: every step in every size and every combination of options that changes it.

A section is an account: it begins with a count, each row hands its count to the next, and a shaping, curve or
spread that a step prints by reference is worked with the rest.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise, product
from typing import Any

from grading.core.audit.cells import Beneath, Cell
from grading.core.audit.colours import Colours
from grading.core.audit.counts import split_said
from grading.core.audit.courses import (
    Planned,
    Stage,
    course_of,
    planned_curves,
    planned_shapings,
    together,
)
from grading.core.audit.facing import Facing, begins_anew, side_named
from grading.core.audit.row_reading import read_rows, without_heading
from grading.core.audit.rows import NO_COUNT, Account, Audited
from grading.core.audit.statements import (
    AsRows,
    AsSection,
    Begin,
    Half,
    Meanwhile,
    Note,
    Pieces,
    Remain,
    RowsNow,
    SideUp,
    Statement,
    Straight,
    read_statement,
)
from grading.core.audit.tokens import Number, cut_tokens
from grading.core.audit.tree import Idle, Kind, Row, Said, Turn
from grading.core.audit.working import UNKNOWN_BENEATH, Worked
from grading.core.instructions.blocks import Passage, read_blocks, sizes_kept
from grading.core.instructions.facts import Facts
from grading.core.instructions.reference_checks import expands
from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import PatternFile, When

Choices = tuple[tuple[str, str], ...]
COUNTED_KINDS = ("stitches", "rows", "count")
MOST_COMBINATIONS = 256


@dataclass(frozen=True)
class Counted:
    """The count after a line in one size; None where it is not known or the size hasn't the line."""

    audited: Audited | None
    stitches: int | None
    rows: int | None
    before: int | None = None
    rows_before: int | None = None
    """Stitches and rows with which the line begins."""
    course: tuple[Stage, ...] = ()
    """The rows of the line in which the count changes, where that is known."""
    colours: tuple[str, ...] = ()

    @property
    def verdict(self) -> str:
        """agrees, disagrees, unreadable, or "" where the size hasn't the line."""
        return self.audited.verdict if self.audited else ""


@dataclass(frozen=True)
class Line:
    """One sentence of a step that is worked, or can't be read; places count from 0 in the step.

    `sizes` holds one entry per size of the pattern, in size order.
    """

    section: int
    step: int
    row: str
    text: str
    start: int
    end: int
    options: Choices
    sizes: tuple[Counted, ...]

    @property
    def verdict(self) -> str:
        """The gravest verdict of any size."""
        found = {counted.verdict for counted in self.sizes}
        return next((verdict for verdict in ("disagrees", "unreadable", "agrees") if verdict in found), "")


@dataclass(frozen=True)
class Sentence:
    """A sentence with its place in the step, and the reference it is when that prints lines of its own."""

    text: str
    start: int
    expands: Reference | None = None


def audit_pattern(facts: Facts) -> tuple[Line, ...]:
    """Work every step of a pattern.

    Args:
        facts: The pattern and its worked numbers.

    Returns:
        The lines in order of section, combination of options, step and sentence, without those that say
        nothing about counts.

    Source: derived from common practice of technical editing.
    """
    return tuple(PatternAudit(facts).lines())


def audit_step(facts: Facts, whole: "PatternAudit", section: int, step: int) -> tuple[Line, ...]:
    """Work one step anew, after what the whole audit found before its section.

    Args:
        facts: The pattern with the step as it is typed, and its worked numbers.
        whole: The audit of the pattern before, all of whose lines are worked.
        section: The section, from 0.
        step: The step in it, from 0; what stands behind it is left out.

    Returns:
        The lines of this step.

    Source: derived.
    """
    of = facts.pattern.sections[section]
    kept = replace(of, steps=of.steps[: step + 1])
    sections = (*facts.pattern.sections[:section], kept)
    audit = PatternAudit(replace(facts, pattern=replace(facts.pattern, sections=sections)))
    finished, last = whole.begun[section]
    audit.finished, audit.last, audit.worked = dict(finished), dict(last), whole.worked
    return tuple(line for line in audit.section_lines(section) if line.step == step)


class PatternAudit:
    """Audits the sections of one pattern."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.pattern: PatternFile = facts.pattern
        self.options = {option.name: option.choices for option in self.pattern.options}
        self.finished: dict[tuple[str, int], SizeAccount] = {}
        self.last: dict[int, SizeAccount] = {}
        self.begun: list[tuple[dict[tuple[str, int], SizeAccount], dict[int, SizeAccount]]] = []
        """The accounts finished before each section."""
        self.worked: dict[int, dict[Any, tuple[Row, Worked, tuple[Cell, ...]]]] = {}
        """By size: rows worked before."""
        self._plans: dict[str, tuple[Planned | None, ...]] = {}

    def planned(self, reference: Reference, name: str) -> tuple[Planned | None, ...]:
        """What a shaping or a curve does in its rows, one plan per size."""
        key = f"{name} {reference.form}"
        if key not in self._plans:
            of_curve = self.facts.kinds.get(name) == "curve"
            self._plans[key] = (
                planned_curves(self.facts, reference) if of_curve else planned_shapings(self.facts, name)
            )
        return self._plans[key]

    def lines(self) -> Iterator[Line]:
        """All lines of all sections."""
        for index in range(len(self.pattern.sections)):
            self.begun.append((dict(self.finished), dict(self.last)))
            yield from self.section_lines(index)

    def section_lines(self, index: int) -> Iterator[Line]:
        """The lines of one section, after those before it."""
        section = self.pattern.sections[index]
        accounts = [SizeAccount(self, size) for size in range(len(self.pattern.sizes))]
        for account in accounts:
            account.before = self.last.get(account.size)
        passages = [
            (step, passage) for step, words in enumerate(section.steps) for passage in self._passages(words)
        ]
        fixed = {name: choices[0] for name, choices in section.when if len(choices) == 1}
        yield from self._from_passage(index, passages, fixed, accounts)

    def _passages(self, step: str) -> tuple[Passage, ...]:
        return read_blocks(step, self.pattern.sizes, self.options).passages

    def _from_passage(
        self,
        index: int,
        passages: Sequence[tuple[int, Passage]],
        choices: dict[str, str],
        accounts: "list[SizeAccount]",
        branches: int = 1,
    ) -> Iterator[Line]:
        """The lines from a passage on; where it hangs on an option, once for each of its choices."""
        for place, (step, passage) in enumerate(passages):
            open_options = sorted(_options_in(passage) - choices.keys())
            if open_options:
                found = self._choices(index, open_options)[: max(1, MOST_COMBINATIONS // branches)]
                for chosen in found:
                    copies = [account.copy() for account in accounts]
                    rest, more = passages[place:], branches * len(found)
                    yield from self._from_passage(index, rest, choices | chosen, copies, more)
                return
            if _passage_holds(passage, choices):
                yield from self._passage_lines(index, step, passage, choices, accounts)
        title = _title(self.pattern.sections[index].title)
        for size, account in enumerate(accounts):
            self.finished[title, size] = account
            self.last[size] = account

    def _choices(self, index: int, names: Sequence[str]) -> list[dict[str, str]]:
        """The choices of options with which a section is worked."""
        when = self.pattern.sections[index].when
        found = [
            dict(zip(names, chosen, strict=True)) for chosen in product(*(self.options[one] for one in names))
        ]
        return [chosen for chosen in found if _holds(when, chosen)]

    def _passage_lines(
        self,
        index: int,
        step: int,
        passage: Passage,
        choices: Mapping[str, str],
        accounts: "list[SizeAccount]",
    ) -> Iterator[Line]:
        kept = sizes_kept(passage.conditions, len(self.pattern.sizes))
        sentences = cut_sentences(passage.text, passage.offset, self.facts.kinds)
        options = tuple((name, choices[name]) for name in self.options if name in choices)
        for sentence, following in zip(sentences, [*sentences[1:], None], strict=True):
            for account in accounts:
                account.following = following
            line = self._line(index, step, sentence, options, accounts, kept)
            if line is not None:
                yield line

    def _line(
        self,
        section: int,
        step: int,
        sentence: Sentence,
        choices: Choices,
        accounts: "list[SizeAccount]",
        kept: tuple[int, ...],
    ) -> Line | None:
        sizes = []
        row = ""
        for size, account in enumerate(accounts):
            if size not in kept:
                sizes.append(Counted(None, None, None))
                continue
            rows_before = account.rows_worked
            audited = account.work(sentence)
            row = row or account.row
            rows_before = min(rows_before, account.begun) if rows_before is not None else None
            sizes.append(
                Counted(
                    audited,
                    account.stitches(),
                    account.rows_worked,
                    account.begun_on,
                    rows_before,
                    tuple(account.account.course),
                    account.colours.of_rows(rows_before, account.rows_worked),
                )
            )
        if all(counted.audited is None for counted in sizes):
            return None
        end = sentence.start + len(sentence.text)
        return Line(section, step, row, sentence.text, sentence.start, end, choices, tuple(sizes))


class SizeAccount:
    """The account of one section in one size."""

    def __init__(self, audit: PatternAudit, size: int) -> None:
        self.audit = audit
        self.size = size
        self.craft = audit.pattern.craft
        kept = audit.worked.setdefault(size, {})
        self.account = Account(self.craft, number_of=self.number_of, worked=kept)
        self.colours = Colours(audit.facts, size)
        self.facing = Facing()
        self.row, self.in_round = "", False
        self.counts: list[tuple[int, int | None]] = []
        self.is_elsewhere = False  # the work went on at stitches whose count is not said
        self.waiting: int | None = None
        self.meanwhile = False
        self.following: Sentence | None = None
        self.ended = False
        self.before: SizeAccount | None = None
        self.rows_at_half: int | None = None
        self.begun, self.begun_on = 0, self.stitches()
        self.marked: int | None = None
        self.edged: int | None = None
        self.together = False
        self.planned: tuple[int, int | None, list[Planned]] | None = None

    def copy(self) -> "SizeAccount":
        """The same account, to be gone on with by itself."""
        other = copy(self)
        other.account, other.colours, other.counts = self.account.copy(), copy(self.colours), [*self.counts]
        other.facing = copy(self.facing)
        if self.planned is not None:
            row, stitches, plans = self.planned
            other.planned = row, stitches, [*plans]
        return other

    @property
    def rows_worked(self) -> int | None:
        """Rows worked so far; None when a line that can't be read may have had any number."""
        return self.account.rows_done

    @rows_worked.setter
    def rows_worked(self, rows: int | None) -> None:
        self.account.rows_done = rows

    # --- numbers
    def number_of(self, name: str) -> int | None:
        """The whole number that a reference prints in this size; `name+1` is a sum."""
        match = re.fullmatch(r"([a-z][a-z0-9_]*)([+-]\d+)?", name)
        if match is None or self.audit.facts.units_of.get(match.group(1)) not in COUNTED_KINDS:
            return None
        number = self.audit.facts.row(match.group(1))[self.size]
        if number is None or number != int(number):
            return None
        return int(number) + int(match.group(2) or 0)

    def resolve(self, number: Number) -> int | None:
        """A number as it is in this size."""
        return number if isinstance(number, int) else self.number_of(number)

    def stitches(self) -> int | None:
        """The stitches there are now."""
        return self.account.beneath.total()

    # --- sentences
    def work(self, sentence: Sentence) -> Audited | None:
        """Work a sentence; None when it says nothing about counts."""
        self.row = ""
        self.begun, self.begun_on = self.rows_worked or 0, self.stitches()
        self.account.course.clear()
        self.colours.notice(sentence.text, self.begun)
        audited = (
            self._written(sentence)
            if sentence.expands is None
            else self._expansion(sentence, sentence.expands)
        )
        self.counts.append((self.rows_worked or 0, self.stitches()))
        self._notice(sentence.text)
        return self._with_side(sentence.text, audited)

    def _with_side(self, text: str, audited: Audited | None) -> Audited | None:
        """Compare the side that a numbered row names with the rows before it; rounds have one side alone."""
        numbers = re.fullmatch(r"(\d+)(?:–(\d+))?", self.row)
        follows = numbers is not None and not self.in_round and self.craft != "tunisian"
        if numbers is None or not follows or begins_anew(text):
            if self.rows_worked != self.begun or begins_anew(text):
                self.facing.begin_anew()
            return audited
        first = int(numbers.group(1))
        says = self.facing.wrong_side((first, int(numbers.group(2) or first)), side_named(text))
        if not says or audited is None or audited.verdict == "unreadable":
            return audited
        return replace(audited, verdict="disagrees", says="; ".join(filter(None, (audited.says, says))))

    def _notice(self, text: str) -> None:
        """Keep what later sentences may count from: markers, edges, and what is worked at the same time."""
        ended, at_once, marked, edged = _noticed(text)
        self.ended, self.together = self.ended or ended, self.together or at_once
        if marked:
            self.marked = self.rows_worked
        if edged:
            self.edged = self.rows_worked

    def _written(self, sentence: Sentence) -> Audited | None:
        statements, said = _statement(sentence.text, self.craft)
        self._notice_elsewhere(sentence.text, statements or ())
        if statements is not None:
            return self._say(statements, said)
        headed = _headed_rows(sentence.text, self.craft)
        if headed is not None:
            return self._rows_under_statement(*headed, sentence.text)
        rows = read_rows(sentence.text, self.craft)
        if not rows:
            return None
        if all(_is_idle(row) for row in rows):
            return None
        if _definition(sentence.text):
            return self._define(sentence)
        self.row, self.in_round = _row_name(rows[0]), any(row.in_round for row in rows)
        beneath, rows_worked = self.account.beneath.copy(), self.rows_worked
        audited = self.account.audit(sentence.text, counts_turning_chain=None)
        if audited.says == UNKNOWN_BENEATH and self._go_on_from_before(beneath):
            audited = self.account.audit(sentence.text, counts_turning_chain=None)
        if audited.verdict != "unreadable" or audited.leaves is not None:
            return audited
        if not _speaks_of_counts(sentence.text, self.audit.facts.units_of):
            self.account.beneath, self.rows_worked = beneath, rows_worked
            return None
        if _SHORT_ROWS.search(sentence.text):
            self.account.beneath, self.rows_worked = beneath, rows_worked
            return audited
        self.rows_worked = None
        return audited

    def _notice_elsewhere(self, text: str, statements: Sequence[Statement]) -> None:
        """Forget the count where the words go on elsewhere and do not say how many stitches are there."""
        if _ELSEWHERE.search(text) and all(isinstance(one, Note) for one in statements):
            self.account.beneath, self.rows_worked, self.is_elsewhere = Beneath.unknown(), None, True

    def _go_on_from_before(self, beneath: Beneath | None = None) -> bool:
        """A section that begins with no count of its own goes on with the one before, unless that ended."""
        known = (beneath or self.account.beneath).total() is not None
        if (
            self.counted
            or self.is_elsewhere
            or known
            or self.before is None
            or self.before.ended
            or self.before.stitches() is None
        ):
            return False
        self.account.beneath = self.before.account.beneath.copy()
        self.account.rows |= self.before.account.rows
        return True

    @property
    def counted(self) -> bool:
        """Whether any line of this section has had a count."""
        return any(stitches is not None for _, stitches in self.counts)

    def _rows_under_statement(self, straight: Straight, text: str, whole: str) -> Audited | None:
        """`Work 8 rounds of rib: *k1, p1; repeat from * to the end`: one row is worked, all are counted."""
        before, shift = self.rows_worked, len(whole) - len(text)
        audited = self.account.audit(text)
        if audited.verdict == "unreadable":
            return replace(audited, start=audited.start + shift, end=audited.end + shift)
        self.rows_worked = before
        self._straight(straight)
        return audited

    def _define(self, sentence: Sentence) -> Audited | None:
        """A row that is only described here is tried on the stitches there are, and not worked."""
        kept = self.account.beneath.copy(), list(self.account.history), self.rows_worked
        audited = self.account.audit(sentence.text)
        self.account.beneath, self.account.history, self.rows_worked = kept
        return audited

    def _say(self, statements: tuple[Statement, ...], said: Said | None) -> Audited | None:
        found = [audited for audited in map(self._statement, statements) if audited is not None]
        if said is not None and said.stitches:
            agreed = self._agree("sts", self._said_number(said), self.stitches())
            found += [agreed] if agreed is not None else []
        if not found:
            return None
        return next((audited for audited in found if audited.verdict != "agrees"), found[-1])

    def _statement(self, statement: Statement) -> Audited | None:
        if isinstance(statement, Straight):
            return self._straight(statement)
        if isinstance(statement, RowsNow):
            return self._agree("rows", self.resolve(statement.rows), self.rows_worked)
        if isinstance(statement, Remain):
            parts = [self.resolve(number) for number, _ in statement.parts]
            if any(part is None for part in parts):
                return _unread("a number has no value in this size")
            total = sum(
                part * times
                for part, (_, times) in zip(parts, statement.parts, strict=True)
                if part is not None
            )
            return self._agree("sts", total, self.stitches())
        if isinstance(statement, SideUp):
            self.account.beneath = Beneath.of_count(self.rows_worked, Kind.ROW_END)
            self.rows_worked = self.edged = 0
            return None
        if isinstance(statement, Begin):
            number = self.resolve(statement.number)
            self.account.beneath, self.rows_worked = Beneath.of_count(number), 0
            return _unread("a number has no value in this size") if number is None else _agrees(number)
        if isinstance(statement, Meanwhile):
            self.meanwhile = True
        if isinstance(statement, Half):
            return self._half(statement)
        if isinstance(statement, AsRows):
            return self._as_rows(statement)
        return self._as_section(statement) if isinstance(statement, AsSection) else None

    def _half(self, statement: Half) -> Audited | None:
        """One half of the row is worked on; the other waits."""
        if statement.other:
            self.is_elsewhere = True
            self.account.beneath, self.rows_worked = Beneath.of_count(self.waiting), self.rows_at_half
            return None if self.waiting is None else _agrees(self.waiting)
        stitches = self.stitches()
        if stitches is None or stitches % 2:
            self.account.beneath = Beneath.of_count(None)
            return _unread("how many stitches are before the middle is not known")
        self.waiting, self.rows_at_half = stitches // 2, self.rows_worked
        self.account.beneath = Beneath.of_count(stitches // 2)
        return _agrees(stitches // 2)

    def _as_rows(self, statement: AsRows) -> Audited | None:
        """Rows of another section, worked on the stitches of this one."""
        other = self._section_named(statement.title)
        if other is None:
            self.account.beneath, self.rows_worked = Beneath.of_count(None), None
            return _unread(f"there is no section “{statement.title}” before this one")
        if statement.rows is not None:
            number = self.resolve(statement.rows)
            block = other.account.history[: number or 0]
        else:
            first, to = self.resolve(statement.first or 0), self.resolve(statement.to or 0)
            block = [
                other.account.rows[row]
                for row in range(first or 0, (to or 0) + 1)
                if row in other.account.rows
            ]
        self.account.rows |= other.account.rows
        return self.account.work_block(block)

    def _straight(self, statement: Straight) -> Audited | None:
        rows = self.resolve(statement.rows)
        if rows is None:
            return _unread("the number of rows has no value in this size")
        self._go_on_from_before()
        if statement.above is not None:
            below = self.marked if statement.above == "marker" else self.edged
            if below is None:
                self.rows_worked = None
                return _unread("from which row these rows are counted is not known here")
            rows += below
        if statement.total and self.rows_worked is not None and rows < self.rows_worked:
            return _disagrees(self.stitches(), f"says {rows} rows, {self.rows_worked} are worked already")
        if statement.total:
            self.rows_worked = rows
        elif self.rows_worked is not None:
            self.rows_worked += rows
        stitches = self.stitches()
        return None if stitches is None else _agrees(stitches)

    def _agree(self, what: str, said: int | None, worked: int | None) -> Audited | None:
        if said is None:
            return _unread(f"the number of {what} has no value in this size")
        if worked is None:
            if what == "sts":
                self.account.beneath = Beneath.of_count(said)
            else:
                self.rows_worked = said
            return _unread(f"how many {what} there are is not known here")
        if said != worked:
            return _disagrees(self.stitches(), f"says {said} {what}, worked {worked}")
        return _agrees(self.stitches() or 0)

    def _as_section(self, statement: AsSection) -> Audited | None:
        other = self._section_named(statement.title)
        if other is None:
            self.account.beneath, self.rows_worked = Beneath.of_count(None), None
            return _unread(f"there is no section “{statement.title}” before this one")
        rows = other.rows_worked
        if rows is not None and statement.before_end is not None:
            before = self.resolve(statement.before_end)
            rows = None if before is None else rows - before
        elif statement.rows:
            numbers = [self.resolve(number) for number in statement.rows]
            rows = None if None in numbers else sum(number for number in numbers if number is not None)
        counts = [count for worked, count in other.counts if rows is not None and worked <= rows]
        self.account.rows = dict(other.account.rows)
        self.account.beneath = Beneath.of_count(counts[-1] if counts else other.stitches())
        self.rows_worked = rows
        stitches = self.stitches()
        return _unread("the other section has no count here") if stitches is None else _agrees(stitches)

    def _section_named(self, title: str) -> "SizeAccount | None":
        for (name, size), account in reversed(self.audit.finished.items()):
            if size == self.size and (name == title or name.startswith(f"{title} ")):
                return account
        return None

    # --- what a step prints by reference
    def _expansion(self, sentence: Sentence, reference: Reference) -> Audited | None:
        kind = self.audit.facts.kinds.get(reference.name)
        if reference.form == "words":
            return None
        counts = self._said_after(sentence, reference)
        said = self._said_number(counts)
        if kind == "curve":
            change = self._curve_change(reference)
        elif kind == "spread":
            change = self._spread_change(reference.name)
        else:
            change = self._shaping_change(reference)
        if isinstance(change, Audited):
            return change
        audited = self._changed(change, said)
        if counts is not None and counts.stitches and said is None and audited.verdict == "agrees":
            return replace(audited, verdict="unreadable", says=NO_COUNT)
        return audited

    def _changed(self, change: int, said: int | None) -> Audited:
        self._go_on_from_before()
        stitches = self.stitches()
        if stitches is None:
            if said is not None:
                self.account.beneath = Beneath.of_count(said)
            return _unread("how many stitches there are is not known here")
        now = stitches + change
        self.account.beneath = Beneath.of_count(max(0, now))
        if now < 0:
            return _disagrees(now, f"takes {-change} of {stitches} stitches")
        if said is not None and said != now:
            return Audited(stitches, 0, now, 0, said, "disagrees", f"says {said}, worked {now}")
        return Audited(stitches, 0, now, 0, said, "agrees", "")

    def _said_after(self, sentence: Sentence, reference: Reference) -> Said | None:
        place = reference.offset - sentence.start + len(reference.source)
        _, said = split_said(cut_tokens(sentence.text[place:]), self.craft)
        return said

    def _said_number(self, said: Said | None) -> int | None:
        if said is None or len(said.stitches) == 0:
            return None
        numbers = [self.resolve(number) for number in said.stitches]
        return None if None in numbers else sum(number for number in numbers if number is not None)

    def _shaping_change(self, reference: Reference) -> int | Audited:
        names = (reference.name, *(reference.extra if reference.form == "with" else ()))
        plans = [self.audit.planned(reference, name)[self.size] for name in names]
        found = [plan for plan in plans if plan is not None]
        if len(found) < len(names):
            self.account.beneath = Beneath.unknown()
            return _unread(f"{' with '.join(names)} can't be worked in this size")
        pieces = self._pieces_after()
        start, end = self._shaping_ends(reference.name)
        stitches = self.stitches()
        if len(names) == 1 and pieces == 1 and stitches is not None and stitches != start:
            self.account.beneath = Beneath.of_count(None if stitches >= 2 * start else end)
            if stitches >= 2 * start:
                return _unread(
                    f"it begins with {start} sts, and there are {stitches}: in how many places is not said"
                )
            return _disagrees(end, f"begins with {start}, there are {stitches}")
        return self._follow(together([plan.times(pieces) for plan in found]))

    def _follow(self, plan: Planned) -> int:
        """Work a plan row by row, in the rows of the one before where both are said to run at once."""
        at_once = self.planned if self.together or self.meanwhile else None
        self.together = self.meanwhile = False
        if at_once is None or self.rows_worked is None:
            self.planned = None if self.rows_worked is None else (self.rows_worked, self.stitches(), [plan])
            begun, stitches, plans = self.rows_worked, self.stitches(), [plan]
        else:
            begun, stitches, plans = at_once
            plans.append(plan)
        if begun is None:
            return plan.change
        whole = together(plans)
        self.begun, self.begun_on, self.rows_worked = begun, stitches, begun + whole.rows
        if stitches is not None:
            self.account.course += course_of(whole, row=begun, stitches=stitches)
        return plan.change

    def _pieces_after(self) -> int:
        """In how many places a shaping is worked, as the sentence after it says."""
        statements, _ = _statement(self.following.text, self.craft) if self.following else (None, None)
        pieces = next((one.number for one in statements or () if isinstance(one, Pieces)), 1)
        return self.resolve(pieces) or 1

    def _shaping_ends(self, name: str) -> tuple[int, int]:
        shaping = next(shaping for shaping in self.audit.pattern.shapings if shaping.name == name)
        start, end = (self.audit.facts.row(count)[self.size] for count in (shaping.start, shaping.end))
        return int(start or 0), int(end or 0)

    def _curve_change(self, reference: Reference) -> int | Audited:
        plan = self.audit.planned(reference, reference.name)[self.size]
        if plan is None:
            self.account.beneath = Beneath.unknown()
            return _unread(f"{reference.name} can't be worked in this size")
        self._go_on_from_before()
        return self._follow(plan)

    def _spread_change(self, name: str) -> int | Audited:
        spread = next(spread for spread in self.audit.pattern.spreads if spread.name == name)
        change, within = (self.audit.facts.row(count)[self.size] for count in (spread.change, spread.within))
        if change is None or within is None:
            return _unread(f"{name} has no numbers in this size")
        stitches = self.stitches()
        if stitches is not None and stitches != int(within):
            return _disagrees(stitches, f"is spread over {int(within)}, there are {stitches}")
        if self.rows_worked is not None:
            self.rows_worked += 1
        return int(change)


def _agrees(stitches: int) -> Audited:
    return Audited(stitches, 0, stitches, 0, None, "agrees", "")


def _disagrees(stitches: int | None, says: str) -> Audited:
    return Audited(None, None, stitches, None, None, "disagrees", says)


def _unread(why: str) -> Audited:
    return Audited(None, None, None, None, None, "unreadable", why)


# --- cutting a passage
_ENDS = re.compile(r"[.!?](?=\s+(?:[A-Z0-9{(\[*“\"]|$)|\s*$)|\n+")


def cut_sentences(text: str, offset: int, kinds: Mapping[str, str]) -> list[Sentence]:
    """The sentences of a passage; a closing count in brackets belongs to the sentence before it."""
    expansions = [
        piece
        for piece in parse_references(text, offset).pieces
        if isinstance(piece, Reference) and expands(piece, dict(kinds))
    ]
    places = sorted({0, *(end + 1 for end in _sentence_ends(text)), *_after_counts(text), len(text)})
    parts: list[tuple[int, int]] = []
    for start, end in pairwise(places):
        if not text[start:end].strip():
            continue
        opened = text[start:end].lstrip()
        if parts and opened.startswith("(") and opened.rstrip(" .\n").endswith(")"):
            parts[-1] = (parts[-1][0], end)
        else:
            parts.append((start, end))
    return [
        sentence
        for start, end in parts
        for sentence in _with_expansions(text, start, end, offset, expansions)
    ]


_COUNT_ALONE = re.compile(r"[.!?}]\s*\([^()]*\)(?=\s+[A-Z{])")


def _after_counts(text: str) -> list[int]:
    """Where a closing count in brackets ends that stands between two sentences."""
    return [match.end() for match in _COUNT_ALONE.finditer(text)]


def _sentence_ends(text: str) -> list[int]:
    depth = 0
    ends = []
    matches = {match.start() for match in _ENDS.finditer(text)}
    for index, character in enumerate(text):
        depth += (character in "([") - (character in ")]")
        if index in matches and depth <= 0:
            ends.append(index)
    return ends


def _with_expansions(
    text: str, start: int, end: int, offset: int, expansions: list[Reference]
) -> Iterator[Sentence]:
    """A reference that expands to lines is a sentence of its own, with the closing count after it."""
    place = start
    for reference in expansions:
        at = reference.offset - offset
        if not start <= at < end:
            continue
        if text[place:at].strip(" :*_"):
            yield Sentence(text[place:at], offset + place)
        close = re.match(r"[.;]?\s*\([^()]*\)\.?", text[at + len(reference.source) : end])
        stop = at + len(reference.source) + (close.end() if close else 0)
        yield Sentence(text[at:stop], offset + at, reference)
        place = stop
    if text[place:end].strip(" .;"):
        yield Sentence(text[place:end], offset + place)


# --- what a sentence is
@lru_cache(maxsize=20_000)
def _headed_rows(text: str, craft: str) -> tuple[Straight, str] | None:
    """A statement of how many rows, a colon, and the row."""
    head, colon, rest = text.partition(":")
    if not colon or "(" in head:
        return None
    statements = read_statement(cut_tokens(head), craft)
    straight = next((one for one in statements or () if isinstance(one, Straight)), None)
    return None if straight is None else (straight, rest)


@lru_cache(maxsize=20_000)
def _statement(text: str, craft: str) -> tuple[tuple[Statement, ...] | None, Said | None]:
    tokens, said = split_said(cut_tokens(text), craft)
    if not tokens and said is not None:
        return (), said
    return read_statement(without_heading(tokens), craft), said


def _is_idle(row: Row) -> bool:
    """Whether a row does nothing and says nothing."""
    if row.said is not None or row.again is not None or row.shapings:
        return False
    return all(isinstance(item, Idle | Turn) for item in row.items)


_DEFINED = re.compile(
    r"worked only where|only when the next step|^\s*(?:an?|the) \w+ (?:row|round) (?:begins|ends|is worked)",
    re.IGNORECASE,
)
_TOGETHER = re.compile(r"\bat the same time\b|\bof the same (?:rows|rounds)\b", re.IGNORECASE)
_MARKED = re.compile(
    r"\b(?:mark|place (?:a )?markers?)\b(?! the middle\b)(?=.*\b(?:ends?|edges?|sides?|armholes?)\b)",
    re.IGNORECASE | re.DOTALL,
)
_EDGE = re.compile(r"(?<!the )\b(?:rib|ribbing|hem|border|cuff|band)\b", re.IGNORECASE)
_ABOVE_EDGE = re.compile(r"\b(?:above|after|from) the (?:rib|ribbing|hem|border|cuff|band)\b", re.IGNORECASE)
_ENDED = re.compile(
    r"\b(?:fasten off|(?:cast|bind) off (?:all|loosely|in|the rem)|to close)\b", re.IGNORECASE
)


@lru_cache(maxsize=20_000)
def _noticed(text: str) -> tuple[bool, bool, bool, bool]:
    """Whether a sentence ends a piece, runs with the one before, sets a marker, or is of an edge."""
    edged = _EDGE.search(text) and not _ABOVE_EDGE.search(text)
    return (*(found.search(text) is not None for found in (_ENDED, _TOGETHER, _MARKED)), bool(edged))  # type: ignore[return-value]


# Short rows change no count (common practice); what such a sentence does otherwise is unread all the same.
_SHORT_ROWS = re.compile(r"\bshort (?:rows?|of the last)\b", re.IGNORECASE)

# The work goes on elsewhere (common practice), on stitches that were left some rows before.
_ELSEWHERE = re.compile(r"\bsecond (?:side|shoulder)\b|\b(?:sts|stitches) that were left\b", re.IGNORECASE)


def _definition(text: str) -> bool:
    return _DEFINED.search(text) is not None


_ABOUT_COUNTS = re.compile(
    r"\b(sts?|stitch(?:es)?|rows?|rnds?|rounds?|ch|chs|chains?|sc|hdc|dc|htr|tr|tss|tks|k|p)\b", re.IGNORECASE
)


def _speaks_of_counts(text: str, units: Mapping[str, str]) -> bool:
    """Whether a sentence names stitches or rows with a number."""
    counted = any(units.get(name) in COUNTED_KINDS for name in re.findall(r"\{([a-z][a-z0-9_]*)", text))
    numbered = re.search(r"\d", text) is not None and _ABOUT_COUNTS.search(text) is not None
    return counted or numbered


def _row_name(row: Row) -> str:
    if row.numbers is None:
        return ""
    first, last = row.numbers
    return str(first) if first == last else f"{first}–{last}"


def _title(title: str) -> str:
    return " ".join(token.text for token in cut_tokens(re.sub(r"\(.*?\)", "", title)))


# --- options
def _options_in(passage: Passage) -> set[str]:
    return {name for condition in passage.conditions for name, _ in condition.when}


def _holds(when: When, choices: Mapping[str, str]) -> bool:
    return all(choices.get(name) in allowed for name, allowed in when if name in choices)


def _passage_holds(passage: Passage, choices: Mapping[str, str]) -> bool:
    return all(_holds(condition.when, choices) for condition in passage.conditions)
