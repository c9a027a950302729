"""Works the sentences between rows: rows worked straight, counts and rows said, work taken from elsewhere."""

from collections.abc import Callable
from typing import Any

from grading.core.audit.cells import Beneath
from grading.core.audit.joining import wrong_seams
from grading.core.audit.row_states import UNKNOWN_BENEATH
from grading.core.audit.rows import Audited
from grading.core.audit.size_states import SizeState, agrees, disagrees, unread
from grading.core.audit.statement_kinds import (
    AsRows,
    AsSection,
    Begin,
    Half,
    Joined,
    LastCount,
    Marked,
    Meanwhile,
    Remain,
    RowOverAll,
    RowsNow,
    SameRows,
    SideUp,
    Statement,
    Straight,
)
from grading.core.audit.tree import Kind, Said


def work_statements(state: SizeState, statements: tuple[Statement, ...], said: Said | None) -> Audited | None:
    """Work the statements of a sentence; None when none of them says anything about counts."""
    found = [audited for audited in (_statement(state, one) for one in statements) if audited is not None]
    if said is not None and said.stitches:
        agreed = _agree(state, "sts", state.said_number(said), state.stitches())
        found += [agreed] if agreed is not None else []
    if not found:
        return None
    return next((audited for audited in found if audited.verdict != "agrees"), found[-1])


def _statement(state: SizeState, statement: Statement) -> Audited | None:
    return _WORKS[type(statement)](state, statement) if type(statement) in _WORKS else None


def _rows_now(state: SizeState, statement: RowsNow) -> Audited | None:
    return _agree(state, "rows", state.resolve(statement.rows), state.rows_worked)


def _row_over_all(state: SizeState, statement: RowOverAll) -> None:
    number = state.resolve(statement.number)
    worked = state.rows_worked
    state.over_all = None if number is None or worked is None else worked - number + 1


def _remain(state: SizeState, statement: Remain) -> Audited | None:
    parts = [state.resolve(number) for number, _ in statement.parts]
    if any(part is None for part in parts):
        return unread("a number has no value in this size")
    if len(parts) > 1:
        state.shoulder = parts[-1]
    rows = None if statement.rows is None else state.resolve(statement.rows)
    if None not in (rows, state.rows_worked) and rows != state.rows_worked:
        return _agree(state, "rows", rows, state.rows_worked)
    total = sum(
        part * times for part, (_, times) in zip(parts, statement.parts, strict=True) if part is not None
    )
    return _agree(state, "sts", total, state.stitches())


def _side_up(state: SizeState, _statement: SideUp) -> None:
    state.account.beneath = Beneath.of_count(state.rows_worked, Kind.ROW_END)
    state.rows_worked = state.edged = 0


def _begin(state: SizeState, statement: Begin) -> Audited | None:
    number = state.resolve(statement.number)
    state.account.beneath, state.rows_worked = Beneath.of_count(number), 0
    return unread("a number has no value in this size") if number is None else agrees(number)


def _meanwhile(state: SizeState, _statement: Meanwhile) -> None:
    state.meanwhile = True


def _mark(state: SizeState, _statement: Marked) -> None:
    state.marked = state.rows_worked


def _join(state: SizeState, statement: Joined) -> Audited | None:
    says = wrong_seams(state, statement)
    return disagrees(state.stitches(), says) if says else None


def _last_count(state: SizeState, statement: LastCount) -> Audited | None:
    """What is left at the end; not tried where stitches wait elsewhere, or their number is not known."""
    parts = [state.resolve(number) for number in statement.parts]
    stitches = state.stitches()
    if state.is_split or stitches is None or None in parts:
        return None
    return _agree(state, "sts", sum(part for part in parts if part is not None), stitches)


def _same_rows(state: SizeState, statement: SameRows) -> Audited | None:
    """Rows are worked until there are as many as in another section."""
    other = state.section_named(statement.title)
    if other is None or other.rows_worked is None or state.rows_worked is None:
        return None
    if state.rows_worked > other.rows_worked:
        says = f"the {statement.title} has {other.rows_worked} rows, here are {state.rows_worked} already"
        return disagrees(state.stitches(), says)
    state.rows_worked = other.rows_worked
    stitches = state.stitches()
    return None if stitches is None else agrees(stitches)


def _half(state: SizeState, statement: Half) -> Audited | None:
    """One half of the row is worked on; the other waits."""
    state.is_split = True
    if statement.other:
        state.is_elsewhere = True
        state.account.beneath, state.rows_worked = Beneath.of_count(state.waiting), state.rows_at_half
        return None if state.waiting is None else agrees(state.waiting)
    stitches = state.stitches()
    first = None if statement.first is None else state.resolve(statement.first)
    if stitches is None or (first is None and (stitches % 2 or statement.first is not None)):
        state.account.beneath = Beneath.of_count(None)
        return unread("how many stitches are before the middle is not known")
    half = stitches // 2 if first is None else first
    state.waiting, state.rows_at_half = stitches - half, state.rows_worked
    state.account.beneath = Beneath.of_count(half)
    if half > stitches:
        return disagrees(half, f"takes {half} of {stitches} stitches")
    return agrees(half)


