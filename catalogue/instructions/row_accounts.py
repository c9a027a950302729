"""The account of a pattern row by row: what each written row leaves in every size, and where it is wrong."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import isnan, nan

from django.conf import settings
from django.utils.module_loading import import_string

from catalogue.drafts.patterns import graded
from catalogue.instructions.row_words import Reader, WordPiece, short_words, without_names
from catalogue.models import Pattern
from grading.core.audit.patterns import Counted, Line, PatternAudit, audit_step
from grading.core.grade.grade import Graded
from grading.core.instructions.choice_words import choice_words
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import CountOrName, FabricEntry, PatternFile
from grading.core.printing.measures import print_value
from grading.core.printing.numbers import number_list, print_whole

SHOWN = {"": "all rows", "wrong": "rows that do not come out", "unread": "rows that can't be read"}
UNREADABLE = "unreadable"
VERDICTS = {"wrong": "disagrees", "unread": UNREADABLE}
AUDIT = "count audit"


@dataclass(frozen=True)
class AccountCell:
    """The count after a row in one size; `says` where it is wrong, `is_absent` without such a row."""

    size: str
    count: int | None
    says: str
    is_absent: bool
    makers: str = ""
    change: int | None = None
    """What a row changes that is only described, to be worked where another step says so."""

    @property
    def shown(self) -> str:
        """The count, what a described row changes, "?" where it is not known; "" without such a row."""
        if self.is_absent:
            return ""
        if self.change is not None:
            return f"{self.change:+d}".replace("-", "−")
        return "?" if self.count is None else str(self.count)


@dataclass(frozen=True)
class CourseRow:
    """A row of a line of many, or several straight ones: the stitches after it, None where a size is done."""

    label: str
    is_straight: bool
    counts: tuple[int | None, ...]


@dataclass(frozen=True)
class AccountRow:
    """One line of the account; sections and steps count from 1, marked pieces can't be read."""

    anchor: str
    section: int
    step: int
    title: str
    label: str
    pieces: tuple[WordPiece, ...]
    choices: str
    options: tuple[tuple[str, str], ...]
    verdict: str
    why: str
    cells: tuple[AccountCell, ...]
    colour: str
    rows_so_far: str
    length_so_far: str
    course: tuple[CourseRow, ...]
    depends: bool = False
    """Whether its words are read, and only its count hangs on a step that can't be."""
    values: frozenset[str] = frozenset()
    """The names of the values that its counts hang on."""

    @property
    def text(self) -> str:
        """What is done, as plain words."""
        return " ".join("".join(piece.text for piece in self.pieces).split())

    @property
    def faults(self) -> list[tuple[str, str]]:
        """What does not come out, with the sizes in which it is so."""
        sizes: dict[str, list[str]] = {}
        for cell in self.cells:
            if cell.says:
                sizes.setdefault(cell.says, []).append(cell.size)
        return [(", ".join(of), says) for says, of in sizes.items()]


@dataclass(frozen=True)
class RowAccount:
    """The whole account, filtered."""

    sizes: tuple[str, ...]
    rows: tuple[AccountRow, ...]
    read: int
    total: int
    wrong: tuple[AccountRow, ...]

    @property
    def columns(self) -> int:
        """How many columns its table has."""
        return len(self.sizes) + 5


def row_account(pattern: Pattern, asked: Mapping[str, str]) -> RowAccount:
    """The account of a pattern as it stands, with what makers counted."""
    counts: Mapping[tuple[str, str, str], str] = import_string(settings.ROW_COUNTS)(pattern)
    return account_of(graded(pattern), asked, counts)


def account_of(
    made: Graded, asked: Mapping[str, str], counts: Mapping[tuple[str, str, str], str] | None = None
) -> RowAccount:
    """The account; `asked` may hold section, option, size, gauge, and which rows are shown."""
    writer = replace(_writer(facts_of(made.pattern, made), asked), counts=counts or {})
    rows = [writer.row(line, index) for index, line in enumerate(lines_of(made))]
    read, total = rows_read(made)
    return RowAccount(
        sizes=tuple(made.sizes[place] for place in writer.reader.places),
        rows=tuple(row for row in rows if _fits(row, asked)),
        read=read,
        total=total,
        wrong=tuple(row for row in rows if row.verdict == "disagrees"),
    )


