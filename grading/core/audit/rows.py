"""Audits a text of one row or several, and rows that follow one another."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from grading.core.audit.bridges import with_bridges_counted
from grading.core.audit.cells import Beneath, Cell, merge_cells, read_layout
from grading.core.audit.courses import Stage
from grading.core.audit.item_kinds import begins_edge, ends_piece
from grading.core.audit.row_reading import read_rows
from grading.core.audit.row_states import UNKNOWN_BENEATH, Setting, UnreadError, Worked
from grading.core.audit.tokens import Number
from grading.core.audit.tree import Again, Chain, EndShaping, ForRows, Item, Kind, Row, Said, Turn, Work
from grading.core.audit.working import work_row

NO_COUNT = "the closing count has no value here"
MOST_ROWS = 3_000
"""More rows than one piece of a garment has."""


def no_number(_name: str) -> int | None:
    """A text without references names no values."""
    return None


@dataclass(frozen=True)
class Audited:
    """What a row takes and leaves, what it says, and the verdict: agrees, disagrees or unreadable.

    Counts are stitches (or the places named by `before_unit`); None where the row can't be read.
    """

    takes: int | None
    unworked: int | None
    leaves: int | None
    left_over: int | None
    said: int | None
    verdict: str
    says: str
    spaces: int | None = None
    start: int = 0
    end: int = 0
    depends_on: tuple[str, int] | None = None
    """The section and step whose words can't be read, where that alone is why this has no count."""


