"""The results of a call beside what the pattern asks for at each tester's own gauge."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import fmean

from testing.access.selectors import remarks_of, results_of
from testing.asked.expected import Deviation, ExpectedMeasurement, MeasuredGarment, deviations
from testing.asked.figures import NO_STEP, Figures, call_figures, version_figures
from testing.assessment.garment_entries import decided_gauges, meant_mm
from testing.models import Remark, Result, TestCall
from testing.results.sent_things import maker_of
from testing.verdicts.plots import Marks, Plot, draw_plot, draw_strip
from testing.verdicts.sentences import VERDICT_WORDS, Found, MakerTally


@dataclass(frozen=True)
class DeviationRow:
    """One deviation as the table shows it."""

    result: Result
    maker: str
    size: str
    line: ExpectedMeasurement
    deviation: Deviation
    at_sent_gauge_mm: float
    """What its counts give at the gauge that was sent; the deviation is from what the garment's own gives."""


@dataclass(frozen=True)
class JudgedCall:
    """All that the results page shows."""

    rows: list[DeviationRow]
    plot: Plot
    strips: dict[str, Plot]  # of each measurement by itself
    gauge_missing: bool

    @property
    def beyond(self) -> int:
        """How many measurements lie beyond their tolerance."""
        return sum(row.deviation.is_beyond for row in self.rows)


@dataclass(frozen=True)
class PlacedRemark:
    """A remark with its step in words, and who made it."""

    remark: Remark
    step: str
    maker: str


def placed_remarks(call: TestCall) -> list[PlacedRemark]:
    """The remarks of a call, each at the step of the version it was made on."""
    placed = []
    printed: dict[tuple[int, str], dict[str, str]] = {}
    for remark in remarks_of(call):
        result = remark.result
        size = result.version_id, result.size
        if size not in printed:
            printed[size] = dict(version_figures(result.version).steps(result.size))
        result.call = call  # known without asking again
        placed.append(PlacedRemark(remark, printed[size].get(remark.place, NO_STEP), maker_of(result)))
    return placed


def judge_call(call: TestCall, found: Found, units: str = "cm") -> JudgedCall:
    """Judge every result by the counts of its version, at the garment's gauge as the assessment found it.

    `units` are those of whoever looks at the picture.
    """
    figures = call_figures(call)
    lines = figures.lines()
    rows = judged_rows(found, list(results_of(call).prefetch_related("entries__reading")))
    order = {line.name: place for place, line in enumerate(lines)}
    rows.sort(key=lambda row: (order.get(row.line.name, len(order)), row.deviation.size, row.maker))
    shown = [row.deviation for row in rows]
    sizes, marks = figures.pattern.sizes, _marks(found, units)
    strips = {line.name: draw_strip(line, sizes, shown, marks) for line in lines}
    return JudgedCall(
        rows=rows,
        plot=draw_plot(lines, sizes, shown, marks),
        strips={name: strip for name, strip in strips.items() if strip},
        gauge_missing=any(deviation.missing_gauge for deviation in shown),
    )


def judged_rows(found: Found, results: list[Result]) -> list[DeviationRow]:
    """Results, loaded with their entries and readings, at the gauge that the assessment found."""
    return [_at_its_gauge(row, found) for rows in _rows_by_version(results) for row in rows]


def tally_makers(
    rows: list[DeviationRow], found: Found, sizes: Sequence[str], held: Mapping[str, int]
) -> dict[str, MakerTally]:
    """How the makers of each measurement lie by size; doubtful entries are told apart and not counted.

    `held` is how many have a place in each size.
    """
    doubtful = not_counted(found)
    beyond: Counter[tuple[str, str]] = Counter()
    within: Counter[tuple[str, str]] = Counter()
    left_out: Counter[str] = Counter()
    for row in rows:
        name = row.line.name
        if (row.result.pk, name) in doubtful:
            left_out[name] += 1
        else:
            (beyond if row.deviation.is_beyond else within)[name, row.size] += 1
    return {
        name: MakerTally(
            tuple(beyond[name, size] for size in sizes),
            tuple(within[name, size] for size in sizes),
            left_out[name],
            tuple(held.get(size, 0) for size in sizes),
        )
        for name in found["measurements"]
    }


def mean_errors(rows: list[DeviationRow], found: Found) -> dict[str, dict[str, float]]:
    """How far the garments of a size are off on average, mm, by measurement and size.

    Doubtful entries are left out; a size without a result has none.
    """
    doubtful = not_counted(found)
    off: defaultdict[str, defaultdict[str, list[float]]] = defaultdict(lambda: defaultdict(list))
    for row in rows:
        if (row.result.pk, row.line.name) not in doubtful:
            off[row.line.name][row.size].append(row.deviation.off_mm)
    return {name: {size: fmean(each) for size, each in sizes.items()} for name, sizes in off.items()}


def not_counted(found: Found) -> set[tuple[int, str]]:
    """Entries that are no results until somebody decides: doubtful ones and those of doubtful gauges."""
    doubtful = {(one["result"], one["measurement"]) for one in found["doubtful"]}
    hanging = {(one["result"], name) for one in found.get("gauges", ()) for name in one["measurements"]}
    return doubtful | hanging


def _at_its_gauge(row: DeviationRow, found: Found) -> DeviationRow:
    """The row with what is expected at the gauge that the garment's other measurements tell."""
    expected_mm = found["expected"].get(str(row.result.pk), {}).get(row.line.name)
    if expected_mm is None:
        return row
    return replace(row, deviation=replace(row.deviation, expected_mm=expected_mm))


def _marks(found: Found, units: str) -> Marks:
    """What the picture shows beside the dots: verdicts, intervals, doubtful entries."""
    return Marks(
        verdicts={name: VERDICT_WORDS[one["verdict"]] for name, one in found["measurements"].items()},
        intervals={name: one["interval"] for name, one in found["measurements"].items()},
        doubtful=frozenset((str(result), name) for result, name in not_counted(found)),
        units=units,
    )


def measured_of(result: Result, figures: Figures) -> MeasuredGarment:
    """One result as the pure part takes it: entries as decided, without what was altered or left out."""
    lengths_mm: dict[str, float] = {}
    altered = {entry.name for entry in result.entries.all() if entry.part == "altered"}
    for entry in result.entries.all():
        if entry.part == "measured" and entry.name not in altered:
            mm = meant_mm(entry)
            if mm is not None:
                lengths_mm[entry.name] = mm
    return MeasuredGarment(
        maker=str(result.pk),
        size=figures.size_place(result.size),
        gauge=decided_gauges(result, figures),
        lengths_mm=lengths_mm,
    )


def _rows_by_version(loaded: list[Result]) -> list[list[DeviationRow]]:
    """Judge the results of each version by its own frozen numbers."""
    by_version: dict[int, list[Result]] = defaultdict(list)
    for result in loaded:
        by_version[result.version_id].append(result)
    return [_rows(version_figures(results[0].version), results) for results in by_version.values()]


def _rows(figures: Figures, results: list[Result]) -> list[DeviationRow]:
    """The rows of results that share a version."""
    lines = {line.name: line for line in figures.lines()}
    known = {str(result.pk): result for result in results}
    testers = [measured_of(result, figures) for result in results]
    return [
        DeviationRow(
            result=known[deviation.maker],
            maker=maker_of(known[deviation.maker]),
            size=figures.pattern.sizes[deviation.size],
            line=lines[deviation.measurement],
            deviation=deviation,
            at_sent_gauge_mm=deviation.expected_mm,
        )
        for deviation in deviations(figures.ground(), list(lines.values()), testers)
    ]