def rows_read(made: Graded) -> tuple[int, int]:
    """How many of the rows could be read, and so checked, and how many there are."""
    lines = lines_of(made)
    return sum(line.verdict != UNREADABLE for line in lines), len(lines)


def stored_verdicts(made: Graded, section: int, step: int) -> list[str]:
    """The verdict of each row of a step as it is stored, none for a new step; places count from 0."""
    return [line.verdict for line in lines_of(made) if (line.section, line.step) == (section, step)]


def audit_lines(pattern: Pattern) -> tuple[Line, ...]:
    """The lines of the count audit of a pattern as it stands."""
    return lines_of(graded(pattern))


def lines_of(made: Graded) -> tuple[Line, ...]:
    """The lines of the count audit; kept for as long as the document stays the same."""
    return _audit_of(made)[1]


def _audit_of(made: Graded) -> tuple[PatternAudit, tuple[Line, ...]]:
    """The audit of a whole pattern with its lines."""
    memo = made.pattern.memo
    if AUDIT not in memo:
        audit = PatternAudit(facts_of(made.pattern, made))
        memo[AUDIT] = (audit, tuple(audit.lines()))
    found: tuple[PatternAudit, tuple[Line, ...]] = memo[AUDIT]
    return found


def step_account(made: Graded, section: int, step: int, text: str) -> tuple[AccountRow, ...]:
    """The account of one step as it is typed, in every size; places count from 0, behind the last is new."""
    of = made.pattern.sections[section]
    steps = (*of.steps[:step], text)
    sections = (*made.pattern.sections[:section], replace(of, steps=steps))
    facts = facts_of(replace(made.pattern, sections=sections, memo={}), made)
    return account_rows(facts, audit_step(facts, _audit_of(made)[0], section, step))


def account_rows(facts: Facts, lines: Sequence[Line]) -> tuple[AccountRow, ...]:
    """Lines of the audit as rows of an account, in every size."""
    writer = _writer(facts, {})
    return tuple(writer.row(line, index) for index, line in enumerate(lines))


def _writer(facts: Facts, asked: Mapping[str, str]) -> "AccountWriter":
    sizes = facts.pattern.sizes
    places = tuple(place for place, size in enumerate(sizes) if size == asked.get("size"))
    return AccountWriter(
        Reader(facts, places or tuple(range(len(sizes)))), gauge_of(facts.pattern, asked.get("gauge", ""))
    )


def gauge_of(core: PatternFile, name: str) -> FabricEntry | None:
    """The one fabric at whose gauge all lengths are told, where it is asked for."""
    return next((one for one in core.fabrics if one.name == name), None)


@dataclass(frozen=True)
class AccountWriter:
    """Writes lines of the audit for the sizes shown; lengths at one gauge, or each row at its own."""

    reader: Reader
    fabric: FabricEntry | None
    counts: Mapping[tuple[str, str, str], str] = field(default_factory=dict)
    """What makers counted, by section, words and size."""

    def row(self, line: Line, index: int) -> AccountRow:
        """One line of the account."""
        core, places = self.reader.facts.pattern, self.reader.places
        worst = next(counted for counted in line.sizes if counted.verdict == line.verdict)
        audited = worst.audited
        mark = (audited.start, audited.end) if audited is not None else (0, 0)
        shown = [line.sizes[place] for place in places]
        return AccountRow(
            anchor=f"row-{index + 1}",
            section=line.section + 1,
            step=line.step + 1,
            title=core.sections[line.section].title,
            label=line.row or _rows_label(shown),
            pieces=short_words(line, self.reader, mark),
            choices=_chosen(line, core),
            options=line.options,
            verdict=line.verdict,
            why=without_names(audited.says, self.reader.facts) if audited is not None else "",
            cells=tuple(self._cell(line, place) for place in places),
            colour=", ".join(dict.fromkeys(role for counted in shown for role in counted.colours)),
            rows_so_far=self._rows_so_far(line),
            length_so_far=self._length_so_far(line),
            course=course_rows(shown),
            depends=audited is not None and audited.depends_on is not None,
            values=values_of(line.text, core),
        )

    def _cell(self, line: Line, place: int) -> AccountCell:
        core = self.reader.facts.pattern
        size, counted = core.sizes[place], line.sizes[place]
        audited = counted.audited
        says = audited.says if audited is not None and counted.verdict == "disagrees" else ""
        makers = self.counts.get((core.sections[line.section].title, line.text.strip(), size), "")
        return AccountCell(size, counted.stitches, says, audited is None, makers, counted.change)

    def _rows_of(self, line: Line) -> list[int | None]:
        return [None if one.audited is None or not one.rows else one.rows for one in line.sizes]

    def _rows_so_far(self, line: Line) -> str:
        rows = self._rows_of(line)
        if all(number is None for number in rows):
            return ""
        texts = [None if number is None else print_whole(number) for number in rows]
        return number_list(texts, self.reader.places)

    def _length_so_far(self, line: Line) -> str:
        rows = self._rows_of(line)
        lengths = [
            one.length
            if self.fabric is None or worked is None
            else (worked + one.apart) / self.fabric.rows_per_mm
            for one, worked in zip(line.sizes, rows, strict=True)
        ]
        known = [
            nan if length is None or not worked else length
            for length, worked in zip(lengths, rows, strict=True)
        ]
        if all(isnan(length) for length in known):
            return ""
        return print_value("length", known, self.reader.edition.units, self.reader.places)


