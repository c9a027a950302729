"""What a tester is told once a measurement was entered."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from grading.core.pattern.pattern import FabricEntry, ValueEntry
from testing.access.typed import GAUGE_SPAN_MM, GAUGE_SPAN_NAMES, as_typed, units_of
from testing.asked.expected import (
    DIRECTIONS,
    Gauge,
    Ground,
    complete_gauge,
    expected_lengths,
    missing_by_value,
)
from testing.asked.figures import Figures, placement_figures
from testing.asked.gauge_advice import CLOSE, FAR, gauge_advice, gauge_told, rows_word, tool_word
from testing.asked.gauge_slips import likely_gauge_slip
from testing.asked.slips import EntrySlip, likely_slip
from testing.models import Entry, Placement
from testing.results.progress import entries_sent

SAME_MM = 2.5  # half of the half centimetre to which lengths are printed: less is no other figure


@dataclass(frozen=True)
class Answer:
    """The entry beside what the pattern gives at the tester's gauge, and what it may be mistaken for."""

    typed: str
    measured_mm: float
    expected_mm: float | None
    slip: EntrySlip | None
    is_confirmed: bool
    missing_gauge: tuple[str, ...]
    gauge_word: str
    units: str
    tolerance_mm: float
    pattern_mm: float | None = None
    """What the pattern says at its own gauge, where the tester's is near and gives something else."""

    @property
    def off_mm(self) -> float | None:
        """Measured less expected where that is beyond the tolerance and not looked at again yet."""
        if self.expected_mm is None or self.is_confirmed:
            return None
        off_mm = self.measured_mm - self.expected_mm
        return off_mm if abs(off_mm) > self.tolerance_mm + 1e-9 else None

    @property
    def off_by_mm(self) -> float:
        """How far it is off, either way."""
        return abs(self.off_mm or 0.0)

    @property
    def is_doubted(self) -> bool:
        """Whether it looks like a slip that its maker was not asked about yet: what is expected waits."""
        return self.slip is not None and not self.is_confirmed


def entry_of(placement: Placement, part: str, name: str) -> Entry | None:
    """What was sent before, if anything."""
    found = (entry for entry in entries_sent(placement) if (entry.part, entry.name) == (part, name))
    return next(found, None)


def length_again(entry: Entry | None, units: str) -> dict[str, str]:
    """A length as it stands in its form again: with its unit where that is not the one in use now."""
    if entry is None:
        return {}
    typed, unit = str(entry.typed.get("length", "")), str(entry.typed.get("unit", units))
    return {"length": typed if unit == units else as_typed(typed, unit)}


def gauge_again(entry: Entry | None, units: str) -> dict[str, str]:
    """A gauge as it stands in its form again: over the square that is asked about now."""
    if entry is None:
        return {}
    if entry.typed.get("over") == GAUGE_SPAN_NAMES[units]:
        return {name: str(entry.typed.get(name, "")) for name in ("stitches", "rows")}
    return {
        name: f"{entry.meant[name] * GAUGE_SPAN_MM[units]:.1f}".removesuffix(".0")
        for name in ("stitches", "rows")
    }


def gauge_of(placement: Placement) -> dict[str, dict[str, float]]:
    """The gauge that the tester sent, per mm by fabric."""
    return {entry.name: entry.meant for entry in entries_sent(placement) if entry.part == "gauge"}


@dataclass(frozen=True)
class GaugeDoubt:
    """A gauge that looks like a slip: as it was typed, and what it may mean over the tester's own span."""

    looks_like: str
    span: str
    stitches: str
    rows: str
    pattern: tuple[str, str]
    called: str
    """What the rows of the fabric are called."""

    @property
    def in_words(self) -> str:
        """What it may mean: “19.7 stitches and 27.6 rows”."""
        return f"{self.stitches} stitches and {self.rows} {self.called}"


def gauge_doubt_of(placement: Placement, fabric: FabricEntry, units: str) -> GaugeDoubt | None:
    """What the gauge of a fabric looks like; None before it was sent, and once its maker says it is right."""
    entry = entry_of(placement, "gauge", fabric.name)
    own = (fabric.stitches_per_mm, fabric.rows_per_mm)
    if entry is None or entry.is_confirmed:
        return None
    span_mm = GAUGE_SPAN_MM[units]
    sent = (float(entry.meant["stitches"]), float(entry.meant["rows"]))
    slip = likely_gauge_slip(sent, own, span_mm=span_mm)
    if slip is None:
        return None
    counts = [f"{round(of * span_mm, 1):g}" for of in slip.would_be] if slip.would_be else ["", ""]
    printed = (f"{fabric.stitches:g}", f"{fabric.rows:g}")
    return GaugeDoubt(
        slip.looks_like, GAUGE_SPAN_NAMES[units], counts[0], counts[1], printed, rows_word(fabric.label)
    )


def gauge_advice_of(placement: Placement, craft: str, fabric: FabricEntry, units: str) -> str:
    """What to do about the gauge sent of a fabric; nothing where it is close, or looks like a slip.

    Once something was measured the garment is made: then it is only told how far the gauge is off.
    """
    entry = entry_of(placement, "gauge", fabric.name)
    if entry is None or gauge_doubt_of(placement, fabric, units):
        return ""
    if is_measured(placement):
        mark = gauge_mark(placement, fabric, units)
        return mark and f"{mark}."
    return gauge_advice(
        _counts(entry, units),
        (fabric.stitches, fabric.rows),
        tool=tool_word(craft),
        rows=rows_word(fabric.label),
    )


