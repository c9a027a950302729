"""The smallest piece: every number of stitches is tried, and every way of each stage."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from grading.core.practice.counts import Rules, all_hold
from grading.core.practice.stages import LEAST_IN_ROUNDS, LEAST_STITCHES, SOFT, Loss, Stage, Way

WANTED = 20  # stitches and rows that a piece should have at most
WITHIN = (WANTED, WANTED)
# For one stage alone, whose own multiple or gaps may need more.
LARGER = ((40, WANTED), (WANTED, 40), (120, 120))


@dataclass(frozen=True)
class Worked:
    """A stage as it is worked: its way, stitches before and after it, and rows done before it."""

    stage: Stage
    way: Way
    before: int
    rows_before: int

    @property
    def after(self) -> int:
        """Stitches after it."""
        return self.before + self.way.change


@dataclass(frozen=True)
class Course:
    """A piece as planned: stitches of its foundation, plain rows, then its stages, in `rows` rows in all."""

    cast_on: int
    straight: int
    stages: tuple[Worked, ...]
    rows: int
    over: tuple[tuple[str, int], ...] = ()
    lost: tuple[Loss, ...] = ()

    @property
    def widest_row(self) -> int:
        """The most stitches of any row of the piece itself."""
        return max([self.cast_on, *(one.after for one in self.stages)])

    @property
    def widest(self) -> int:
        """The most stitches of any row of the piece, and of what is picked up along it."""
        return max([self.widest_row, *(stitches for _, stitches in self.over)])

    @property
    def given_up(self) -> int:
        """How much it can't keep, as a weight."""
        return weight(self.lost) + sum(weight(one.way.lost) for one in self.stages)

    @property
    def ends_on(self) -> int:
        """Stitches of the last row."""
        return self.stages[-1].after if self.stages else self.cast_on


@dataclass(frozen=True)
class Over:
    """What lies over the rows of a piece, tried on its stitches, its plain rows and all its rows.

    `fits` returns the stitches of what is picked up and what can't be kept; None where it can't be worked.
    """

    name: str
    fits: Callable[[int, int, int], tuple[int, tuple[Loss, ...]] | None]


@dataclass(frozen=True)
class Wanted:
    """What a piece must have: its stages in order, what lies over it, and what its foundation keeps.

    A strict one keeps the multiple of its foundation and of the stitches on which each stage begins.
    """

    stages: tuple[Stage, ...]
    over: tuple[Over, ...] = ()
    foundation: Rules = ()
    least_rows: int = 1
    in_rounds: bool = False
    is_strict: bool = True

    @property
    def least(self) -> int:
        """The fewest stitches of its foundation."""
        return LEAST_IN_ROUNDS if self.in_rounds else LEAST_STITCHES


def smallest_course(wanted: Wanted) -> Course | None:
    """Find the piece that keeps the most within 20 stitches and 20 rows, and of those the smallest.

    Args:
        wanted: What the piece must have.

    Returns:
        The piece that gives up the least, weighed by the order of SOFT; of those the one of the least area
        (most stitches times rows), then the one with fewer stitches. Only a piece of one stage alone may be
        wider or longer than 20 × 20, and only where that does not help either may its foundation give up
        its multiple. None where nothing can be worked.

    Source: derived.
    """
    if len(wanted.stages) > 1:
        return smallest_in(wanted, WITHIN)
    lenient = replace(wanted, is_strict=False)
    found = (smallest_in(one, box) for one in (wanted, lenient) for box in (WITHIN, *LARGER))
    return next((course for course in found if course is not None), None)


def smallest_in(wanted: Wanted, box: tuple[int, int]) -> Course | None:
    """Return the best piece of so many stitches and rows at most; None where there is none."""
    best: Course | None = None
    for cast_on in range(wanted.least, box[0] + 1):
        for straight in (wanted.least_rows, wanted.least_rows + 1):
            begun = Course(cast_on, straight, (), 0, (), _lost_of_foundation(wanted, cast_on))
            if begun.lost and wanted.is_strict:
                continue
            for course in _courses(wanted, box, begun, best):
                if best is None or rank(course) < rank(best):
                    best = course
    return best


def rank(course: Course) -> tuple[int, int, int, int]:
    """Return what the better of two courses is told by: what it gives up, its area, its width."""
    return course.given_up, course.widest * course.rows, course.widest, course.cast_on


def weight(lost: Sequence[Loss]) -> int:
    """Return how much is given up: each thing of SOFT outweighs one each of all before it.

    >>> weight([("plain rows", "")]) < weight([("gap", "")])
    True
    """
    return sum(2 ** SOFT.index(key) for key, _ in lost)


