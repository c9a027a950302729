"""What the results page says: verdicts, doubtful entries, yarn and hours in words."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from testing.access.lengths import length_in
from testing.access.selectors import held_places, results_of
from testing.access.typed import GAUGE_SPAN_NAMES
from testing.asked.figures import call_figures
from testing.assessment.garment_entries import meant_mm
from testing.assessment.suspects import sharing
from testing.models import Entry, Reading, Result, TestCall
from testing.models.assessment import seen_number
from testing.results.sent_things import maker_of, typed_words
from testing.verdicts.doubts import LOOKS_LIKE, doubt_sentence, gauge_sentence, gauge_words
from testing.verdicts.judging import DeviationRow, JudgedCall, mean_errors, not_counted, tally_makers
from testing.verdicts.plots import Plot
from testing.verdicts.sentences import (
    VERDICT_WORDS,
    Found,
    MakerTally,
    cause_sentence,
    is_mean,
    sharing_sentence,
    undecided_sentences,
    unseen_sentence,
    verdict_parts,
)
from testing.verdicts.yarn_words import YarnInShort, yarn_in_short, yarn_now, yarn_sentences


@dataclass(frozen=True)
class SizeError:
    """The error of one size with its interval, mm; no interval without a result.

    `mean_mm` is what the size's own results say on average; None without one.
    """

    size: str
    error_mm: float
    interval_mm: tuple[float, float] | None
    results: int
    mean_mm: float | None
    is_apart: bool
    """Whether the size is judged by itself: any other figure rests on all sizes together."""

    @property
    def rests_on_others(self) -> bool:
        """Whether results of other sizes are in the figure as well."""
        return not self.is_apart or self.results < 2


@dataclass(frozen=True)
class ShownVerdict:
    """One measurement's verdict in words, and the counts that could mend it."""

    name: str
    label: str
    verdict: str
    says: str
    rests: str
    cause: str
    unseen: str
    suspects: list[tuple[str, str]]
    affected: list[str]
    is_contradicted: bool
    """Whether a maker is beyond the tolerance."""
    is_mean: bool = False  # whether makers of sizes that it speaks of are within the tolerance
    sizes: list[SizeError] = field(default_factory=list)
    strip: Plot | None = None  # its row of the picture
    off: list[str] = field(default_factory=list)
    """Of a measurement that holds: who is beyond the tolerance all the same, with size and how far."""
    mended_by: list[tuple[str, str]] = field(default_factory=list)
    """The suspects whose new counts make it come out as planned, name and label; once they are worked out."""
    not_mended_by: str = ""  # those whose new counts do not, in words
    follows_from: str = ""  # the measurement whose mend takes this error away as well, by its label

    @property
    def says_off(self) -> str:
        """What is to be measured again; empty where no maker is named as off."""
        count = len(self.off)
        makers = "1 maker is" if count == 1 else f"{count} makers are"
        return f"{self.label}: {makers} beyond the tolerance; measure again" if count else ""

    @property
    def sentence(self) -> str:
        """The verdict and what it rests on."""
        return f"{self.says}: {self.rests}"

    @property
    def word(self) -> str:
        """The verdict as people say it."""
        if self.verdict == "shift" and self.is_mean:
            return "same error on average"
        return VERDICT_WORDS[self.verdict]

    @property
    def is_wrong(self) -> bool:
        """Whether the line is judged wrong."""
        return self.is_decided and self.verdict != "holds"

    @property
    def is_decided(self) -> bool:
        """Whether there were results enough to judge the line."""
        return self.verdict != "undecided"


@dataclass(frozen=True)
class ShownDoubt:
    """A doubtful entry, what it looks like, and what it would then mean."""

    result: Result
    name: str
    label: str
    maker: str
    entry_mm: float
    sentence: str
    meant_mm: float | None


@dataclass(frozen=True)
class ShownGauge:
    """A doubtful gauge, what it looks like, and what would heal it."""

    result: Result
    name: str
    label: str
    maker: str
    sentence: str
    seen: float | None


@dataclass(frozen=True)
class ShownReading:
    """An entry that somebody decided how to read."""

    reading: Reading
    label: str
    maker: str
    says: str
    typed: str = ""  # of a gauge, which is no length


