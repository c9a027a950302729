"""Stages of a practice piece: the ways to work each technique small, and what each way can't keep."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise, product

from grading.core.instructions.facts import more_of_rounds
from grading.core.instructions.references import Form
from grading.core.pattern.pattern import CurveEntry, ShapingEntry
from grading.core.practice.counts import CountRule, Rules, all_hold, parity
from grading.core.practice.techniques import Teaching, Technique
from grading.core.shaping.curves import plan_curve
from grading.core.shaping.shaping import ShapingInput, ShapingPlan, plan_shaping

# What is given up first where a piece gets too large, and what last. A technique's multiples are always kept.
SOFT = (
    "plain rows",
    "repeats",
    "uneven gaps",
    "gap",
    "stripe rows",
    "pattern rows",
    "edge",
    "steps",
    "side",
    "picked rows",
    "foundation",
    "joints",
)
# Why each is given up, behind the sentence that says what is.
WHY = {
    "plain rows": "fewer rows are enough to learn it",
    "repeats": "two are too wide for a small piece",
    "uneven gaps": "both gaps take too many rows for a small piece",
    "gap": "that would take too many rows for a small piece",
    "stripe rows": "whole stripes take too many rows for a small piece",
    "pattern rows": "all of them are too many for a small piece",
    "steps": "they take too many stitches or rows for a small piece",
    "side": "plain rows to come to that side would make the piece larger",
    "picked rows": "no edge of so small a piece has such a count",
    "foundation": "what is learned on it needs that many",
    "joints": "several techniques follow one another in one piece",
}
MOST_TIMES = 4  # shaping rows: more teach nothing new
# A row of fewer stitches has no middle between its edges; a round of fewer is hard to close. Common practice.
LEAST_STITCHES, LEAST_IN_ROUNDS, LEAST_LEFT = 4, 8, 2
ANY = 100_000  # stitches: so many that a shaping can't take off too many

Loss = tuple[str, str]


@dataclass(frozen=True)
class Way:
    """One way to work a stage: stitches changed, rows, stitches it needs at least, and what it can't keep."""

    change: int
    rows: int
    at_least: int = 0
    first: int | None = None
    plain_end: int = 0
    depth: int = 0
    lost: tuple[Loss, ...] = ()

    @property
    def given_up(self) -> frozenset[str]:
        """What it gives up, by the words of SOFT."""
        return frozenset(key for key, _ in self.lost)


@dataclass(frozen=True)
class Stage:
    """A technique in a piece: its ways from the smallest, and the rules of what is before and after it."""

    technique: Technique
    ways: tuple[Way, ...]
    start: Rules = ()
    end: Rules = ()
    before: Rules = ()
    each: int = 1
    form: Form = "plain"
    in_rounds: bool = False

    @property
    def is_curve(self) -> bool:
        """Whether it takes off or adds stitches in steps."""
        return self.technique.kind in ("curve", "mirror")

    @property
    def name(self) -> str:
        """The entry that it comes from."""
        return self.technique.name


def stage_of(of: Teaching, technique: Technique, most: int) -> Stage | None:
    """Return the stage of a technique that changes stitches or fills rows; None for what lies over the rows.

    Args:
        of: The graded pattern.
        technique: What is to be learned.
        most: Rows and stitches of a stage, at most.
    """
    make: dict[str, Callable[[Teaching, Technique, int], Stage]] = {
        "stitch_pattern": _stitch_pattern,
        "increases": _shaping,
        "decreases": _shaping,
        "spread": _spread,
        "curve": _curve,
    }
    if technique.kind == "mirror":
        return _added_again(of, technique, most) if mirror_form(of, technique.name) == "reversed" else None
    return make[technique.kind](of, technique, most) if technique.kind in make else None


def mirror_form(of: Teaching, curve: str) -> Form:
    """Return how the mirror of a curve is worked: at the other end of the rows, or the other way round."""
    first, *others = of.forms(curve) or ["start"]
    opposites: dict[Form, Form] = {"start": "end", "end": "start"}
    opposite = opposites.get(first, "start" if "end" in others else "end")
    return opposite if opposite in others or "reversed" not in others else "reversed"


def curve_form(of: Teaching, curve: str) -> Form:
    """Return how a curve is worked first in the pattern; at the start where no step names it."""
    forms = of.forms(curve)
    single: list[Form] = [form for form in forms if form in ("start", "end")]
    return single[0] if len(single) > 1 else next(iter(forms), "start")


def is_in_rounds(of: Teaching, name: str) -> bool:
    """Return whether the steps of the section that names an entry are worked in rounds."""
    place = next(iter(of.places.get(name, ())), None)
    return place is not None and section_in_rounds(of, place.section)


def section_in_rounds(of: Teaching, section: int) -> bool:
    """Return whether a section speaks more of rounds; where of both alike, how the shapings are worked."""
    if section >= len(of.pattern.sections):
        return False
    more = more_of_rounds(of.pattern.sections[section].steps)
    if more == 0:
        return bool(of.pattern.shapings) and all(one.rounds for one in of.pattern.shapings)
    return more > 0


