"""What a tester sees of one garment they make."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from urllib.parse import urlsplit

from catalogue.models import Version
from grading.core.instructions.choice_words import choice_words
from testing.access.links import absolute
from testing.access.selectors import result_of
from testing.asked.figures import NO_STEP, Figures, placement_figures
from testing.calls.calendar_files import Day
from testing.calls.calls import changed_steps
from testing.calls.schedule import finish_day
from testing.models import Entry, Placement, Remark, ResultPhoto
from testing.results.answers import gauge_advice_of, gauge_mark, is_measured, length_mark
from testing.results.progress import Progress, lateness, tester_progress


@dataclass(frozen=True)
class Garment:
    """A place with everything that was sent for it."""

    placement: Placement
    version: Version | None
    newer: Version | None
    changed: list[str]
    progress: Progress
    remarks: Sequence[tuple[str, Remark]]  # each with its step
    notes: Sequence[Entry]
    photos: Sequence[ResultPhoto]
    is_done: bool
    finish_by: dt.date
    late: str
    gauge_advice: list[str]
    materials: list[str]
    """The yarn and the options of the garment, each in a line."""


def garment_of(placement: Placement, today: dt.date) -> Garment:
    """Gather the page of one garment."""
    result = result_of(placement)
    version = working_version(placement)
    newer = placement.call.version if version != placement.call.version else None
    progress = _marked_progress(placement)
    return Garment(
        placement=placement,
        version=version,
        newer=newer,
        changed=changed_steps(version, newer) if newer else [],
        progress=progress,
        remarks=_own_remarks(placement),
        notes=[one for one in result.entries.all() if one.part == "note"] if result else [],
        photos=list(result.photos.all()) if result else [],
        is_done=bool(result and result.done_at),
        finish_by=finish_day(placement),
        late=lateness(placement, progress, today),
        gauge_advice=_gauge_advice(placement),
        materials=_materials(placement),
    )


def _marked_progress(placement: Placement) -> Progress:
    """How far a tester is, with a mark at each gauge that is off and each measurement in doubt."""
    figures = placement_figures(placement)
    progress, units = tester_progress(placement, figures), _units(placement, figures)
    is_made = is_measured(placement)  # what it was made at can only be told then
    marks = [(gauge_mark(placement, fabric, units), not is_made) for fabric in figures.fabrics]
    marks += [(length_mark(placement, figures, value.name), True) for value in figures.measurements]
    marked = [
        replace(thing, mark=mark, mark_asks=asks)
        for thing, (mark, asks) in zip(progress.things, marks, strict=False)
    ]
    return Progress([*marked, *progress.things[len(marked) :]])


def _materials(placement: Placement) -> list[str]:
    """What the garment is made of, as “Yarn A: Main colour, 450 g”, and the options that were chosen."""
    figures = placement_figures(placement)
    yarns = [
        f"{yarn.colour}: {', '.join(filter(None, (yarn.name, yarn.grams and f'{yarn.grams} g')))}"
        for yarn in figures.yarn_needs_of(placement.size)
    ]
    chosen = [
        (option.name, (figures.chosen[option.name],))
        for option in figures.pattern.options
        if option.name in figures.chosen
    ]
    lines = [f"Yarn {'; '.join(yarns)} (an estimate)."] if yarns else []
    return [*lines, f"Options: {choice_words(chosen, figures.pattern)}."] if chosen else lines


def _units(placement: Placement, figures: Figures) -> str:
    return placement.person.units if placement.person else figures.pattern.home_units


def _gauge_advice(placement: Placement) -> list[str]:
    """What to do about a gauge that is off, until something of the garment was measured."""
    if is_measured(placement):
        return []
    figures = placement_figures(placement)
    units = _units(placement, figures)
    found = [
        (fabric.label, gauge_advice_of(placement, figures.pattern.craft, fabric, units))
        for fabric in figures.fabrics
    ]
    return [f"{label}: {says}" for label, says in found if says]


def _own_remarks(placement: Placement) -> list[tuple[str, Remark]]:
    """The remarks of a garment, each with its step in words."""
    result = result_of(placement)
    remarks = list(result.remarks.all()) if result else []
    steps = dict(placement_figures(placement).steps(placement.size)) if remarks else {}
    return [(steps.get(remark.place, NO_STEP), remark) for remark in remarks]


def working_version(placement: Placement) -> Version | None:
    """The version that a tester works from: their result's, or the one handed out now."""
    result = result_of(placement)
    return result.version if result else placement.call.version


def calendar_days(placement: Placement) -> list[Day]:
    """The dates of a place for a calendar."""
    call, url = placement.call, absolute("making", placement.pk)
    dates = {"Start": call.starts_on, "Midway": call.midway_on, "Finish": finish_day(placement)}
    return [
        Day(
            f"place-{placement.pk}-{word.lower()}@{urlsplit(url).hostname}",
            day,
            f"{word}: {call.pattern.title}",
            url,
        )
        for word, day in dates.items()
    ]