@dataclass(frozen=True)
class Shown:
    """All that the page says in words."""

    sizes: Sequence[str]
    verdicts: list[ShownVerdict]
    undecided: list[str]
    sharing: list[str]
    gauges: list[ShownGauge]
    doubts: list[ShownDoubt]
    readings: list[ShownReading]
    yarn: list[str]
    hours: str
    yarn_short: YarnInShort

    @property
    def wrong(self) -> list[ShownVerdict]:
        """What is judged wrong: it needs an act."""
        return [verdict for verdict in self.verdicts if verdict.is_wrong]

    @property
    def sound(self) -> list[ShownVerdict]:
        """What no error is seen in, by any maker."""
        return [one for one in self.verdicts if one.verdict == "holds" and not one.is_contradicted]

    @property
    def contradicted(self) -> list[ShownVerdict]:
        """What holds although some maker is beyond the tolerance: somebody is asked to measure again."""
        return [one for one in self.verdicts if one.verdict == "holds" and one.is_contradicted]

    @property
    def lacking(self) -> int:
        """How many measurements have too few results."""
        return sum(not verdict.is_decided for verdict in self.verdicts)

    @property
    def doubted(self) -> int:
        """How many entries wait for a decision."""
        return len(self.gauges) + len(self.doubts)


def show_verdicts(call: TestCall, found: Found, judged: JudgedCall, units: str) -> Shown:
    """Put an assessment into words."""
    figures = call_figures(call)
    labels = {value.name: value.label for value in figures.pattern.values}
    sizes = figures.pattern.sizes
    measured = found["measurements"]
    suspected = {name: tuple(one["suspects"]) for name, one in measured.items() if one["suspects"]}
    sent = _entries(call)
    entries, gauges = sent["measured"], sent["gauge"]
    fabrics = {fabric.name: fabric.label for fabric in figures.fabrics}
    held = Counter(held_places(call).values_list("size", flat=True))
    tallies = tally_makers(judged.rows, found, sizes, held)
    means = mean_errors(judged.rows, found)
    verdicts = [
        replace(
            _verdict(name, one, labels, (sizes, units), tallies[name]),
            strip=judged.strips.get(name),
            sizes=_size_errors(one, sizes, tallies[name], means.get(name, {})),
            off=_who_is_off(name, judged.rows, found, units) if one["verdict"] == "holds" else [],
        )
        for name, one in measured.items()
    ]
    return Shown(
        sizes=sizes,
        verdicts=sorted(verdicts, key=lambda one: (not one.is_wrong, one.verdict == "holds")),
        undecided=undecided_sentences(measured, labels, sizes, tallies),
        sharing=[sharing_sentence(names, counts, labels) for names, counts in sharing(suspected)],
        gauges=[
            _gauge(one, gauges, fabrics, units) for one in found.get("gauges", ()) if _key(one) in gauges
        ],
        doubts=[_doubt(one, entries, labels) for one in found["doubtful"] if _key(one) in entries],
        readings=[
            _reading(entry, {**labels, **fabrics})
            for entry in (*entries.values(), *gauges.values())
            if _is_read(entry)
        ],
        yarn=yarn_sentences(found["yarn"], fabrics, yarn_now(figures.pattern, figures.graded.yarn)),
        hours=hours_sentence(found["hours"]),
        yarn_short=yarn_in_short(found["yarn"]),
    )


def hours_sentence(hours: Found) -> str:
    """Hours as a plain range; nothing from fewer than three testers."""
    if "least" not in hours:
        return ""
    return (
        f"{hours['least']:g} to {hours['most']:g} hours, {hours['middle']:g} in the middle; "
        f"{hours['testers']} testers."
    )


def _verdict(
    name: str, one: Found, labels: Found, shown_in: tuple[Sequence[str], str], tally: MakerTally
) -> ShownVerdict:
    """One verdict in words."""
    label, (sizes, units) = labels.get(name, name), shown_in
    says, rests = verdict_parts(label, one, sizes, units, tally)
    return ShownVerdict(
        name=name,
        label=label,
        verdict=one["verdict"],
        says=says,
        rests=rests,
        cause=cause_sentence(one, labels),
        unseen=unseen_sentence(sizes, tally.makers),
        affected=list(one["sizes"]),
        is_contradicted=any(tally.beyond),
        is_mean=one["verdict"] == "shift" and is_mean(one, sizes, tally),
        suspects=[(value, labels.get(value, value)) for value in one["suspects"]],
    )


