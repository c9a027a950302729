"""The course of a count: the rows in which it changes, written out or shaped by a plan of the sheet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from grading.core.instructions.facts import Facts
from grading.core.instructions.references import Reference
from grading.core.printing.edition import PrintForm

HOME = PrintForm("cm", "US")


@dataclass(frozen=True)
class Stage:
    """A row, counted from the beginning of its section, and the stitches after it."""

    row: int
    stitches: int


@dataclass(frozen=True)
class Planned:
    """What a plan does: the stitches it changes in each of its rows, and how many rows it has."""

    changes: Mapping[int, int]
    rows: int

    @property
    def change(self) -> int:
        """All it changes together."""
        return sum(self.changes.values())

    def times(self, places: int) -> "Planned":
        """The same worked in so many places at once."""
        return Planned({row: change * places for row, change in self.changes.items()}, self.rows)


def planned_shapings(facts: Facts, name: str, *, mirrored: bool = False) -> tuple[Planned | None, ...]:
    """A shaping row by row, one plan per size; None where it can't be done or has no numbers."""
    return tuple(
        None
        if plan.runs is None
        else Planned(dict.fromkeys(plan.event_rows, plan.each if plan.change > 0 else -plan.each), plan.rows)
        for plan in facts.shaping(name, HOME, mirrored=mirrored).plans
    )


def planned_curves(facts: Facts, reference: Reference) -> tuple[Planned | None, ...]:
    """A curve row by row, one plan per size: taken off, or added where it is worked the other way round."""
    plans, every = facts.curve(reference.name)
    return tuple(
        None if plan.drops is None else _planned_curve(plan.drops, every, reference, facts.pattern.craft)
        for plan in plans
    )


def _planned_curve(drops: Sequence[int], every: int, reference: Reference, craft: str) -> Planned:
    """A curve in one size; knitting casts off at the second of two edges one row later."""
    plan = _curve(drops, every, added=reference.form == "reversed")
    if reference.form != "ends":
        return plan
    if craft != "knitting" or every % 2:
        return plan.times(2)
    return Planned({**plan.changes, **{row + 1: change for row, change in plan.changes.items()}}, plan.rows)


def _curve(drops: Sequence[int], every: int, *, added: bool) -> Planned:
    steps = [*reversed(drops)] if added else [-drop for drop in drops]
    return Planned({step * every + 1: change for step, change in enumerate(steps)}, len(steps) * every)


def together(plans: Sequence[Planned]) -> Planned:
    """Plans that begin in the same row, as one."""
    changes: dict[int, int] = {}
    for plan in plans:
        for row, change in plan.changes.items():
            changes[row] = changes.get(row, 0) + change
    return Planned(changes, max(plan.rows for plan in plans))


def course_of(plan: Planned, *, row: int, stitches: int) -> tuple[Stage, ...]:
    """The rows in which a plan changes the count, begun after so many rows on so many stitches.

    >>> course_of(Planned({2: -1, 4: -1}, 6), row=10, stitches=20)
    (Stage(row=12, stitches=19), Stage(row=14, stitches=18))
    """
    stages = []
    for at in sorted(plan.changes):
        stitches += plan.changes[at]
        if plan.changes[at]:
            stages.append(Stage(row + at, stitches))
    return tuple(stages)
