"""What a correction moves: the steps that hang on the wrong place, and the printed numbers beside them."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import cast

from catalogue.models import Erratum
from catalogue.versions.changes import Changes, record_differences
from catalogue.versions.freezing import record_document
from catalogue.versions.gaps import inserted_at, read_gap
from catalogue.versions.printed_changes import NumberRow, number_rows
from catalogue.versions.records import Record, frozen_record
from catalogue.versions.spots import ApplyingErratum, named_value, numbered_step
from catalogue.versions.step_changes import Place, StepChange, version_steps
from catalogue.versions.stitch_methods import read_stitch
from catalogue.versions.stitch_rows import charted, read_row
from catalogue.versions.yarn_numbers import ball_weights
from grading.core.instructions.spelling import spelled
from grading.core.printing.edition import Terms
from grading.grid.trails import Spot, TrailMap, trail_map

# A number, or a list of them over all sizes.
_NUMBERS = re.compile(r"[\d\s(),\[\]–.]*\d[\d\s(),\[\]–.]*")


@dataclass(frozen=True)
class Moving:
    """An erratum that applies to a version, with the steps that its correction moves.

    While no version has the correction, `waits_at` are the steps that hang on it, `reached` their words.
    """

    applying: ApplyingErratum
    steps: tuple[StepChange, ...] = ()
    waits_at: tuple[Place, ...] = ()
    reached: tuple[str, ...] = ()
    is_inner: bool = False

    @property
    def is_unseen(self) -> bool:
        """Whether what it says stands nowhere in the copy."""
        return self.is_unseen_as(self.applying.erratum.says, self.applying.erratum.should_say)

    def is_unseen_as(self, says: str, should_say: str) -> bool:
        """Whether a number within the sheet is told by steps that print another made of it."""
        if not (self.is_inner and self.steps and _NUMBERS.fullmatch(says) and _NUMBERS.fullmatch(should_say)):
            return False
        printed = re.compile(rf"(?<![\w.]){re.escape(says.strip())}(?!\w)")
        return not any(printed.search(step.old) for step in self.steps)

    @property
    def place(self) -> tuple[int, int]:
        """The first step of the pattern that it concerns; before them all where it concerns none."""
        own = numbered_step(self.applying.erratum.place)
        known = [step.old_at or step.new_at for step in self.steps if self.is_inner]
        return own or min((one for one in known if one is not None), default=(-1, -1))


@dataclass(frozen=True)
class Followed:
    """A version brought to a newer one: each erratum with what it moves, and all that reads otherwise."""

    errata: list[Moving]
    steps: list[StepChange]
    numbers: list[NumberRow]
    size: str
    sizes: tuple[str, ...]
    is_new_grade: bool

    @property
    def unlisted(self) -> list[StepChange]:
        """The steps that read otherwise though no mistake is known that moves them."""
        moved = {step for one in self.errata for step in one.steps}
        return [step for step in self.steps if step not in moved]


def follow(applying: Sequence[ApplyingErratum], held: str, to: str, units: str, size: str = "") -> Followed:
    """Read what a holder of one record writes into their copy to have what a newer one says.

    `held` and `to` are the texts of frozen records; without a size, lists hold all sizes in their order.
    """
    old, new = frozen_record(held), frozen_record(to)
    steps = version_steps(held, to, units, size) if held != to else []
    maps = [links_of_record(old), links_of_record(new)]
    changed = _changed_entries(*maps)
    errata = [_moving(one, maps, changed, steps, new) for one in applying]
    is_new_grade = old["number"].partition(".")[0] != new["number"].partition(".")[0]
    if is_new_grade:  # a new grading changes far more than mistakes
        moved = {step for one in errata for step in one.steps}
        steps = [step for step in steps if step in moved]
    numbers = _numbers(old, new, units, size) if held != to and not is_new_grade else []
    return Followed(errata, steps, numbers, size, tuple(old["results"]["sizes"]), is_new_grade)


def without_told(followed: Followed, new: int) -> Followed:
    """Tell of the first `new` errata alone: of all else holders were told before, with those that come after.

    Numbers beside the steps can't be told apart by erratum: they come again where a new one may move numbers.
    """
    errata, told = followed.errata[:new], followed.errata[new:]
    if not told:
        return followed
    moved = {step for one in errata for step in one.steps}
    steps = [step for step in followed.steps if step in moved]
    of_words = (numbered_step, read_row, charted, read_stitch)
    moves_numbers = any(not any(read(one.applying.erratum.place) for read in of_words) for one in errata)
    return replace(followed, errata=errata, steps=steps, numbers=followed.numbers if moves_numbers else [])


def _waiting(one: ApplyingErratum, links: TrailMap) -> Moving:
    """An erratum that is open, with the other steps that hang on its place."""
    sections, own = links.document.get("sections", []), numbered_step(one.erratum.place)
    reached = sorted(_steps_from(_starts(one.erratum.place, links), links) - {own or (-1, -1)})
    words = tuple(f"{sections[i]['title']}, step {j + 1}" for i, j in reached)
    return Moving(one, (), tuple(reached), words)


def _moving(
    one: ApplyingErratum,
    maps: Sequence[TrailMap],
    changed: set[Spot],
    steps: Iterable[StepChange],
    record: Record,
) -> Moving:
    """An erratum with the steps that its correction moves; while it is open, those that hang on it."""
    erratum = one.erratum
    fixed, own = erratum.corrected_in, numbered_step(erratum.place)
    if fixed is None or fixed.order > tuple(int(part) for part in record["number"].split(".")):
        return _waiting(one, maps[0])
    old, new = (_reached(erratum.place, links, changed) for links in maps)
    new |= _come(erratum, record)
    moved = tuple(
        step
        for step in steps
        if (step.old_at in old or step.new_at in new or (own and step.old_at == own))
        and (not erratum.sizes or set(erratum.sizes) & set(step.sizes))
    )
    return Moving(one, moved, is_inner=named_value(erratum.place) in _values(record, measured=False))


def _come(erratum: Erratum, record: Record) -> set[Place]:
    """Where a record has the step that was missing."""
    gap, found = read_gap(erratum.place), erratum.found_in
    return inserted_at(gap, frozen_record(found.record), record) if gap and found else set()


def _reached(place: str, links: TrailMap, changed: set[Spot]) -> set[Place]:
    """The steps that hang on a place, or on what was changed to mend it."""
    starts = _starts(place, links)
    sources = {source for start in starts for source in links.reached_from(start)}
    own = numbered_step(place)
    if own:
        sources |= links.reached_from(("sections", f"{own[0]}.{own[1]}"))
    return _steps_from(starts | (sources & changed), links)


def _starts(place: str, links: TrailMap) -> set[Spot]:
    """The lines that a place names by itself."""
    if name := named_value(place):
        return {("values", name)}
    if place == "gauge":
        return {spot for spot in links.entries if spot[0] == "fabrics"}
    return set()


def _steps_from(starts: Iterable[Spot], links: TrailMap) -> set[Place]:
    """The steps that lines end up in, however far."""
    reached: set[Spot] = set()
    waiting = list(starts)
    while waiting:
        new = set(links.makes.get(waiting.pop(), ())) - reached
        reached |= new
        waiting += new
    return {_at(name) for part, name in reached if part == "sections"}


def _at(name: str) -> Place:
    """Section and step of a spot of a trail."""
    section, _, step = name.partition(".")
    return int(section), int(step)


def links_of_record(record: Record) -> TrailMap:
    """Who names whom in a record."""
    return trail_map(record_document(record), record["results"], 0, "cm")


def _changed_entries(old: TrailMap, new: TrailMap) -> set[Spot]:
    """The lines that are typed otherwise."""
    both = old.entries.keys() & new.entries.keys()
    changed = {spot for spot in both if old.entries[spot][1] != new.entries[spot][1]}
    return changed | (old.entries.keys() ^ new.entries.keys())


def _numbers(old: Record, new: Record, units: str, size: str) -> list[NumberRow]:
    """Finished measurements and yarn that are printed beside the steps, old and new."""
    return printed_rows(record_differences(old, new).of_size(size), old, new, units)


def printed_rows(changes: Changes, old: Record, new: Record, units: str) -> list[NumberRow]:
    """Changed numbers that a copy prints by their name: measurements and yarn; no counts within the sheet."""
    measured = _values(new, measured=True)
    kept = [one for one in changes.numbers if one.name in measured or one.name.startswith("yarn.")]
    rows = number_rows(Changes(numbers=kept), units, balls=(ball_weights(old), ball_weights(new)))
    terms = cast("Terms", new["pattern"]["home_terms"])
    return [replace(row, label=spelled(row.label, terms)) for row in rows]


def _values(record: Record, *, measured: bool) -> set[str]:
    """The values of a record that are measured on the garment, or those that are not."""
    values = record["pattern"].get("values", [])
    return {one["name"] for one in values if bool(one.get("measured")) is measured}
