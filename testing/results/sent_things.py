"""Everything that a maker sent of one garment, in words and in order of time."""

import datetime as dt
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from testing.access.selectors import results_of
from testing.asked.figures import NO_STEP, Figures, version_figures
from testing.asked.fit import AREAS, WEARERS, fit_words
from testing.asked.gauge_advice import rows_word
from testing.models import EarlierEntry, Entry, Result, ResultPhoto, TestCall
from testing.results.photo_uses import USES

# What a maker tells in words of their own, by part; each stands with the results and in the files of a call.
TOLD = {"note": "Note", "tool": "Hook or needle", "hours": "Hours"}
_PLAIN = {
    "yarn": "weight",
    "hours": "hours",
    "worked": "count",
    "option": "choice",
    "tool": "text",
    "note": "text",
}
_TITLES = {
    "gauge": "{gauge}: {name}",
    "garment_gauge": "{gauge} in the garment: {name}",
    "measured": "{name}",
    "yarn": "Yarn used: {name}",
    "hours": "Hours",
    "note": "Note",
    "worked": "Worked otherwise: {name}",
    "altered": "Altered on purpose: {name}",
    "option": "Option: {name}",
    "metres": "Length of own yarn: {name}",
    "fit": "Fit: {name}",
    "tool": "Hook or needle",
    "photo_use": "Photos for {name}",
    "counted": "Stitch count",
}


GAUGE = "the gauge"  # what a pattern calls it, among its labels: no name of an entry has a space
ERASED = "A tester (erased)"
_REFERENCE = re.compile(r"\{[^}]*\}")


@dataclass(frozen=True)
class SentThing:
    """One thing that a maker sent: when, what it is about, and what it says as it was typed."""

    at: dt.datetime
    title: str
    words: str
    photo: ResultPhoto | None = None
    replaced_at: dt.datetime | None = None


@dataclass(frozen=True)
class Telling:
    """What the maker of one garment told in words of their own."""

    result: Result
    maker: str
    told: list[SentThing]


def maker_of(result: Result) -> str:
    """Who made it, for the studio's eyes: a number where the call names no tester."""
    if not result.placement:
        return ERASED
    return result.placement.application.name if result.call.names_testers else f"Tester {result.pk}"


def things_sent(result: Result) -> list[SentThing]:
    """All that was sent of a garment, the oldest first; what came at one moment as it was stored."""
    figures = version_figures(result.version)
    found = [*entries_in_words(result, figures), *_remarks(result, figures)]
    found += photos_in_words(result)
    return sorted(found, key=lambda thing: thing.at)


def photos_in_words(result: Result) -> list[SentThing]:
    """The photos of a garment, each with what it shows."""
    return [SentThing(photo.added_at, "Photo", photo.alt, photo) for photo in result.photos.all()]


def entries_in_words(result: Result, figures: Figures) -> Iterator[SentThing]:
    """The entries of a garment in words, with what they said before."""
    labels = labels_of(figures)
    yield from (entry_in_words(entry, labels) for entry in result.entries.all())
    yield from (earlier_in_words(entry, labels) for entry in result.earlier_entries.all())


def entry_in_words(entry: Entry, labels: Mapping[str, str]) -> SentThing:
    """An entry as it stands."""
    title = entry_title(entry.part, entry.name, labels)
    return SentThing(entry.changed_at, title, _typed_of(entry, labels))


def earlier_in_words(entry: EarlierEntry, labels: Mapping[str, str]) -> SentThing:
    """An entry as it stood before it was replaced or taken back."""
    title = entry_title(entry.part, entry.name, labels)
    return SentThing(entry.sent_at, title, _typed_of(entry, labels), replaced_at=entry.replaced_at)


def _typed_of(entry: Entry | EarlierEntry, labels: Mapping[str, str]) -> str:
    """What an entry says, in the words of its form: a fabric in the round has rounds."""
    rows = rows_word(labels.get(entry.name, ""))
    return typed_words(entry.part, entry.name, entry.typed, entry.meant, rows=rows)


