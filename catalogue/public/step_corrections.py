"""Corrections at the steps that they concern, on a page to read."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from catalogue.helps.showing import OpenSection, OpenStep
from catalogue.public.size_corrections import ToldCorrection, told_corrections
from catalogue.versions.gaps import read_gap
from catalogue.versions.moved_steps import Followed
from catalogue.versions.records import Record
from catalogue.versions.spots import numbered_step, spot_words, spots_of
from catalogue.versions.step_changes import Place


@dataclass(frozen=True)
class StepCorrections:
    """What is to be known before a step is worked: its corrections, each with its number on their page.

    `now` is the whole step as the newer version has it, empty where none has it otherwise yet.
    """

    told: list[tuple[int, ToldCorrection]]
    now: str = ""
    is_left_out: bool = False


@dataclass(frozen=True)
class CorrectedStep(OpenStep):
    """A step with what is known to be wrong in it, if anything is."""

    corrections: StepCorrections | None


def corrections_at(followed: Followed, record: Record) -> dict[str, StepCorrections]:
    """The corrections of a version by the step of its record that they concern, "0.2"; for one size alone."""
    at: dict[Place, list[tuple[int, ToldCorrection]]] = {}
    places = _places_by_words(record)
    for number, told in enumerate(told_corrections(followed), 1):
        for place in _places_of(told, record, places):
            at.setdefault(place, []).append((number, told))
    now = {step.old_at: step.new for step in followed.steps if step.old_at}
    return {
        f"{i}.{j}": StepCorrections(told, now.get((i, j), ""), now.get((i, j)) == "")
        for (i, j), told in at.items()
    }


def with_corrections(sections: Sequence[OpenSection], at: Mapping[str, StepCorrections]) -> list[OpenSection]:
    """Sections whose steps have their corrections beside them."""
    return [
        replace(
            section,
            steps=[
                CorrectedStep(step.html, step.helps, step.spot, at.get(step.spot)) for step in section.steps
            ],
        )
        for section in sections
    ]


def _places_of(told: ToldCorrection, record: Record, places: dict[str, Place]) -> set[Place]:
    """The steps that a correction concerns; none where it is about other sizes."""
    found = {step.old_at for step in told.moving.steps if step.old_at} | set(told.moving.waits_at)
    if told.is_for_size:
        found |= set(_own_place(told, record, places))
    return found


def _own_place(told: ToldCorrection, record: Record, places: dict[str, Place]) -> Iterator[Place]:
    """The step that is wrong itself, or the one beside which a step is missing, wherever it is by now."""
    one = told.moving.applying
    if one.place != spot_words(one.erratum.place, record):
        if one.place in places:
            yield places[one.place]
    elif step := numbered_step(one.erratum.place):
        yield step
    elif gap := read_gap(one.erratum.place):
        yield gap.section, max(gap.after, 0)


def _places_by_words(record: Record) -> dict[str, Place]:
    """Steps by the words for their place, those alone that no other step has."""
    named = [(words, place) for place, words in dict(spots_of(record))["Steps"]]
    alike = Counter(words for words, _ in named)
    return {words: step for words, place in named if alike[words] == 1 and (step := numbered_step(place))}