def _rows_before(of: Teaching, name: str) -> Rules:
    """Return whether an even or an odd number of rows comes before an entry, where it is always the same."""
    return parity([one.rows_before for line in of.lines_of(name) for one in line.sizes if one.audited])


def _stitch_pattern(of: Teaching, technique: Technique, _most: int) -> Stage:
    """A whole repeat of a stitch pattern, and two side by side where that can be."""
    entry = next(one for one in of.pattern.stitch_patterns if one.name == technique.name)
    rows = len(entry.rows) or len(entry.grid)
    one, two = entry.multiple + entry.plus, 2 * entry.multiple + entry.plus
    single = ("repeats", f"{entry.label}: one repeat across, not two side by side.")
    half = max(2, rows - rows % 2) if rows < 4 else 2 * (rows // 4)
    short = ("pattern rows", f"{entry.label}: {half} of the {rows} rows of the repeat.")
    ways = [Way(0, rows, two), Way(0, rows, one, lost=(single,))]
    if half < rows:
        ways += [Way(0, half, two, lost=(short,)), Way(0, half, one, lost=(single, short))]
    rules = (CountRule(entry.multiple, entry.plus),) if entry.multiple > 1 else ()
    return Stage(technique, tuple(ways), rules, rules, (), 1, "plain", entry.rounds)


def _shaping(of: Teaching, technique: Technique, most: int) -> Stage:
    """Shaping in rows: its gaps, first row and plain rows as they are, two shaping rows or more."""
    entry = next(one for one in of.pattern.shapings if one.name == technique.name)
    plans = of.graded.shapings[entry.name]
    size = of.size_of([bool(plan.runs) for plan in plans]) or 0
    counts = of.counts
    firsts, ends = counts.numbers(entry.first), counts.numbers(entry.plain_end)
    shaping = _Shaping(
        technique.called, entry, plans[size], firsts[size], ends[size] or 0, counts.rules(entry.over)
    )
    return Stage(
        technique,
        _smallest(shaping.ways(most)),
        counts.rules(entry.start),
        counts.rules(entry.end),
        _rows_before(of, entry.name),
        plans[size].each,
        _edge_of(of, entry.name) if plans[size].each == 1 else "plain",
        entry.rounds,
    )


def _edge_of(of: Teaching, shaping: str) -> Form:
    """Return the end of the rows at which the pattern works a shaping first; "plain" where it names none."""
    place = next(iter(of.places.get(shaping, ())), None)
    step = "" if place is None else of.pattern.sections[place.section].steps[place.step]
    if "{side start}" in step:
        return "start"
    return "end" if "{side end}" in step else "plain"


@dataclass(frozen=True)
class _Shaping:
    """A shaping of the size nearest the middle, what it is called, and the rules of its rows."""

    called: str
    entry: ShapingEntry
    plan: ShapingPlan
    first: int | None
    plain_end: int
    over: Rules

    def ways(self, most: int) -> Iterator[Way]:
        """Every way with few shaping rows."""
        times_in_pattern = abs(self.plan.change) // self.plan.each
        firsts = {self.first, None if self.first is None else self._early(self.first)}
        ends = {self.plain_end, self.plain_end % 2}
        sign = 1 if self.plan.change > 0 else -1
        for times, rows in product(range(min(2, times_in_pattern), MOST_TIMES + 1), range(1, most + 1)):
            if not all_hold(self.over, rows):
                continue
            for first, plain_end in product(firsts, ends):
                change = sign * times * self.plan.each
                wanted = ShapingInput(
                    ANY, ANY + change, rows, self.plan.each, self.entry.on_every, first, plain_end
                )
                plan = plan_shaping(wanted)
                if plan.runs:
                    lost = tuple(self._lost(plan, first, plain_end))
                    yield Way(change, rows, self._at_least(times), first, plain_end, lost=lost)

    def _early(self, first: int) -> int:
        """Return the earliest first row on the same side of the work."""
        return first % 2 or 2

    def _at_least(self, times: int) -> int:
        """Return the stitches that are needed: two for each decrease, one for each increase."""
        each = self.plan.each
        if self.plan.change > 0:
            return each
        return max((times - 1) * each + 2 * each, times * each + LEAST_LEFT)

    def _lost(self, plan: ShapingPlan, first: int | None, plain_end: int) -> Iterator[Loss]:
        """What a way can't keep of the shaping."""
        name = self.called
        was, now = gaps_of(self.plan), gaps_of(plan)
        unit = "round" if self.entry.rounds else "row"
        if len(now) < len(was):
            yield (
                "uneven gaps",
                f"{name}: one gap between its shaping {unit}s, not two of different lengths.",
            )
        if now and not set(now) <= set(was or now):
            yield "gap", f"{name}: shaping every {_nth(now[0], unit)}, not every {_nth(was[0], unit)}."
        if first != self.first:
            yield "plain rows", f"{name}: shaping from {unit} {first} on, not from {unit} {self.first}."
        if plain_end != self.plain_end:
            here = str(plain_end) if plain_end else "none"
            after = f"the pattern works {self.plain_end} {unit}s straight after the shaping"
            yield "plain rows", f"{name}: {after}, the practice piece {here}."


def gaps_of(plan: ShapingPlan) -> tuple[int, ...]:
    """Return the different gaps between shaping rows in their order; () for fewer than two rows."""
    return tuple(dict.fromkeys(after - before for before, after in pairwise(plan.event_rows)))


def _nth(number: int, unit: str) -> str:
    """Return the row or round of a gap in words, as “4th row” after “every”.

    >>> _nth(1, "row"), _nth(2, "round")
    ('row', '2nd round')
    """
    if number == 1:
        return unit
    endings = {1: "st", 2: "nd", 3: "rd"}
    ending = "th" if 10 <= number % 100 <= 20 else endings.get(number % 10, "th")
    return f"{number}{ending} {unit}"


def _spread(of: Teaching, technique: Technique, most: int) -> Stage:
    """Changes spread over one row, two of them or more."""
    entry = next(one for one in of.pattern.spreads if one.name == technique.name)
    plans = of.graded.spreads[entry.name]
    plan = plans[of.size_of([bool(one.runs) for one in plans]) or 0]
    sign, counts = (1 if plan.change > 0 else -1), of.counts
    rules = counts.rules(entry.change if isinstance(entry.change, str) else abs(entry.change))
    after = [one.stitches + one.change if one.runs else None for one in plans]
    ways = [
        Way(sign * times, 1, times * 2 if sign < 0 else times)
        for times in range(min(2, abs(plan.change)), min(most, abs(plan.change) + 1) + 1)
        if all_hold(rules, times)
    ]
    start, end = counts.rules(entry.within), counts.rules_of_row(after)
    return Stage(technique, tuple(ways), start, end, in_rounds=is_in_rounds(of, entry.name))


def _curve(of: Teaching, technique: Technique, most: int) -> Stage:
    """A curve whose first step takes off the most, with single stitches and plain steps where it has them."""
    entry = next(one for one in of.pattern.curves if one.name == technique.name)
    form, lines = curve_form(of, entry.name), of.lines_of(entry.name)
    edges = 2 if form == "ends" else 1
    ways = _smallest(
        replace(way, change=-edges * way.change, at_least=edges * way.change + LEAST_LEFT)
        for way in _curve_ways(of, technique, entry, most)
    )
    first = [line for line in lines if form == "plain" or f" {_WRITTEN.get(form, form)}" in line.text][:1]
    before = [one.before for line in first for one in line.sizes]
    after = [one.stitches for line in first for one in line.sizes]
    rules = of.counts.rules_of_row
    start, end = (rules(before), rules(after)) if first else ((), ())
    side = _rows_before(of, entry.name)
    return Stage(technique, ways, start, end, side, 1, form)


_WRITTEN = {"ends": "at both ends", "start": "at start", "end": "at end"}


def _added_again(of: Teaching, technique: Technique, most: int) -> Stage:
    """The same curve the other way round: what was taken off is added."""
    taken = _curve(of, technique, most)
    ways = tuple(replace(way, change=-way.change, at_least=LEAST_LEFT, lost=()) for way in taken.ways)
    return Stage(technique, ways, taken.end, taken.start, (), 1, "reversed")


def _curve_ways(of: Teaching, technique: Technique, entry: CurveEntry, most: int) -> Iterator[Way]:
    """Every way of a small curve, its width in `change`."""
    plans = of.graded.curves[entry.name]
    size = of.size_of([bool(plan.drops) and sum(plan.drops or ()) > 0 for plan in plans]) or 0
    kinds = _kinds(plans[size].drops or ())
    widths, depths = of.counts.rules(entry.width), of.counts.rules(entry.depth)
    wide = sum(plans[size].drops or ())
    for width, depth in product(range(min(2, wide), most + 1), range(1, most // entry.every + 1)):
        if not (all_hold(widths, width) and all_hold(depths, depth)):
            continue
        drops = plan_curve(width, depth, entry.shape).drops or ()
        missing = [kind for kind in kinds if kind not in _kinds(drops)]
        says = f"{technique.called}: none of its {' and '.join(missing)}."
        lost = ((("steps", says),)) if missing else ()
        yield Way(width, depth * entry.every, depth=depth, lost=lost)


def _kinds(drops: tuple[int, ...]) -> list[str]:
    """Return what kinds of steps a curve has."""
    kinds = {
        "steps of several stitches": any(drop > 1 for drop in drops),
        "steps of one stitch": 1 in drops,
        "plain steps": 0 in drops,
    }
    return [kind for kind, has in kinds.items() if has]


def _smallest(ways: Iterable[Way]) -> tuple[Way, ...]:
    """Return for each change and each loss the fewest rows, one number even and one odd."""
    best: dict[tuple[int, frozenset[str], int], Way] = {}
    for way in ways:
        key = (way.change, way.given_up, way.rows % 2)
        if key not in best or way.rows < best[key].rows:
            best[key] = way
    return tuple(sorted(best.values(), key=lambda way: (abs(way.change), way.rows)))
