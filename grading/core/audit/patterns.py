"""The count audit of a pattern: every step in every size and every combination of options that changes it.

A section is an account: it begins with a count, each row hands its count to the next, and a shaping, curve or
spread that a step prints by reference is worked with the rest.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from grading.core.audit.accounts import SizeAccount
from grading.core.audit.courses import Stage
from grading.core.audit.described_rows import is_named_change, shaping_after
from grading.core.audit.joining import wrong_mirror
from grading.core.audit.own_stitches import spelled_out
from grading.core.audit.row_frames import end_frame
from grading.core.audit.rows import Audited
from grading.core.audit.sentences import Sentence, cut_sentences, plain_title
from grading.core.audit.size_states import Ledger, disagrees
from grading.core.instructions.blocks import Passage, read_blocks, sizes_kept
from grading.core.instructions.facts import Facts
from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import When

Choices = tuple[tuple[str, str], ...]
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
    length: float | None = None
    """How long the rows are in mm, each at the gauge of its own fabric."""
    change: int | None = None
    """How many stitches a row changes that is only described here, to be worked later."""
    is_joint: bool = False
    """Whether it is worked in the rows of a line before it, at the same time: counts are those of both."""
    apart: int = 0
    """Rows before the first that is counted which the words say are part of the length; they are in it."""

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
    audit.chain_notes = dict(whole.noted[section])
    audit.is_whole = False
    return tuple(line for line in audit.section_lines(section) if line.step == step)


class PatternAudit(Ledger):
    """Audits the sections of one pattern."""

    is_whole = True  # every section is worked to its end

    def lines(self) -> Iterator[Line]:
        """All lines of all sections."""
        for index in range(len(self.pattern.sections)):
            self.begun.append((dict(self.finished), dict(self.last)))
            self.noted.append(dict(self.chain_notes))
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
        yield from alike_as_one(self._from_passage(index, passages, fixed, accounts))

    def _passages(self, step: str) -> tuple[Passage, ...]:
        return read_blocks(step, self.pattern.sizes, self.options).passages

    def _from_passage(
        self,
        index: int,
        passages: Sequence[tuple[int, Passage]],
        choices: dict[str, str],
        accounts: list[SizeAccount],
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
                later = [one for _, one in passages[place + 1 :] if _passage_holds(one, choices)]
                yield from self._passage_lines(index, step, passage, choices, accounts, later)
        yield from self._finish(index, choices, accounts)

    def _finish(self, index: int, choices: Mapping[str, str], accounts: list[SizeAccount]) -> Iterator[Line]:
        """Hand the accounts of a section on; a line of its own says where it does not mirror another."""
        title = plain_title(self.pattern.sections[index].title)
        sizes = []
        for size, account in enumerate(accounts):
            account.choices = choices
            end_frame(account)
            says = wrong_mirror(title, account) if self.is_whole else ""
            wrong = disagrees(account.stitches(), says) if says else None
            sizes.append(Counted(wrong, account.stitches(), account.rows_worked, account.stitches()))
            self.finished[title, size] = (*self.finished.get((title, size), ()), account)
            self.last[size] = account
        if any(counted.audited for counted in sizes):
            yield self._closing_line(index, choices, tuple(sizes))

    def _closing_line(self, index: int, choices: Mapping[str, str], sizes: tuple[Counted, ...]) -> Line:
        """A line at the last words of a section."""
        section = self.pattern.sections[index]
        step = len(section.steps) - 1
        last = cut_sentences(section.steps[step], 0, self.facts.kinds)[-1]
        end = last.start + len(last.text)
        return Line(index, step, "", last.text, last.start, end, self._named(choices), sizes)

    def _named(self, choices: Mapping[str, str]) -> Choices:
        return tuple((name, choices[name]) for name in self.options if name in choices)

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
        accounts: list[SizeAccount],
        rest: Sequence[Passage] = (),
    ) -> Iterator[Line]:
        kept = sizes_kept(passage.conditions, len(self.pattern.sizes))
        text = _in_patt(passage.text, self.facts.kinds)
        sentences = cut_sentences(text, passage.offset, self.facts.kinds)
        options = self._named(choices)
        for account in accounts:
            account.choices = choices
        spelled = [
            replace(one, text=spelled_out(one.text, self.own_stitches), over=self.over(one.text))
            for one in sentences
        ]
        is_described = any(is_named_change(one.text) for one in spelled)
        following = rest[:2] if is_described else ()
        later = [one for of in following for one in cut_sentences(of.text, of.offset, self.facts.kinds)]
        for place, (sentence, read) in enumerate(zip(sentences, spelled, strict=True), 1):
            for account in accounts:
                account.following = spelled[place] if place < len(spelled) else None
                account.shaped_next = (
                    shaping_after((*spelled[place:], *later), self.facts.kinds) if is_described else None
                )
            line = self._line(index, step, read, options, accounts, kept)
            if line is not None:
                at, end = line.start - passage.offset, sentence.start + len(sentence.text)
                line = line if read.text == sentence.text else without_spots(line)
                yield replace(line, text=passage.text[at : end - passage.offset], end=end)

    def _line(
        self,
        section: int,
        step: int,
        sentence: Sentence,
        choices: Choices,
        accounts: list[SizeAccount],
        kept: tuple[int, ...],
    ) -> Line | None:
        sizes = []
        row = ""
        for size, account in enumerate(accounts):
            if size not in kept:
                sizes.append(Counted(None, None, None))
                continue
            rows_before, account.at = account.rows_worked, (self.pattern.sections[section].title, step + 1)
            audited = account.work(sentence)
            row = row or account.row
            rows_before = min(rows_before, account.begun) if rows_before is not None else None
            if account.account.begun_anew:
                rows_before = 0
            sizes.append(
                Counted(
                    audited,
                    account.stitches(),
                    account.rows_worked,
                    account.begun_on,
                    rows_before,
                    tuple(account.account.course),
                    account.colours.of_rows(rows_before, account.rows_worked),
                    account.length(),
                    account.change,
                    account.is_joint,
                    account.apart,
                )
            )
        if all(counted.audited is None for counted in sizes):
            return None
        end = sentence.start + len(sentence.text)
        return Line(section, step, row, sentence.text, sentence.start, end, choices, tuple(sizes))


def alike_as_one(lines: Iterator[Line]) -> Iterator[Line]:
    """Lines of a step that follow one another and say the same, each in sizes of its own, as one."""
    last: Line | None = None
    for line in lines:
        if last is not None and _is_for_other_sizes(last, line):
            pairs = zip(last.sizes, line.sizes, strict=True)
            both = tuple(before if before.audited else after for before, after in pairs)
            last = replace(last if last.text == line.text else without_spots(last), sizes=both)
            continue
        if last is not None:
            yield last
        last = line
    if last is not None:
        yield last


def _is_for_other_sizes(before: Line, after: Line) -> bool:
    """Whether two lines say the same, and no size has both."""
    of_both = [(one.section, one.step, one.row, one.options, one.text.strip()) for one in (before, after)]
    shared = zip(before.sizes, after.sizes, strict=True)
    return of_both[0] == of_both[1] and not any(one.audited and other.audited for one, other in shared)


def without_spots(line: Line) -> Line:
    """A line that was read in other words than it has: where in it these can't be read is not told."""
    sizes = (
        one if one.audited is None else replace(one, audited=replace(one.audited, start=0, end=0))
        for one in line.sizes
    )
    return replace(line, sizes=tuple(sizes))


# --- stitch patterns
def _in_patt(text: str, kinds: Mapping[str, str]) -> str:
    """A text of the same length in which a row “in {trellis}” is one in pattern, as the trade says it."""
    for piece in parse_references(text).pieces:
        if isinstance(piece, Reference) and kinds.get(piece.name) == "stitch_pattern":
            end = piece.offset + len(piece.source)
            text = text[: piece.offset] + "patt"[: len(piece.source)].ljust(len(piece.source)) + text[end:]
    return text


# --- options
def _options_in(passage: Passage) -> set[str]:
    return {name for condition in passage.conditions for name, _ in condition.when}


def _holds(when: When, choices: Mapping[str, str]) -> bool:
    return all(choices.get(name) in allowed for name, allowed in when if name in choices)


def _passage_holds(passage: Passage, choices: Mapping[str, str]) -> bool:
    return all(_holds(condition.when, choices) for condition in passage.conditions)
