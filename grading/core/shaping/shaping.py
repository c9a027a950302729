"""Shaping from one stitch count to another over a number of rows, evenly."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from itertools import groupby, pairwise

TOLERANCE = 1e-9

Run = tuple[int, int]


@dataclass(frozen=True)
class ShapingInput:
    """What one size asks for: counts in stitches and rows; None where a number is unknown."""

    start: float | None
    end: float | None
    rows: float | None
    each: float | None
    on_every: float | None = 1
    first: float | None = None
    plain_end: float | None = 0


@dataclass(frozen=True)
class ShapingPlan:
    """How one size is shaped.

    `runs` is None where nothing can be said. `lead` is the row from which the gaps are counted:
    0 as a rule, otherwise `first` less `on_every`, so that the first slot is row `first`.
    """

    runs: tuple[Run, ...] | None
    problem: str | None = None
    change: int = 0
    each: int = 1
    rows: int = 0
    lead: int = 0

    @property
    def event_rows(self) -> list[int]:
        """Rows that are shaped, counted from 1."""
        return event_rows(self.runs or (), lead=self.lead)

    @property
    def straight_rows(self) -> int:
        """Rows left plain after the last shaping row, never below 0."""
        return max(0, self.rows - (self.event_rows or [0])[-1])


def plan_shaping(wanted: ShapingInput) -> ShapingPlan:
    """Space the shaping of one size evenly over its rows.

    Args:
        wanted: Whole numbers of stitches and rows; `first` None means `on_every`.

    Returns:
        Runs (every, times) in working order, () when nothing changes; None with a problem where
        the shaping cannot be done, None without one where a number is unknown.

    Source: derived. With k shaping rows in s slots, q, r = divmod(s, k): a gap of q slots k − r
    times, then of q + 1 slots r times; no two gaps differ by more than one slot.

    >>> plan_shaping(ShapingInput(start=72, end=156, rows=176, each=2)).runs
    ((4, 34), (5, 8))
    """
    given = _given_numbers(wanted)
    if given is None:
        return ShapingPlan(None)
    problem = _problem_of(given)
    if problem:
        return ShapingPlan(None, problem)
    whole = {name: round(number) for name, number in given.items()}
    change, lead = whole["end"] - whole["start"], whole["first"] - whole["on_every"]
    times = abs(change) // whole["each"]
    slots = slots_for(whole["rows"], whole["on_every"], whole["first"], whole["plain_end"])
    if times > slots:
        return ShapingPlan(None, f"{_shaping_rows(times)} in {slots}.")
    runs = spread_over_slots(times, slots, whole["on_every"])
    return ShapingPlan(runs, None, change, whole["each"], whole["rows"], lead if times else 0)


def slots_for(rows: int, on_every: int, first: int, plain_end: int) -> int:
    """Count the rows that may be shaped.

    Args:
        rows: All rows of the piece.
        on_every: 1 = any row, 2 = every second row only, …
        first: First row that may be shaped, from 1.
        plain_end: Rows left plain at the end.

    Returns:
        Number of slots, never below 0.

    Source: derived.

    >>> slots_for(108, on_every=2, first=2, plain_end=0)
    54
    """
    return max(0, (rows - plain_end - first) // on_every + 1)


def spread_over_slots(times: int, slots: int, on_every: int) -> tuple[Run, ...]:
    """Return the runs (every, times) of so many shaping rows in so many slots.

    Args:
        times: Shaping rows, 0 to `slots`.
        slots: Rows that may be shaped.
        on_every: Rows from one slot to the next.

    Returns:
        At most two runs, the smaller gap first; () for no shaping.

    Source: derived.

    >>> spread_over_slots(8, 38, 1)
    ((4, 2), (5, 6))
    """
    if times == 0:
        return ()
    gap, wider = divmod(slots, times)
    runs = ((gap * on_every, times - wider), ((gap + 1) * on_every, wider))
    return tuple(run for run in runs if run[1])


def event_rows(runs: Sequence[Run], *, lead: int = 0) -> list[int]:
    """List the rows that are shaped.

    Args:
        runs: (every, times) in working order.
        lead: Row from which the first gap is counted, 0 as a rule.

    Returns:
        Row numbers, counted from 1.

    Source: derived.

    >>> event_rows([(4, 5), (6, 3)])
    [4, 8, 12, 16, 20, 26, 32, 38]
    """
    rows: list[int] = []
    for every, times in runs:
        rows += [(rows or [lead])[-1] + every * (i + 1) for i in range(times)]
    return rows


def mirrored_plan(plan: ShapingPlan, on_every: int) -> ShapingPlan:
    """Return the plan by which a second piece is the mirror of the first, row by row.

    Args:
        plan: The shaping of the first piece.
        on_every: 1 = any row may be shaped, 2 = every second row only, …; as the plan was made with.

    Returns:
        A plan over as many rows, back to the stitches that the first began with. Row n of the second piece
        has the stitches of the n-th row of the first from its end, so a change of row n falls on
        row `rows` + 2 − n. It stays within the rows that may be shaped: where that row is none of them, or
        would be the first beyond the piece, it comes earlier, and those before it make room.

    Source: derived.

    >>> mirrored_plan(plan_shaping(ShapingInput(start=42, end=46, rows=8, each=2, plain_end=2)), 1).event_rows
    [4, 7]
    """
    shaped = plan.event_rows
    if not shaped:
        return plan
    beyond = plan.rows + 2 - (plan.rows + 2 - 2 * plan.lead) % on_every
    if beyond - shaped[-1] < 1:
        beyond += on_every
    rows: list[int] = []
    latest = plan.rows - (plan.rows - plan.lead) % on_every
    for row in shaped:
        rows.insert(0, min(beyond - row, latest))
        latest = rows[0] - on_every
    gaps = [after - before for before, after in pairwise(rows)] or [on_every]
    lead = rows[0] - gaps[0]
    runs = tuple((gap, len(list(alike))) for gap, alike in groupby([gaps[0], *gaps[: len(rows) - 1]]))
    return replace(plan, runs=runs, change=-plan.change, lead=lead)


def rows_apart(one: ShapingPlan, other: ShapingPlan) -> int:
    """Count the shaping rows by which a second piece is no mirror of the first, where that is most.

    Args:
        one: The shaping of the first piece.
        other: That of the second, over as many rows, back to the stitches that the first began with.

    Returns:
        How many shaping rows one piece is ahead of the other in the same row from its end; 0 for a mirror.

    Source: derived.

    >>> rows_apart(ShapingPlan(((1, 8),), rows=20), ShapingPlan(((1, 8),), rows=20))
    8
    """
    shaped, mirrored = one.event_rows, [other.rows + 1 - row for row in other.event_rows]
    rows = range(1, one.rows + 1)
    done = [sum(at <= row for at in shaped) - sum(at < row for at in mirrored) for row in rows]
    return max((abs(ahead) for ahead in done), default=0)


def merge_event_rows(rows_by_name: Mapping[str, Sequence[int]]) -> list[tuple[int, tuple[str, ...]]]:
    """Merge shapings that run at once into one list of rows.

    Args:
        rows_by_name: Shaped rows of each shaping, from 1.

    Returns:
        (row, names of the shapings worked in it), by row; names in the order given.

    Source: derived.

    >>> merge_event_rows({"neck": [2, 4], "armhole": [4]})
    [(2, ('neck',)), (4, ('neck', 'armhole'))]
    """
    every_row = sorted({row for rows in rows_by_name.values() for row in rows})
    return [(row, tuple(name for name, rows in rows_by_name.items() if row in rows)) for row in every_row]


def _shaping_rows(times: int) -> str:
    """Begin the sentence about shaping rows that do not fit."""
    return "1 shaping row does not fit" if times == 1 else f"{times} shaping rows do not fit"


def _given_numbers(wanted: ShapingInput) -> dict[str, float] | None:
    """Return the numbers by name, with `first` filled in; None when one is unknown."""
    given = {field.name: getattr(wanted, field.name) for field in fields(wanted)}
    if given["first"] is None:
        given["first"] = given["on_every"]
    if any(number is None or not math.isfinite(number) for number in given.values()):
        return None
    return given


_LEAST = {"rows": 0, "each": 1, "on_every": 1, "first": 1, "plain_end": 0}


def _problem_of(given: Mapping[str, float]) -> str | None:
    """Say why these numbers cannot be worked, or None."""
    for name, number in given.items():
        if abs(number - round(number)) > TOLERANCE:
            return f"“{_WORDS[name]}” must be a whole number, not {number:g}."
    change = round(abs(given["end"] - given["start"]))
    for name, least in _LEAST.items():
        if given[name] < least and (change or name != "rows"):
            return f"“{_WORDS[name]}” must be {least} or more, not {given[name]:g}."
    each = round(given["each"])
    if change % each:
        stitches = f"{change} stitch{'es' if change != 1 else ''}"
        return f"A change of {stitches} is not a whole number of shaping rows of {each} stitches each."
    return None


_WORDS = {name: name for name in ("over", "each", "on_every", "first", "plain_end")} | {
    "start": "from",
    "end": "to",
    "rows": "over",
}