@dataclass
class Account:
    """The count as it is handed from row to row."""

    craft: str
    spaces_count: bool = False
    number_of: Callable[[str], int | None] = no_number
    beneath: Beneath = field(default_factory=lambda: Beneath(None))
    rows: dict[int, tuple[Row, bool | None]] = field(default_factory=dict)
    history: list[tuple[Row, bool | None]] = field(default_factory=list)
    throughout: dict[int, tuple[int, bool]] = field(default_factory=dict)
    rows_done: int | None = 0
    begun_anew: bool = False
    """Whether rows are counted from a row of the words that were worked last."""
    course: list[Stage] = field(default_factory=list)
    worked: dict[Any, tuple[Row, Worked, tuple[Cell, ...]]] = field(default_factory=dict)
    """Rows worked before over the same places: nothing else tells what a row leaves."""

    def copy(self) -> "Account":
        """The same account, to be gone on with by itself."""
        return replace(
            self,
            beneath=self.beneath.copy(),
            rows=dict(self.rows),
            history=list(self.history),
            throughout=dict(self.throughout),
            course=list(self.course),
        )

    def audit(
        self, text: str, *, counts_turning_chain: bool | None = None, head: Row | None = None
    ) -> Audited:
        """Work a text over what is beneath, and hand its count on; `head` stood in the sentence before."""
        rows = under_head(read_rows(text, self.craft), head)
        said = next((row.said for row in reversed(rows) if row.said is not None), None) or _said_by_shaping(
            rows
        )
        try:
            rows = self._counted_as_said(rows, said, counts_turning_chain)
            worked = self.work_rows(rows, counts_turning_chain)
        except UnreadError as error:
            return self._unread(said, error, text)
        return self._judge(said, worked)

    def _counted_as_said(
        self, rows: tuple[Row, ...], said: Said | None, counts: bool | None
    ) -> tuple[Row, ...]:
        """The rows with chains over skipped stitches counted, where only so their closing count is right."""
        count = self._said_count(said)
        bridged = None if count is None else with_bridges_counted(rows)
        if bridged is None:
            return rows
        plain, other = (self.copy().work_rows(one, counts)[1].leaves for one in (rows, bridged))
        return bridged if other == count != plain else rows

    # --- working
    def work_rows(self, rows: tuple[Row, ...], counts: bool | None) -> tuple[Worked, Worked, list[str]]:
        """Work rows one after the other: what the first and the last come to, and what does not fit."""
        if not any(row.items or row.shapings or row.again or row.said for row in rows):
            raise UnreadError("there is nothing to work")
        worked: list[Worked] = []
        wrong: list[str] = []
        for index, row in enumerate(rows):
            again = row.again
            done = self._work_written(row, counts) if again is None else self._work_again(row, again)
            if not done:
                raise UnreadError("there is nothing to work")
            worked += done
            if index < len(rows) - 1:
                wrong.append(_misfit(done[-1]))
        return worked[0], worked[-1], wrong

    def _work_written(self, row: Row, counts: bool | None) -> list[Worked]:
        if row.shapings:
            return [self._shape(row.shapings)]
        self._remember(row, counts)
        times = self._written_times(row)
        return [self._work_once(row, counts) for _ in range(min(MOST_ROWS, times))]

    def _written_times(self, row: Row) -> int:
        """How often a row is worked: for as many rows as are named, or until there are so many."""
        rows = next(filter(None, map(_rows_named, row.items)), None)
        if rows is None or (row.repeats != 1 and not rows.total):
            return row.repeats if isinstance(row.repeats, int) else 1
        if not rows.total:
            return self._number(rows.rows)
        if self.rows_done is None:
            raise UnreadError("how many rows there are is not known here")
        return max(1, self._number(rows.rows) - self.rows_done)

    def _remember(self, row: Row, counts: bool | None) -> None:
        for item in row.items:
            if (
                isinstance(item, Chain)
                and item.throughout
                and isinstance(item.counts, int)
                and isinstance(item.number, int)
            ):
                self.throughout[item.number] = (item.counts, item.space)
        if row.numbers:
            for number in range(row.numbers[0], row.numbers[1] + 1):
                self.rows[number] = (row, counts)

    def _work_once(self, row: Row, counts: bool | None) -> Worked:
        if row.spaces_count is not None:
            self.spaces_count = row.spaces_count
        before = self.beneath.total()
        worked, cells = self._worked_over(row, counts)
        if begins_edge(row) and self.rows_done != 0:
            self.begin_anew()
        if not worked.started:
            self.history.append((row, counts))
        is_row = row.items and not worked.started and not row.uncounted and not ends_piece(row, worked.leaves)
        if self.rows_done is not None and is_row:
            self.rows_done += 1
        turned = any(isinstance(item, Turn) for item in row.items)
        self.beneath = (
            Beneath(tuple(reversed(cells)) if turned else cells) if cells else Beneath.of_count(worked.leaves)
        )
        if self.rows_done is not None and worked.leaves != before:
            self.course.append(Stage(self.rows_done, worked.leaves))
        return worked

    def begin_anew(self) -> None:
        """Count the rows from here: another edge or another piece begins."""
        self.rows_done, self.begun_anew = 0, True
        self.course.clear()

    def _worked_over(self, row: Row, counts: bool | None) -> tuple[Worked, tuple[Cell, ...]]:
        """A row worked over what is beneath, or as it was worked over the same places before."""
        known = (*self.beneath.state(), counts, self.spaces_count, *self.throughout.items())
        key = (id(row), known)
        if key not in self.worked:
            setting = Setting(self.craft, counts, self.spaces_count, self.throughout, self.number_of)
            worked = work_row(row, self.beneath, setting)
            self.worked[key] = (row, worked, merge_cells(worked.cells))
        return self.worked[key][1:]

    def _shape(self, shapings: tuple[EndShaping, ...]) -> Worked:
        before = self.beneath.total()
        if before is None:
            raise UnreadError(UNKNOWN_BENEATH)
        now = before
        for shaping in shapings:
            now = self._shaped(shaping, now)
            self._count_rows(shaping, now)
        self.beneath = Beneath.of_count(now)
        return Worked(before, 0, now, 0, 0, (Cell(Kind.STITCH, now, True),))

    def _count_rows(self, shaping: EndShaping, now: int) -> None:
        """Count the rows that were shaped; how many lie between them is known where they follow at once."""
        if self.rows_done is None or not shaping.one_by_one:
            self.rows_done = None
            return
        each = self._number(shaping.change) * shaping.ends * shaping.sign
        rows = sum(self._number(number) for number in shaping.rows)
        for row in range(1, min(rows, MOST_ROWS) + 1):
            self.course.append(Stage(self.rows_done + row, now - each * (rows - row)))
        self.rows_done += rows

    def _shaped(self, shaping: EndShaping, now: int) -> int:
        change = self._number(shaping.change) * shaping.ends * shaping.sign
        if shaping.until is None:
            return now + change * sum(self._number(rows) for rows in shaping.rows)
        until = self._number(shaping.until)
        rows = (until - now) / change if change else 0
        if rows < 0 or rows != int(rows):
            raise UnreadError(f"{now} stitches can't become {until} by {abs(change)} at a time")
        return until

    def _number(self, number: Number) -> int:
        found = number if isinstance(number, int) else self.number_of(number)
        if found is None:
            raise UnreadError(f"{number} has no whole number here")
        return found

    # --- rows worked again
    def _work_again(self, row: Row, again: Again) -> list[Worked]:
        block = self._block(again)
        times = self._times(again, row, len(block))
        worked: list[Worked] = []
        for _ in range(times):
            if again.until is not None and self.beneath.total() == self._number(again.until):
                break
            for repeated, counts in block:
                worked.append(self._work_once(repeated, counts))
        if again.until is not None and self.beneath.total() != self._number(again.until):
            raise UnreadError(f"repeating these rows never leaves {again.until}")
        if row.numbers:
            for place, number in enumerate(range(row.numbers[0], row.numbers[1] + 1)):
                self.rows[number] = block[place % len(block)]
        return worked

    def _block(self, again: Again) -> list[tuple[Row, bool | None]]:
        if again.last is not None:
            number = self._number(again.last)
            if number > len(self.history) or number < 1:
                raise UnreadError("the rows to repeat are not given")
            return self.history[-number:]
        first, to = self._number(again.first or 0), self._number(again.to or 0)
        block = [self.rows[number] for number in range(first, to + 1) if number in self.rows]
        if not block or len(block) != to - first + 1:
            names = str(first) if first == to else f"{first} to {to}"
            raise UnreadError(f"row {names} is not given" if first == to else f"rows {names} are not given")
        return block

    def _times(self, again: Again, row: Row, length: int) -> int:
        if again.until is not None:
            return MOST_ROWS // length
        if again.until_rows is not None:
            if self.rows_done is None:
                raise UnreadError("how many rows there are is not known here")
            more = self._number(again.until_rows) - self.rows_done
            return max(0, more // length)
        if again.times is not None:
            return min(MOST_ROWS, self._number(again.times))
        return max(1, int(row.repeats) // length)

    def work_block(self, block: list[tuple[Row, bool | None]]) -> Audited:
        """Work rows that were read elsewhere over what is beneath."""
        try:
            worked = [self._work_once(row, counts) for row, counts in block]
        except UnreadError as error:
            return self._unread(None, error)
        if not worked:
            return self._unread(None, UnreadError("the rows to work are not given"))
        says = "; ".join(filter(None, {_misfit(done) for done in worked}))
        first, last = worked[0], worked[-1]
        verdict = "disagrees" if says else "agrees"
        return Audited(first.takes, first.unworked, last.leaves, first.left_over, None, verdict, says)

    # --- judging
    def _unread(self, said: Said | None, error: UnreadError, text: str = "") -> Audited:
        count = self._said_count(said)
        self._resume(count)
        words = text[error.start : error.end]
        says = f"“{words}”: {error.why}" if words else error.why
        return Audited(None, None, None, None, count, "unreadable", says, None, error.start, error.end)

    def _resume(self, count: int | None) -> None:
        """After a row that can't be read the account goes on from its closing count."""
        self.beneath = Beneath.unknown() if count is None else Beneath.of_count(count)

    def _said_count(self, said: Said | None) -> int | None:
        if said is None or not said.stitches:
            return None
        try:
            return sum(self._number(number) for number in said.stitches)
        except UnreadError:
            return None

    def _judge(self, said: Said | None, worked: tuple[Worked, Worked, list[str]]) -> Audited:
        first, last, wrong = worked
        count = self._said_count(said)
        says = [_misfit(first), *wrong]
        before = self._before(first)
        says.append(self._wrong_count(count, last))
        if said is not None and said.spaces and said.spaces_count is not True:
            spaces = sum(self._number(number) for number in said.spaces)
            if spaces != last.spaces:
                says.append(f"says {spaces} spaces, worked {last.spaces}")
        if said is not None and said.change is not None and before is not None:
            change = said.sign * self._number(said.change)
            if last.leaves - before != change:
                says.append(f"says {change:+d} sts, worked {last.leaves - before:+d}")
        says = [part for part in says if part]
        verdict = "disagrees" if says else "agrees"
        if (
            not says
            and count is None
            and said is not None
            and said.stitches
            and self.number_of is not no_number
        ):
            says, verdict = [NO_COUNT], "unreadable"
        return Audited(
            first.takes,
            first.unworked,
            last.leaves,
            first.left_over,
            count,
            verdict,
            "; ".join(says),
            last.spaces,
        )

    @staticmethod
    def _before(first: Worked) -> int | None:
        return None if first.left_over is None else first.takes + first.unworked + first.left_over

    @staticmethod
    def _wrong_count(count: int | None, last: Worked) -> str:
        if last.leaves < 0:
            stitches = "1 stitch" if last.leaves == -1 else f"{-last.leaves} stitches"
            return f"the row needs {stitches} more than there are"
        return "" if count is None or count == last.leaves else f"says {count}, worked {last.leaves}"


def _rows_named(item: Item) -> ForRows | None:
    """How many rows the words of an item name."""
    if isinstance(item, ForRows):
        return item
    return item.rows if isinstance(item, Work) else None


def under_head(rows: tuple[Row, ...], head: Row | None) -> tuple[Row, ...]:
    """The rows of a sentence, the first of them under the head of the sentence before it."""
    if head is None or not rows or rows[0].numbers is not None:
        return rows
    in_round = rows[0].in_round or head.in_round
    return (replace(rows[0], numbers=head.numbers, in_round=in_round, uncounted=head.uncounted), *rows[1:])


def _said_by_shaping(rows: tuple[Row, ...]) -> Said | None:
    """`until 38 sts rem` says what is left."""
    shapings = rows[-1].shapings if rows else ()
    until = shapings[-1].until if shapings else None
    return None if until is None else Said((until,))


def _misfit(worked: Worked) -> str:
    """Says what a row leaves over or asks for too much."""
    if worked.left_over is None or worked.left_over == 0:
        return ""
    if worked.left_over > 0:
        return f"{worked.left_over} left over"
    return f"asks for {-worked.left_over} more than there are"


def audit_row(row: Mapping[str, Any]) -> Audited:
    """Audit a row with its `craft`, `before`, `before_unit`, `beneath`, `text`, `counts_turning_chain`."""
    account = Account(str(row["craft"]), bool(row.get("chain_spaces_count")))
    account.beneath = _beneath_of(row)
    counts = row.get("counts_turning_chain")
    return account.audit(str(row["text"]), counts_turning_chain=counts if isinstance(counts, bool) else None)


def _beneath_of(row: Mapping[str, Any]) -> Beneath:
    layout = read_layout(str(row["beneath"])) if row.get("beneath") else None
    before = row.get("before")
    if layout is not None and Beneath(layout).total() in (before, None):
        return Beneath(layout)
    return Beneath.of_count(
        before if isinstance(before, int) else None, Kind(str(row.get("before_unit") or "st"))
    )


def audit_list(rows: Mapping[str, Any]) -> list[Audited]:
    """Audit rows that follow one another; each begins with what the one above leaves."""
    account = Account(str(rows["craft"]), bool(rows.get("chain_spaces_count")))
    found: list[Audited] = []
    for index, row in enumerate(rows["rows"]):
        if index == 0:
            account.beneath = _beneath_of(row)
        counts = row.get("counts_turning_chain")
        found.append(
            account.audit(str(row["text"]), counts_turning_chain=counts if isinstance(counts, bool) else None)
        )
    return found