def _as_rows(state: SizeState, statement: AsRows) -> Audited | None:
    """Rows of another section, worked on the stitches of this one."""
    other = state.section_named(statement.title)
    if other is None:
        state.account.beneath, state.rows_worked = Beneath.of_count(None), None
        return unread(f"there is no section “{statement.title}” before this one")
    if statement.rows is not None:
        number = state.resolve(statement.rows)
        block = other.account.history[: number or 0]
    else:
        first, to = state.resolve(statement.first or 0), state.resolve(statement.to or 0)
        block = [
            other.account.rows[row] for row in range(first or 0, (to or 0) + 1) if row in other.account.rows
        ]
    state.account.rows |= other.account.rows
    return state.account.work_block(block)


def work_straight(state: SizeState, statement: Straight) -> Audited | None:
    """Work rows that change no count."""
    rows = state.resolve(statement.rows)
    if rows is None:
        return unread("the number of rows has no value in this size")
    state.go_on_from_before()
    if statement.part is not None and statement.part not in state.at[0].lower().split():
        return _part_straight(state)
    below = _rows_below(state, statement)
    if below is None:
        state.rows_worked = None
        return unread("from which row these rows are counted is not known here")
    rows += below
    if statement.total and state.rows_worked is not None and rows < state.rows_worked:
        return _fewer_rows(state, rows, state.rows_worked, in_all=statement.in_all)
    if statement.total:
        state.rows_worked = rows
    elif state.rows_worked is not None:
        state.rows_worked += rows
    fabric = state.audit.fabrics.of(None if isinstance(statement.rows, int) else statement.rows)
    if fabric is not None:
        state.add_rows(fabric, in_all=statement.total and statement.above is None)
    stitches = state.stitches()
    if stitches is None:
        return unread(UNKNOWN_BENEATH) if state.depends_on() else None
    return agrees(stitches)


def _rows_below(state: SizeState, statement: Straight) -> int | None:
    """The rows before those that a total counts; None where it is not known which these are."""
    if statement.above is None:
        return (state.over_all or 0) if statement.over_all else 0
    starts = {"marker": state.marked, "edge": state.edged, "armhole": state.armholed}
    return starts.get(statement.above)


def _fewer_rows(state: SizeState, rows: int, worked: int, *, in_all: bool) -> Audited:
    """More rows are worked already than there are said to be in the end."""
    if not in_all:
        return disagrees(state.stitches(), f"says {rows} rows, {worked} are worked already")
    state.rows_worked = None
    return unread(f"{worked} rows are worked already: from which row {rows} are counted is not said")


def _part_straight(state: SizeState) -> Audited:
    """Rows of a part within the section, as a shoulder: in which row it begins is not known."""
    state.rows_worked = None
    stitches = state.stitches()
    return unread(UNKNOWN_BENEATH) if stitches is None else agrees(stitches)


def _agree(state: SizeState, what: str, said: int | None, worked: int | None) -> Audited | None:
    if said is None:
        return unread(f"the number of {what} has no value in this size")
    if worked is None:
        if what == "sts":
            state.account.beneath = Beneath.of_count(said)
        else:
            state.rows_worked = said
        return unread(f"how many {what} there are is not known here")
    if said != worked:
        return disagrees(state.stitches(), f"says {said} {what}, worked {worked}")
    return agrees(state.stitches() or 0)


def _as_section(state: SizeState, statement: AsSection) -> Audited | None:
    other = state.section_named(statement.title)
    if other is None:
        state.account.beneath, state.rows_worked = Beneath.of_count(None), None
        return unread(f"there is no section “{statement.title}” before this one")
    rows = other.rows_worked
    if rows is not None and statement.before_end is not None:
        before = state.resolve(statement.before_end)
        rows = None if before is None else rows - before
    elif statement.above_marker is not None or statement.to_armhole:
        above = 0 if statement.to_armhole else state.resolve(statement.above_marker or 0)
        start = other.armholed if statement.to_armhole else other.marked
        rows = None if above is None or start is None else start + above
        if rows is None:
            state.account.beneath, state.rows_worked = Beneath.of_count(None), None
            return unread("from which row these rows are counted is not known here")
    elif statement.rows:
        numbers = [state.resolve(number) for number in statement.rows]
        rows = None if None in numbers else sum(number for number in numbers if number is not None)
    state.account.rows = dict(other.account.rows)
    state.account.beneath = Beneath.of_count(_stitches_after(other, rows))
    state.rows_worked = rows
    state.stretches = other.stretches
    if other.marked is not None and rows is not None and other.marked <= rows:
        state.marked, state.edged = other.marked, other.edged
    stitches = state.stitches()
    return unread("the other section has no count here") if stitches is None else agrees(stitches)


def _stitches_after(other: SizeState, rows: int | None) -> int | None:
    """The stitches of a section after so many of its rows; None where they change between two sentences."""
    if rows is None:
        return other.stitches()
    last = max((place for place, (worked, _) in enumerate(other.counts) if worked <= rows), default=None)
    if last is None:
        return other.stitches()
    worked, count = other.counts[last]
    after = other.counts[last + 1 : last + 2]
    return None if after and worked < rows and after[0][1] != count else count


_WORKS: dict[type, Callable[[SizeState, Any], Audited | None]] = {
    Straight: work_straight, RowOverAll: _row_over_all, RowsNow: _rows_now, Remain: _remain,
    LastCount: _last_count, SideUp: _side_up, Begin: _begin, Meanwhile: _meanwhile, Marked: _mark,
    Half: _half, SameRows: _same_rows, Joined: _join, AsRows: _as_rows, AsSection: _as_section,
}  # fmt: skip
