"""Stored results as the assessment takes them."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass

from testing.access.selectors import results_of
from testing.access.typed import TypedError, read_length_mm
from testing.asked.expected import Ground
from testing.asked.figures import Figures, call_figures, version_figures
from testing.asked.swaps import swapped_digits
from testing.assessment.gathering import SentGarment
from testing.assessment.gauge_doubts import read_as
from testing.assessment.results_files import assessed_measurements
from testing.assessment.yarn import YarnUse
from testing.models import Entry, Result, TestCall

METHOD = 5  # goes up when the assessment itself changes, so that an old one is not taken for fresh


@dataclass(frozen=True)
class CallResults:
    """All that a call has brought in; garments and yarn in the order of the results."""

    figures: Figures
    results: list[Result]
    garments: list[SentGarment]
    uses: list[YarnUse]
    hours: list[tuple[str, float]]  # size and hours
    fingerprint: str


def call_results(call: TestCall) -> CallResults:
    """Gather what a call has brought in."""
    figures = call_figures(call)
    results = list(results_of(call, Entry.objects.select_related("reading")))
    known = [result for result in results if result.size in figures.pattern.sizes]
    return CallResults(
        figures=figures,
        results=known,
        garments=[_garment(result, figures, call) for result in known],
        uses=[_yarn_use(result, figures) for result in known],
        hours=[
            (result.size, float(entry.meant["hours"]))
            for result in known
            for entry in result.entries.all()
            if entry.part == "hours"
        ],
        fingerprint=_fingerprint(call, known),
    )


def _garment(result: Result, figures: Figures, call: TestCall) -> SentGarment:
    """One tester's garment; one from another version brings that version's counts along."""
    entries = {entry.name: entry for entry in result.entries.all() if entry.part == "measured"}
    lengths = {name: meant_mm(entry) for name, entry in entries.items()}
    is_newest = result.version_id == call.version_id
    return SentGarment(
        maker=str(result.pk),
        size=figures.size_place(result.size),
        gauge=decided_gauges(result, figures),
        garment_gauge=_gauge(result, "garment_gauge"),
        worked=_numbers(result, "worked", "count"),
        altered=frozenset(entry.name for entry in result.entries.all() if entry.part == "altered"),
        lengths_mm={name: mm for name, mm in lengths.items() if mm is not None},
        swapped={name: _swapped_mm(entry) for name, entry in entries.items()},
        confirmed=frozenset(name for name, entry in entries.items() if is_settled(entry)),
        sure_gauges=frozenset(
            entry.name for entry in result.entries.all() if entry.part == "gauge" and _is_decided(entry)
        ),
        ground=None if is_newest else _older_ground(result, figures),
    )


def _older_ground(result: Result, figures: Figures) -> Ground | None:
    """The counts of the version a garment was made from, if it has the same sizes and fabrics."""
    older = version_figures(result.version)
    alike = older.pattern.sizes == figures.pattern.sizes
    return older.ground() if alike else None


def meant_mm(entry: Entry) -> float | None:
    """What an entry means, as decided or as typed; None where it is to be left out."""
    reading = getattr(entry, "reading", None)
    if reading is not None and reading.counts:
        return float(reading.meant_mm) if reading.meant_mm is not None else None
    return float(entry.meant["mm"])


def is_settled(entry: Entry) -> bool:
    """Whether somebody has said how the entry is to be read."""
    reading = getattr(entry, "reading", None)
    return entry.is_confirmed or bool(reading is not None and reading.counts)


def _swapped_mm(entry: Entry) -> tuple[float, ...]:
    """What a length would be with two of its digits swapped."""
    found = []
    for text in swapped_digits(str(entry.typed.get("length", ""))):
        try:
            found.append(read_length_mm(text, str(entry.typed.get("unit", "cm"))))
        except TypedError:
            continue
    return tuple(found)


def decided_gauges(result: Result, figures: Figures) -> dict[str, dict[str, float]]:
    """Gauge of the swatches per mm by fabric, as decided or as typed."""
    pattern, found = figures.ground().gauge, _gauge(result, "gauge")
    for entry in result.entries.all():
        if entry.part == "gauge" and entry.name in pattern and _is_decided(entry):
            reading = getattr(entry, "reading")  # noqa: B009 - a reverse relation
            found[entry.name] = read_as(reading.looks_like, found[entry.name], pattern[entry.name])
    return found


def _is_decided(entry: Entry) -> bool:
    """Whether the studio has decided how an entry is to be read."""
    reading = getattr(entry, "reading", None)
    return bool(reading is not None and reading.counts)


def _gauge(result: Result, part: str) -> dict[str, dict[str, float]]:
    """Gauge per mm by fabric, of the swatch or of the garment."""
    return {
        entry.name: {"stitches": entry.meant["stitches"], "rows": entry.meant["rows"]}
        for entry in result.entries.all()
        if entry.part == part
    }


def _numbers(result: Result, part: str, key: str) -> dict[str, float]:
    """The numbers of one part by name."""
    return {entry.name: float(entry.meant[key]) for entry in result.entries.all() if entry.part == part}


def _options(result: Result, figures: Figures) -> dict[str, str]:
    """The choices made, those that the pattern knows."""
    offered = figures.pattern.option_choices()
    chosen = {entry.name: entry.meant["choice"] for entry in result.entries.all() if entry.part == "option"}
    return {name: choice for name, choice in chosen.items() if choice in offered.get(name, ())}


def _yarn_use(result: Result, figures: Figures) -> YarnUse:
    """What a garment took."""
    colours = {yarn.colour for yarn in figures.yarns}
    weighed = _numbers(result, "yarn", "g")
    return YarnUse(
        size=figures.size_place(result.size),
        grams={colour: grams for colour, grams in weighed.items() if colour in colours},
        gauge=decided_gauges(result, figures),
        length_per_100g_m=_numbers(result, "metres", "m"),
        options=_options(result, figures),
    )


def _looks_like(entry: Entry) -> str | None:
    """What somebody decided that a gauge is; None where nobody has."""
    return str(getattr(entry, "reading").looks_like) if _is_decided(entry) else None  # noqa: B009


def _fingerprint(call: TestCall, results: Sequence[Result]) -> str:
    """One short hash of everything that the assessment rests on."""
    rests_on = [
        METHOD,
        call.version.sha256 if call.version else "",
        [line.name for line in assessed_measurements(call_figures(call).pattern)],
        [[result.pk, result.size, result.version.sha256, _written(result)] for result in results],
    ]
    return hashlib.sha256(json.dumps(rests_on, sort_keys=True).encode()).hexdigest()


def _written(result: Result) -> list[list[object]]:
    """A result's entries as they count."""
    entries = [entry for entry in result.entries.all() if entry.part in Entry.ANONYMOUS]
    return [
        [entry.part, entry.name, entry.meant]
        + ([meant_mm(entry), is_settled(entry)] if entry.part == "measured" else [])
        + ([_looks_like(entry)] if entry.part == "gauge" else [])
        for entry in sorted(entries, key=lambda entry: (entry.part, entry.name))
    ]