def _lost_of_foundation(wanted: Wanted, cast_on: int) -> tuple[Loss, ...]:
    """Return what a foundation of so many stitches can't keep."""
    if all_hold(wanted.foundation, cast_on):
        return ()
    rules = " and ".join(rule.words for rule in wanted.foundation)
    return (("foundation", f"The foundation has {cast_on} stitches; in the pattern it is {rules}."),)


# The most stitches so far, those there are now, the rows, and what the next stage has to undo.
State = tuple[int, int, int, tuple[int, int]]
NOTHING = (0, 0)


def _courses(wanted: Wanted, box: tuple[int, int], begun: Course, best: Course | None) -> Iterator[Course]:
    """Yield courses from a foundation on, but for those that can't be better than the best there is."""
    reached: dict[State, tuple[Worked, ...]]
    reached = {(begun.cast_on, begun.cast_on, begun.straight, NOTHING): ()}
    for stage in wanted.stages:
        further = _one_stage_on(stage, box, reached, is_strict=wanted.is_strict)
        reached = {state: way for state, way in further.items() if not _is_worse(begun, state, way, best)}
    for stages in reached.values():
        yield from _finished(wanted, box, begun, stages)


def _is_worse(begun: Course, state: State, stages: tuple[Worked, ...], best: Course | None) -> bool:
    """Return whether a state gives up more than the best course, or as much and is larger already."""
    if best is None:
        return False
    given_up = weight(begun.lost) + sum(weight(one.way.lost) for one in stages)
    return (given_up, state[0] * state[2]) > rank(best)[:2]


def _one_stage_on(
    stage: Stage, box: tuple[int, int], reached: dict[State, tuple[Worked, ...]], *, is_strict: bool
) -> dict[State, tuple[Worked, ...]]:
    """Return the states after one more stage, each with the stages that give up the least."""
    further: dict[State, tuple[Worked, ...]] = {}
    costs: dict[State, int] = {}
    for (widest, now, rows, curve), before in reached.items():
        cost = sum(weight(one.way.lost) for one in before)
        for one in _ways_on(stage, now, rows, is_strict=is_strict):
            if stage.form == "reversed" and curve != (-one.way.change, one.way.depth):
                continue
            curve_now = (one.way.change, one.way.depth) if stage.technique.kind == "curve" else NOTHING
            state = (max(widest, one.after), one.after, one.rows_before + one.way.rows, curve_now)
            total = cost + weight(one.way.lost)
            if state[0] <= box[0] and state[2] <= box[1] and total < costs.get(state, total + 1):
                further[state], costs[state] = (*before, one), total
    return further


def _ways_on(stage: Stage, now: int, rows: int, *, is_strict: bool) -> Iterator[Worked]:
    """Yield the ways of a stage on so many stitches, after a plain row where its side asks for one."""
    joint: tuple[Loss, ...] = ()
    if not all_hold(stage.start, now):
        if is_strict:
            return
        rules = " and ".join(rule.words for rule in stage.start)
        says = f"{stage.technique.called}: begun on {now} stitches; in the pattern it is {rules}."
        joint = (("joints", says),)
    for plain in (0, 1):
        aside: tuple[Loss, ...] = ()
        if not all_hold(stage.before, rows + plain):
            aside = (("side", f"{stage.technique.called}: begun on the other side of the work."),)
        for way in stage.ways:
            if now >= way.at_least and (joint or all_hold(stage.end, now + way.change)):
                lost = (*way.lost, *joint, *aside)
                yield Worked(stage, replace(way, lost=lost) if joint or aside else way, now, rows + plain)


def _finished(
    wanted: Wanted, box: tuple[int, int], begun: Course, stages: tuple[Worked, ...]
) -> Iterator[Course]:
    """Yield courses with more and more plain rows before the stages, by twos, for what lies over them."""
    fewest = stages[-1].rows_before + stages[-1].way.rows if stages else begun.straight
    for more in range(0, box[1] - fewest + 1 if wanted.over else 1, 2):
        rows = fewest + more
        laid = [one.fits(begun.cast_on, begun.straight + more, rows) for one in wanted.over]
        fitting = [one for one in laid if one is not None]
        if len(fitting) < len(laid) or any(stitches > box[0] for stitches, _ in fitting):
            continue
        named = zip((one.name for one in wanted.over), fitting, strict=True)
        over = tuple((name, stitches) for name, (stitches, _) in named if stitches)
        moved = tuple(replace(one, rows_before=one.rows_before + more) for one in stages)
        lost = (*begun.lost, *(loss for _, of in fitting for loss in of))
        straight = moved[0].rows_before if moved else rows
        yield Course(begun.cast_on, straight, moved, rows, over, lost)