def is_measured(placement: Placement) -> bool:
    """Whether a garment is made as far as somebody has measured it."""
    return any(entry.part == "measured" for entry in entries_sent(placement))


def _counts(entry: Entry, units: str) -> tuple[float, float]:
    """Stitches and rows over the square that they were counted on."""
    span_mm = GAUGE_SPAN_MM[_counted_in(entry, units)]
    return float(entry.meant["stitches"]) * span_mm, float(entry.meant["rows"]) * span_mm


def _counted_in(entry: Entry, units: str) -> str:
    """The units of the square that a gauge was counted over; those of the reader where it does not say."""
    known = {name: unit for unit, name in GAUGE_SPAN_NAMES.items()}
    return known.get(str(entry.typed.get("over")), units)


def gauges_off(placement: Placement, fabrics: Iterable[FabricEntry], units: str) -> list[str]:
    """How far each gauge that a tester sent is from the pattern's, near ones left out; for the studio."""
    told = [(fabric.label, _gauge_off(placement, fabric, units, FAR)) for fabric in fabrics]
    return [f"{label}: {words}" for label, words in told if words]


def gauge_mark(placement: Placement, fabric: FabricEntry, units: str) -> str:
    """How far the gauge that a tester sent of a fabric is off; nothing where it is close, for the tester.

    It is told over the square that the form asks about now.
    """
    return _gauge_off(placement, fabric, units, CLOSE, told_in=units)


def _gauge_off(
    placement: Placement, fabric: FabricEntry, units: str, near: float, *, told_in: str = ""
) -> str:
    entry = entry_of(placement, "gauge", fabric.name)
    if entry is None:
        return ""
    counted_in = _counted_in(entry, units)
    shown_in = told_in or counted_in
    return gauge_told(
        _counts(entry, units),
        (fabric.stitches, fabric.rows),
        span=GAUGE_SPAN_NAMES[shown_in],
        near=near,
        times=GAUGE_SPAN_MM[shown_in] / GAUGE_SPAN_MM[counted_in],
        rows=rows_word(fabric.label),
    )


def answer_of(placement: Placement, figures: Figures, value: ValueEntry) -> Answer | None:
    """Compare an entry with what is expected; None before it was entered."""
    entry = entry_of(placement, "measured", value.name)
    if entry is None or value.measured is None:
        return None
    size = figures.size_place(placement.size)
    ground, gauge = figures.ground(), gauge_of(placement)
    expected = {
        name: float(numbers[size])
        for name, numbers in expected_lengths(ground, gauge).items()
        if np.isfinite(numbers[size])
    }
    wanted_mm = expected.get(value.name)
    typed, unit = str(entry.typed.get("length", "")), str(entry.typed.get("unit", "cm"))
    units, slip = units_of(typed, unit), None
    if wanted_mm is not None:
        neighbours = {
            other.label: expected[other.name]
            for other in figures.measurements
            if other.name != value.name and other.name in expected
        }
        around = value.measured.around
        slip = likely_slip(
            entry.meant["mm"],
            wanted_mm,
            around=around,
            neighbours=neighbours,
            unit=units,
        )
    missing = missing_by_value(ground, gauge, size).get(value.name, ())
    return Answer(
        typed=as_typed(typed, unit),
        measured_mm=entry.meant["mm"],
        expected_mm=wanted_mm,
        slip=slip,
        is_confirmed=entry.is_confirmed,
        missing_gauge=tuple(fabric.label for fabric in figures.fabrics if fabric.name in missing),
        gauge_word=figures.gauge_word,
        units=units,
        tolerance_mm=value.measured.tolerance,
        pattern_mm=_at_its_own_gauge(ground, gauge, value.name, size),
    )


def _at_its_own_gauge(ground: Ground, gauge: Gauge, name: str, size: int) -> float | None:
    """A length at the pattern's gauge; None where it is the same at the tester's, or that is far off."""
    full, _ = complete_gauge(ground, gauge)
    off = [
        abs(full[fabric][way] / own[way] - 1) for fabric, own in ground.gauge.items() for way in DIRECTIONS
    ]
    if max(off, default=0.0) > FAR + 1e-9:
        return None
    own_mm, at_theirs_mm = (float(expected_lengths(ground, one)[name][size]) for one in ({}, gauge))
    return own_mm if abs(own_mm - at_theirs_mm) >= SAME_MM else None


def length_mark(placement: Placement, figures: Figures, name: str) -> str:
    """What is still asked about a measurement; nothing where it is not in doubt, or was not sent."""
    value = next((one for one in figures.measurements if one.name == name), None)
    answer = answer_of(placement, figures, value) if value else None
    if answer is None or answer.slip is None or answer.is_confirmed:
        return ""
    return answer.slip.question[:1].lower() + answer.slip.question[1:]


@dataclass(frozen=True)
class MeasuredBefore:
    """The measurement that was sent just before a page, told there."""

    value: ValueEntry
    answer: Answer


def measured_before(placement: Placement, name: str) -> MeasuredBefore | None:
    """The measurement of a name as it was sent; None where there is none such."""
    figures = placement_figures(placement)
    value = next((one for one in figures.measurements if one.name == name), None)
    answer = answer_of(placement, figures, value) if value else None
    return MeasuredBefore(value, answer) if value and answer else None