def _chosen(line: Line, core: PatternFile) -> str:
    """The choices with which a line is worked, as makers say them: `with pockets`."""
    return choice_words([(name, (choice,)) for name, choice in line.options], core)


def _rows_label(shown: Sequence[Counted]) -> str:
    """The rows that a line works, where they are the same in all sizes, or from which row it goes on."""
    spans = {
        (one.rows_before + 1, one.rows)
        for one in shown
        if one.audited is not None and one.rows_before is not None and one.rows is not None
    }
    worked = {(first, last) for first, last in spans if last >= first}
    if len(worked) == 1:
        first, last = worked.pop()
        return str(first) if first == last else f"{first}–{last}"
    firsts = {first for first, _ in worked}
    return f"from {firsts.pop()}" if len(firsts) == 1 else ""


# --- lines of many rows
def course_rows(shown: Sequence[Counted]) -> tuple[CourseRow, ...]:
    """A line of many rows, row by row; straight rows between two shaped ones are one."""
    known = [one for one in shown if one.rows_before is not None and one.rows is not None]
    if not known or all(len(one.course) < 2 for one in known):
        return ()
    changing = sorted({stage.row for one in known for stage in one.course})
    first = min(one.rows_before for one in known if one.rows_before is not None) + 1
    last = max(one.rows for one in known if one.rows is not None)
    return tuple(_stretches(shown, changing, first, last))


def _stretches(
    shown: Sequence[Counted], changing: Sequence[int], first: int, last: int
) -> Iterator[CourseRow]:
    place = first
    for row in [*changing, last + 1]:
        if row > place:
            label = str(place) if row - 1 == place else f"{place}–{row - 1}"
            yield CourseRow(label, True, tuple(count_at(one, place) for one in shown))
        if row <= last:
            yield CourseRow(str(row), False, tuple(count_at(one, row) for one in shown))
        place = row + 1


def count_at(counted: Counted, row: int) -> int | None:
    """The stitches after a row; None where this size is done already, or the count is not known."""
    if counted.rows is None or counted.rows_before is None or not counted.rows_before < row <= counted.rows:
        return None
    return next((stage.stitches for stage in reversed(counted.course) if stage.row <= row), counted.before)


def values_of(text: str, core: PatternFile) -> frozenset[str]:
    """The values that words refer to, by themselves or by a shaping, a spread or a curve."""
    names = {piece.name for piece in parse_references(text, 0).pieces if isinstance(piece, Reference)}
    parts: list[tuple[str, tuple[CountOrName, ...]]] = [
        *((one.name, (one.start, one.end, one.over)) for one in core.shapings),
        *((one.name, (one.change, one.within)) for one in core.spreads),
        *((one.name, (one.width, one.depth)) for one in core.curves),
    ]
    behind = {count for name, counts in parts if name in names for count in counts if isinstance(count, str)}
    return frozenset((names | behind) & {one.name for one in core.values})


def _fits(row: AccountRow, asked: Mapping[str, str]) -> bool:
    section, shown = asked.get("section", ""), VERDICTS.get(asked.get("show", ""))
    name, _, choice = asked.get("option", "").partition(":")
    is_worked = all(taken == choice for option, taken in row.options if option == name)
    return (
        not all(cell.is_absent for cell in row.cells)
        and (not section or section == str(row.section))
        and (shown is None or row.verdict == shown)
        and is_worked
        and (not asked.get("value") or asked["value"] in row.values)
    )