def told_in_words(result: Result) -> list[SentThing]:
    """Notes, tool and hours of a garment, the oldest first."""
    entries: list[Entry] = [entry for entry in result.entries.all() if entry.part in TOLD]
    things = [
        SentThing(
            entry.changed_at, TOLD[entry.part], typed_words(entry.part, entry.name, entry.typed, entry.meant)
        )
        for entry in entries
    ]
    return sorted(things, key=lambda thing: thing.at)


def tellings_of(call: TestCall) -> list[Telling]:
    """The garments of a call, each with what its maker told in words; also those without any."""
    return [Telling(result, maker_of(result), told_in_words(result)) for result in results_of(call)]


def labels_of(figures: Figures) -> Mapping[str, str]:
    """What the named parts of a pattern are called."""
    pattern = figures.pattern
    values = {value.name: value.label for value in pattern.values}
    options = {option.name: option.label or option.name for option in pattern.options}
    fabrics = {fabric.name: fabric.label for fabric in figures.fabrics}
    return {GAUGE: figures.gauge_word.capitalize(), **USES, **AREAS, **options, **values, **fabrics}


def entry_title(part: str, name: str, labels: Mapping[str, str]) -> str:
    """What an entry is about: "Gauge: Stocking stitch"."""
    return _TITLES[part].format(name=labels.get(name, name.replace("_", " ")), gauge=labels[GAUGE])


def typed_words(
    part: str, name: str, typed: Mapping[str, Any], meant: Mapping[str, Any], *, rows: str = "rows"
) -> str:
    """What an entry says, as it was typed; `rows` is what those of its fabric are called.

    >>> typed_words("gauge", "main", {"stitches": "20", "rows": "28", "over": "10 cm"}, {})
    '20 stitches and 28 rows over 10 cm'
    >>> typed_words("measured", "chest", {"length": "92", "unit": "cm"}, {"mm": 920})
    '92 cm'
    """
    match part:
        case "gauge" | "garment_gauge":
            return f"{typed.get('stitches')} stitches and {typed.get('rows')} {rows} over {typed.get('over')}"
        case "measured" | "metres":
            return _with_unit(str(typed.get("length", "")), str(typed.get("unit", "")))
        case "fit":
            words = fit_words(name).get(str(typed.get("fit")), "")
            wearer = WEARERS.get(str(typed.get("on")), "").lower()
            return f"{words} ({wearer})" if wearer else words
        case "altered":
            return "yes"
        case "photo_use":
            return str(meant.get("consent", ""))
        case "counted":
            return _count_in_words(meant)
        case "yarn":
            return _with_unit(str(typed.get("weight", "")), "g")
    return str(typed.get(_PLAIN[part], ""))


def _count_in_words(meant: Mapping[str, Any]) -> str:
    """A count after a row; what references stood for was not kept by the first counts."""
    row = meant.get("shown") or f"{meant.get('title')}: {_REFERENCE.sub('…', str(meant.get('row')))}"
    worked = meant.get("worked")
    beside = "" if worked is None else f", the pattern comes to {worked}"
    return f"{row} {meant.get('stitches')} stitches{beside}"


def _with_unit(typed: str, unit: str) -> str:
    """What was typed; with the unit in use where none was typed."""
    return f"{typed} {unit}" if unit and typed[-1:].isnumeric() else typed


def _remarks(result: Result, figures: Figures) -> Iterator[SentThing]:
    """The remarks of a garment, each with its step."""
    remarks = list(result.remarks.all())
    is_known = bool(remarks) and result.size in figures.pattern.sizes
    steps = dict(figures.steps(result.size)) if is_known else {}
    for remark in remarks:
        stuck = f" (stuck at help “{remark.help}”)" if remark.help else ""
        yield SentThing(remark.created_at, f"Remark: {steps.get(remark.place, NO_STEP)}", remark.text + stuck)
