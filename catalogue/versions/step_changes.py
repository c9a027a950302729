"""Steps of two states of a pattern side by side, whole, as a maker of one size or of any reads them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from functools import cached_property, lru_cache
from itertools import zip_longest
from typing import cast

from catalogue.versions.changes import diff_pieces
from catalogue.versions.freezing import step_text
from catalogue.versions.frozen_grades import frozen_graded
from catalogue.versions.records import Record, frozen_record
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.steps import render_step
from grading.core.pattern.pattern import PatternFile, When
from grading.core.printing.edition import PrintForm, Terms, Units

# Steps that share less of their words than this are two steps, not one that was changed.
LEAST_ALIKE = 0.4
# Pairs of steps; in longer stretches each is compared with the one in its place.
MOST_PAIRED = 900
MOST_KEPT = 16

Place = tuple[int, int]  # section and step, from nought
_Pair = tuple["_Step | None", "_Step | None"]


@dataclass(frozen=True)
class StepChange:
    """One step that reads otherwise: where, in which sizes, its old and its new words, whole.

    `is_for_all` where these are all sizes of both states.
    """

    old_at: Place | None
    new_at: Place | None
    where: str
    sizes: tuple[str, ...]
    old: str
    new: str
    is_for_all: bool = False

    @property
    def anchor(self) -> str:
        """The name of its place on a page."""
        side, at = ("step", self.old_at) if self.old_at else ("new-step", self.new_at or (0, 0))
        return f"{side}-{at[0] + 1}-{at[1] + 1}"

    @property
    def old_pieces(self) -> list[tuple[str, bool]]:
        """The old words in pieces, each with whether the new ones lack it."""
        return [(text, mark == "gone") for mark, text in self._pieces if mark != "new"]

    @property
    def new_pieces(self) -> list[tuple[str, bool]]:
        """The new words in pieces, each with whether the old ones lack it."""
        return [(text, mark == "new") for mark, text in self._pieces if mark != "gone"]

    @cached_property
    def _pieces(self) -> list[tuple[str, str]]:
        return list(diff_pieces(self.old, self.new)) if self.old and self.new else []


@dataclass(frozen=True)
class _Step:
    """A step as it is written, and where."""

    at: Place
    title: str
    when: When
    text: str

    @property
    def where(self) -> str:
        """Its place in words, as a pattern prints it."""
        return f"{self.title}, step {self.at[1] + 1}"


def version_steps(old: str, new: str, units: str, size: str = "") -> list[StepChange]:
    """What reads otherwise in two frozen records: for one size, or for all sizes in their lists."""
    return list(_version_steps(old, new, units, size))


@lru_cache(MOST_KEPT)
def _version_steps(old: str, new: str, units: str, size: str) -> tuple[StepChange, ...]:
    """Work it out once: records are frozen, and many ask for the same two."""
    return tuple(
        changed_steps(facts_of_record(frozen_record(old)), facts_of_record(frozen_record(new)), units, size)
    )


def facts_of_record(record: Record) -> Facts:
    """What the steps of a record are filled in from."""
    graded = frozen_graded(record)
    return facts_of(graded.pattern, graded)


def changed_steps(old: Facts, new: Facts, units: str, size: str = "") -> Iterator[StepChange]:
    """Compare two states of a pattern step by step and size by size."""
    home = PrintForm(cast("Units", units), cast("Terms", old.pattern.home_terms))
    sizes = list(dict.fromkeys((*old.pattern.sizes, *new.pattern.sizes)))
    for before, after in _paired(_steps_of(old.pattern), _steps_of(new.pattern)):
        texts = _printed(before, old, home), _printed(after, new, home)
        if texts[0] == texts[1]:
            continue
        by_size = {
            label: (
                _printed(before, old, replace(home, sizes=label)),
                _printed(after, new, replace(home, sizes=label)),
            )
            for label in sizes
        }
        differing = tuple(label for label, (one, other) in by_size.items() if one != other)
        if size and size not in differing:
            continue
        said, says = by_size[size] if size else texts
        named = before or after
        if named and differing:
            yield StepChange(
                before.at if before else None,
                after.at if after else None,
                _where(before, after),
                differing,
                said,
                says,
                is_for_all=len(differing) == len(sizes),
            )


def followed_steps(old: PatternFile, new: PatternFile) -> dict[Place, Place]:
    """Where each step of a pattern went in another state of it; steps that are gone are left out."""
    pairs = _paired(_steps_of(old), _steps_of(new))
    return {before.at: after.at for before, after in pairs if before and after}


def _where(before: _Step | None, after: _Step | None) -> str:
    """The place of a step in words; both where it has moved."""
    if before and after and before.where != after.where:
        return f"{before.where} (now {after.where})"
    named = before or after
    return named.where if named else ""


def _printed(step: _Step | None, facts: Facts, form: PrintForm) -> str:
    """A step in one form; empty where there is none, or none for the size."""
    if step is None or (form.sizes is not None and form.sizes not in facts.pattern.sizes):
        return ""
    return step_text(render_step(step.text, facts, form, step.when))


def _steps_of(pattern: PatternFile) -> list[_Step]:
    """All steps in their order."""
    return [
        _Step((i, j), section.title, section.when, text)
        for i, section in enumerate(pattern.sections)
        for j, text in enumerate(section.steps)
    ]


def _paired(before: list[_Step], after: list[_Step]) -> Iterator[_Pair]:
    """Each step with what became of it: those written alike first, the rest by their likeness."""
    old, new = ([(one.title, one.text) for one in side] for side in (before, after))
    for what, old_from, old_to, new_from, new_to in SequenceMatcher(
        None, old, new, autojunk=False
    ).get_opcodes():
        gone, come = before[old_from:old_to], after[new_from:new_to]
        yield from zip(gone, come, strict=True) if what == "equal" else _by_likeness(gone, come)


def _by_likeness(gone: Sequence[_Step], come: Sequence[_Step]) -> Iterator[_Pair]:
    """Pair steps in their order so that their words are as like as can be."""
    if len(gone) * len(come) > MOST_PAIRED:
        yield from zip_longest(gone, come)
        return
    best = _best_sums(gone, come)
    i = j = 0
    while i < len(gone) or j < len(come):
        alike = _likeness(gone[i], come[j]) if i < len(gone) and j < len(come) else 0.0
        if alike and best[i][j] == alike + best[i + 1][j + 1]:
            yield gone[i], come[j]
            i, j = i + 1, j + 1
        elif j == len(come) or (i < len(gone) and best[i][j] == best[i + 1][j]):
            yield gone[i], None
            i += 1
        else:
            yield None, come[j]
            j += 1


def _best_sums(gone: Sequence[_Step], come: Sequence[_Step]) -> list[list[float]]:
    """The greatest likeness of all pairs from each place on."""
    best = [[0.0] * (len(come) + 1) for _ in range(len(gone) + 1)]
    for i in range(len(gone) - 1, -1, -1):
        for j in range(len(come) - 1, -1, -1):
            alike = _likeness(gone[i], come[j])
            paired = alike + best[i + 1][j + 1] if alike else 0.0
            best[i][j] = max(paired, best[i + 1][j], best[i][j + 1])
    return best


@lru_cache(4096)
def _likeness(one: _Step, other: _Step) -> float:
    """How much of their words two steps share; nought for two steps of their own."""
    shared = SequenceMatcher(None, one.text.split(), other.text.split(), autojunk=False).ratio()
    return shared if shared >= LEAST_ALIKE else 0.0
