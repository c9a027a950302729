"""The account of a pattern row by row: what each written row leaves in every size, and where it is wrong."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from catalogue.drafts.patterns import graded
from catalogue.models import Pattern
from grading.core.audit.patterns import Counted, Line, audit_pattern
from grading.core.instructions.facts import facts_of
from grading.tables.quoting import csv_text

SHOWN = {"": "all rows", "wrong": "rows that do not come out", "unread": "rows that can't be read"}
VERDICTS = {"wrong": "disagrees", "unread": "unreadable"}


@dataclass(frozen=True)
class AccountCell:
    """The count after a row in one size; `says` where it is wrong, `is_absent` without such a row."""

    count: int | None
    says: str
    is_absent: bool


@dataclass(frozen=True)
class AccountRow:
    """One row of the account; sections and steps count from 1, `marked` are the words that can't be read."""

    anchor: str
    section: int
    step: int
    title: str
    row: str
    before_mark: str
    marked: str
    after_mark: str
    choices: str
    verdict: str
    why: str
    cells: tuple[AccountCell, ...]


@dataclass(frozen=True)
class RowAccount:
    """The whole account, filtered."""

    sizes: tuple[str, ...]
    rows: tuple[AccountRow, ...]
    read: int
    total: int
    wrong: tuple[AccountRow, ...]


def row_account(pattern: Pattern, asked: Mapping[str, str]) -> RowAccount:
    """The account of a pattern; `asked` may hold a section's number, a size, and which rows are shown."""
    made = graded(pattern)
    lines = audit_lines(pattern)
    titles = [section.title for section in made.pattern.sections]
    rows = tuple(_row(line, index, titles[line.section]) for index, line in enumerate(lines))
    wanted = [size for size in made.sizes if size == asked.get("size")] or list(made.sizes)
    places = [made.sizes.index(size) for size in wanted]
    return RowAccount(
        sizes=tuple(wanted),
        rows=tuple(_of_sizes(row, places) for row in rows if _fits(row, asked)),
        read=sum(row.verdict != "unreadable" for row in rows),
        total=len(rows),
        wrong=tuple(row for row in rows if row.verdict == "disagrees"),
    )


def row_account_file(pattern: Pattern) -> str:
    """The whole account as the text of a CSV file."""
    account = row_account(pattern, {})
    head = ["Section", "Step", "Row", "Options", "What is done", "Verdict", "Why", *account.sizes]
    return csv_text([head, *_file_rows(account.rows)])


def _file_rows(rows: Sequence[AccountRow]) -> Iterator[list[str | float | None]]:
    for row in rows:
        text = f"{row.before_mark}{row.marked}{row.after_mark}"
        counts = [cell.count for cell in row.cells]
        yield [row.title, row.step, row.row, row.choices, text, row.verdict, row.why, *counts]


def _lines(pattern: Pattern) -> tuple[Line, ...]:
    made = graded(pattern)
    return audit_pattern(facts_of(made.pattern, made))


def audit_lines(pattern: Pattern) -> tuple[Line, ...]:
    """The lines of the count audit of a pattern as it stands."""
    made = graded(pattern)
    return audit_pattern(facts_of(made.pattern, made))


def _row(line: Line, index: int, title: str) -> AccountRow:
    worst = next(counted for counted in line.sizes if counted.verdict == line.verdict)
    audited = worst.audited
    start, end = (audited.start, audited.end) if audited is not None else (0, 0)
    return AccountRow(
        anchor=f"row-{index + 1}",
        section=line.section + 1,
        step=line.step + 1,
        title=title,
        row=line.row,
        before_mark=line.text[:start],
        marked=line.text[start:end],
        after_mark=line.text[end:],
        choices=", ".join(choice for _, choice in line.options),
        verdict=line.verdict,
        why=audited.says if audited is not None else "",
        cells=tuple(_cell(counted) for counted in line.sizes),
    )


def _cell(counted: Counted) -> AccountCell:
    audited = counted.audited
    says = audited.says if audited is not None and counted.verdict == "disagrees" else ""
    return AccountCell(counted.stitches, says, is_absent=audited is None)


def _of_sizes(row: AccountRow, places: Sequence[int]) -> AccountRow:
    return replace(row, cells=tuple(row.cells[place] for place in places))


def _fits(row: AccountRow, asked: Mapping[str, str]) -> bool:
    section, shown = asked.get("section", ""), VERDICTS.get(asked.get("show", ""))
    return (not section or section == str(row.section)) and (shown is None or row.verdict == shown)