def _who_is_off(name: str, rows: Sequence[DeviationRow], found: Found, units: str) -> list[str]:
    """The makers beyond the tolerance of a measurement that count: "Imre Calder, size XL, −2.0 cm"."""
    left_out = not_counted(found)
    return [
        f"{row.maker}, size {row.size}, {'−' if row.deviation.off_mm < 0 else '+'}"
        f"{length_in(abs(row.deviation.off_mm), units)}"
        for row in rows
        if row.line.name == name and row.deviation.is_beyond and (row.result.pk, name) not in left_out
    ]


def _size_errors(
    one: Found, sizes: Sequence[str], tally: MakerTally, means: Mapping[str, float]
) -> list[SizeError]:
    """The error of each size; only sizes that are off by themselves are judged apart from the others."""
    return [
        SizeError(
            size=size,
            error_mm=error,
            interval_mm=(bounds[0], bounds[1]) if bounds else None,
            results=count,
            mean_mm=means.get(size),
            is_apart=one["verdict"] == "sizes" and size in one["sizes"],
        )
        for size, error, bounds, count in zip(sizes, one["error"], one["interval"], tally.makers, strict=True)
    ]


def _entries(call: TestCall) -> dict[str, dict[tuple[int, str], Entry]]:
    """The measurements and gauges sent in, each by result and name."""
    entries: dict[str, dict[tuple[int, str], Entry]] = {"measured": {}, "gauge": {}}
    for result in results_of(call).prefetch_related("entries__reading__by"):
        for entry in result.entries.all():
            if entry.part in entries:
                entry.result = result  # known without asking again
                entries[entry.part][result.pk, entry.name] = entry
    return entries


def _key(one: Found) -> tuple[int, str]:
    """Which entry a doubt is about: a measurement, or the gauge of a fabric."""
    return one["result"], one["measurement" if "measurement" in one else "fabric"]


def _doubt(one: Found, entries: dict[tuple[int, str], Entry], labels: Found) -> ShownDoubt:
    """One doubtful entry in words."""
    entry = entries[_key(one)]
    return ShownDoubt(
        result=entry.result,
        name=entry.name,
        label=labels.get(entry.name, entry.name),
        maker=maker_of(entry.result),
        entry_mm=float(entry.meant["mm"]),
        sentence=doubt_sentence(one, labels),
        meant_mm=one["meant_mm"],
    )


def _gauge(one: Found, gauges: dict[tuple[int, str], Entry], fabrics: Found, units: str) -> ShownGauge:
    """One doubtful gauge in words."""
    entry = gauges[_key(one)]
    typed = typed_words("gauge", entry.name, entry.typed, entry.meant)
    counted_in = next((of for of, span in GAUGE_SPAN_NAMES.items() if span == entry.typed.get("over")), units)
    return ShownGauge(
        result=entry.result,
        name=entry.name,
        label=fabrics.get(entry.name, entry.name),
        maker=maker_of(entry.result),
        sentence=gauge_sentence(typed, one, counted_in, units),
        seen=seen_number(entry.meant),
    )


def _is_read(entry: Entry) -> bool:
    """Whether somebody decided how to read an entry."""
    reading = getattr(entry, "reading", None)
    return bool(reading is not None and reading.counts)


def _reading(entry: Entry, labels: Found) -> ShownReading:
    """A decision in words."""
    reading: Reading = getattr(entry, "reading")  # noqa: B009 - a reverse relation
    typed = typed_words("gauge", entry.name, entry.typed, entry.meant) if entry.part == "gauge" else ""
    if not reading.looks_like:
        says = "right as typed"
    elif typed:
        says = f"read as {gauge_words(reading.looks_like)}"
    elif meant_mm(entry) is None:
        says = "left out"
    else:
        says = f"read as {LOOKS_LIKE[reading.looks_like]}"
    return ShownReading(reading, labels.get(entry.name, entry.name), maker_of(entry.result), says, typed)
