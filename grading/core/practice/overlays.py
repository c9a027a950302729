"""What lies over the rows of a practice piece: stripes, and stitches picked up along its edges."""

from collections.abc import Sequence

import numpy as np

from grading.core.formula.rounding import WorkableStep, round_to_workable
from grading.core.pattern.pattern import FabricEntry, PickUpEntry
from grading.core.practice.counts import Rules, all_hold
from grading.core.practice.search import Course, Over
from grading.core.practice.sheet import Banding
from grading.core.practice.stages import Loss
from grading.core.practice.techniques import Teaching, Technique
from grading.core.shaping.pick_ups import Ratio, edge_problem, plan_pick_up

# Rows or stitches of an edge along which picking up can be learned.
LEAST_EDGE = 4
_LIES = "{}: along an edge of {} it gathers or flares. Practise how it is picked up, not how it lies."

Sequence_ = tuple[tuple[str, int], ...]


def sequence_of(of: Teaching, stripes: str) -> Sequence_:
    """Return the stripes of a sequence as in the pattern: colour and rows."""
    return next(one.sequence for one in of.pattern.stripes if one.name == stripes)


def shortened(sequence: Sequence_) -> Sequence_:
    """Return stripes as short as they can be: each keeps its colour and whether its rows are even or odd.

    >>> shortened((("A", 6), ("B", 1)))
    (('A', 2), ('B', 1))
    """
    return tuple((colour, 1 if rows % 2 else 2) for colour, rows in sequence)


def rows_in(sequence: Sequence_) -> int:
    """Return the rows of one repeat."""
    return sum(rows for _, rows in sequence)


def stripes_over(of: Teaching, techniques: Sequence[Technique]) -> Over:
    """Return what stripes ask of the rows of a piece: a repeat of each, a short one where it is long."""
    whole = [sequence_of(of, one.name) for one in techniques]
    most = sum(rows_in(one) for one in whole)
    least = sum(rows_in(shortened(one)) for one in whole)
    lost = tuple(
        (
            "stripe rows",
            f"{one.called}: each stripe is as short as can be; all its colours are there.",
        )
        for one, sequence in zip(techniques, whole, strict=True)
        if shortened(sequence) != sequence
    )

    def fits(_cast_on: int, straight: int, rows: int) -> tuple[int, tuple[Loss, ...]] | None:
        if rows >= most and straight >= most - rows_in(whole[-1]):
            return 0, ()
        fits_short = rows >= least and straight >= least - rows_in(shortened(whole[-1]))
        return (0, lost) if fits_short else None

    return Over("", fits)


def bands_of(of: Teaching, techniques: Sequence[Technique], course: Course) -> list[Banding]:
    """Return the stripes of a piece: one sequence after the other in its plain rows, the last to its end."""
    rows, whole = course.rows, [sequence_of(of, one.name) for one in techniques]
    if any(key == "stripe rows" for key, _ in course.lost):
        whole = [shortened(one) for one in whole]
    bands, left = [], rows
    for place, (technique, sequence) in enumerate(zip(techniques, whole, strict=True)):
        own = left if place == len(whole) - 1 else rows_in(sequence)
        bands.append(Banding(technique.name, sequence, own))
        left -= own
    return bands


def pick_up_over(of: Teaching, technique: Technique, fabric: FabricEntry) -> Over:
    """Return what a pick-up asks of an edge: a whole group of its ratio, and that it lies flat."""
    entry = next(one for one in of.pattern.pick_ups if one.name == technique.name)
    rules = of.counts.rules(entry.count)
    edge_fabric = next((one for one in of.pattern.fabrics if one.name == entry.fabric), None)
    per_mm = fabric.rows_per_mm if entry.along == "row ends" else fabric.stitches_per_mm

    def fits(cast_on: int, _straight: int, rows: int) -> tuple[int, tuple[Loss, ...]] | None:
        count = rows if entry.along == "row ends" else cast_on
        stitches = picked_stitches(of, entry, count)
        plan = plan_pick_up(stitches, count, Ratio(entry.stitches, entry.per))
        if plan is None or stitches < 1 or count < max(entry.per, LEAST_EDGE):
            return None
        lost = _lost_of_count(technique, entry, rules, count)
        if edge_fabric and edge_problem(stitches, edge_fabric.stitches_per_mm, count / per_mm):
            lost += (("edge", _LIES.format(technique.called, fabric.label)),)
        return stitches, lost

    return Over(technique.name, fits)


def _lost_of_count(technique: Technique, entry: PickUpEntry, rules: Rules, count: int) -> tuple[Loss, ...]:
    """Return what the count of an edge can't keep."""
    if all_hold(rules, count):
        return ()
    words = " and ".join(rule.words for rule in rules)
    measure = "rows" if entry.along == "row ends" else "stitches"
    says = f"{technique.called}: along {count} {measure}; in the pattern it is {words}."
    return (("picked rows", says),)


def picked_stitches(of: Teaching, entry: PickUpEntry, count: int) -> int:
    """Return the stitches that are picked up along so many rows or stitches, rounded as in the pattern."""
    step = WorkableStep()
    if entry.rounding is not None:
        fabric = next((one for one in of.pattern.fabrics if one.name == entry.rounding.fabric), None)
        multiple = fabric.multiple if fabric else entry.rounding.multiple
        plus = fabric.plus if fabric else entry.rounding.plus
        step = WorkableStep(entry.rounding.to, multiple, plus)
    exact = np.array([count * entry.stitches / entry.per])
    return round(float(round_to_workable(exact, step)[0]))
