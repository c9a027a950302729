"""Where a step is missing altogether: between two steps of a section, and whether a record has it there."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NamedTuple

from catalogue.versions.records import Record

_GAP = re.compile(r"sections\[(\d+)\]\.(?:start|steps\[(\d+)\]\.after)")


class Gap(NamedTuple):
    """A section, and the step from nought that comes before; −1 for the start of the section."""

    section: int
    after: int


class _Place(NamedTuple):
    """A step of a record: section, step, and its words."""

    section: int
    step: int
    words: str


def read_gap(place: str) -> Gap | None:
    """The gap that a place names; None where it names none.

    >>> read_gap("sections[1].steps[2].after"), read_gap("sections[1].start"), read_gap("gauge")
    (Gap(section=1, after=2), Gap(section=1, after=-1), None)
    """
    found = _GAP.fullmatch(place)
    if found is None:
        return None
    return Gap(int(found.group(1)), -1 if found.group(2) is None else int(found.group(2)))


def gap_words(gap: Gap, record: Record) -> str:
    """A gap in words: "Back, after step 3"."""
    titles = [str(one["title"]) for one in record["words"]]
    return _in_words(gap, titles[gap.section] if gap.section < len(titles) else f"Section {gap.section + 1}")


def _in_words(gap: Gap, title: str) -> str:
    return f"{title}, before step 1" if gap.after < 0 else f"{title}, after step {gap.after + 1}"


def has_gap(gap: Gap, record: Record) -> bool:
    """Whether a record has the section, and the step that comes before."""
    sections = record["words"]
    return gap.section < len(sections) and gap.after < len(sections[gap.section]["steps"])


def are_same_neighbours(gap: Gap, found: Record, record: Record) -> bool:
    """Whether two records have the gap between the same two steps."""
    return has_gap(gap, record) and _neighbours(gap, found) == _neighbours(gap, record)


def _neighbours(gap: Gap, record: Record) -> list[str]:
    """The steps before and after a gap: one alone at either end of its section."""
    steps = record["words"][gap.section]["steps"]
    return [str(step) for step in steps[max(0, gap.after) : gap.after + 2]]


def gaps_of(record: Record) -> list[tuple[str, str]]:
    """Every place of a record where a step may be missing, in reading order."""
    return gaps_in([(str(section["title"]), len(section["steps"])) for section in record["words"]])


def gaps_in(sections: Sequence[tuple[str, int]]) -> list[tuple[str, str]]:
    """Every place where a step may be missing, by the titles of sections and how many steps each has.

    >>> gaps_in([("Back", 1)])
    [('sections[0].start', 'Back, before step 1'), ('sections[0].steps[0].after', 'Back, after step 1')]
    """
    places = []
    for i, (title, steps) in enumerate(sections):
        names = [f"sections[{i}].start", *(f"sections[{i}].steps[{j}].after" for j in range(steps))]
        places += [(name, _in_words(Gap(i, j - 1), title)) for j, name in enumerate(names)]
    return places


def compare_gap(
    gap: Gap, missing: str, found: Record, record: Record
) -> Literal["in it", "not in it", "can't tell"]:
    """Whether a step that lacks in one record lacks in another too.

    A record has it where a step between the same neighbours is new and says what was missing. Where that is
    said elsewhere in the section, or something else has come, people have to look.
    """
    if not has_gap(gap, found):
        return "can't tell"
    come, beside = steps_come(gap, found, record)
    if _say(come, missing):
        return "not in it"
    return "can't tell" if come or _say(beside, missing) else "in it"


def _say(steps: Iterable[_Place], missing: str) -> bool:
    """Whether one of some steps has the words that were missing, however they are spaced."""
    wanted = " ".join(missing.split())
    return bool(wanted) and any(wanted in " ".join(one.words.split()) for one in steps)


def inserted_at(gap: Gap, found: Record, record: Record) -> set[tuple[int, int]]:
    """Section and step of what a record has at the gap of another."""
    if not has_gap(gap, found):
        return set()
    return {(one.section, one.step) for one in steps_come(gap, found, record)[0]}


def steps_come(gap: Gap, found: Record, record: Record) -> tuple[list[_Place], list[_Place]]:
    """The steps that a record has and the other has not: at a gap, and elsewhere in its section.

    Where a neighbour of the gap is not found again, the gap reaches to the end of its section; where nothing
    is, everywhere.
    """
    there = list(_steps(record))
    own = _same_section(found["words"][gap.section], record, there)
    before = _found_again(gap.section, gap.after, found, there, own)
    own = own if before is None else _of_one_section(before, there)
    after = _found_again(gap.section, gap.after + 1, found, there, own)
    known = after if before is None else before
    own = (own if known is None else _of_one_section(known, there)) or list(range(len(there)))
    start = own[0] if before is None else before + 1
    end = after if after is not None and after >= start else own[-1] + 1
    new = Counter(one.words for one in there) - Counter(one.words for one in _steps(found))
    come = [at for at in own if new[there[at].words] > 0]
    return (
        [there[at] for at in come if start <= at < end],
        [there[at] for at in come if not start <= at < end],
    )


def _same_section(section: Record, record: Record, there: list[_Place]) -> list[int]:
    """The steps of the section that has the same title, or else the most of the same steps."""
    steps = Counter(str(step) for step in section["steps"])
    shared = [
        (one["title"] == section["title"], (Counter(str(step) for step in one["steps"]) & steps).total())
        for one in record["words"]
    ]
    best = max(shared, default=(False, 0))
    return [at for at, one in enumerate(there) if any(best) and one.section == shared.index(best)]


def _of_one_section(at: int, there: list[_Place]) -> list[int]:
    """The steps of the section that a step is in."""
    return [other for other, one in enumerate(there) if one.section == there[at].section]


def _found_again(section: int, step: int, found: Record, there: list[_Place], own: list[int]) -> int | None:
    """Where a step went: the same words, in its own section first; of several the one in its order."""
    steps = [str(one) for one in found["words"][section]["steps"]]
    if not 0 <= step < len(steps):
        return None
    alike = [at for at in own if there[at].words == steps[step]]
    alike = alike or [at for at, one in enumerate(there) if one.words == steps[step]]
    return alike[min(steps[:step].count(steps[step]), len(alike) - 1)] if alike else None


def _steps(record: Record) -> Iterator[_Place]:
    """All steps in their order."""
    for i, section in enumerate(record["words"]):
        for j, step in enumerate(section["steps"]):
            yield _Place(i, j, str(step))
