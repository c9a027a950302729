"""What was settled in a pattern: by a person, or by the construction that it began with."""

from dataclasses import dataclass
from functools import cache

from grading.beginnings.constructions import constructions
from grading.core.grade.grade import Graded
from grading.grid.finding_groups import SettledLine, settled_lines
from grading.sheets.documents import Document


@dataclass(frozen=True)
class Settled:
    """What is settled: with a reason of a person, or with one of a construction, which nobody has read."""

    by_people: list[SettledLine]
    by_construction: list[SettledLine]


def settled_of(document: Document, graded: Graded) -> Settled:
    """What is settled in a pattern; a reason is a construction's as long as it says what that says."""
    known = _reasons()
    people: list[SettledLine] = []
    construction: list[SettledLine] = []
    for line in settled_lines(document, graded):
        (construction if line.why in known else people).append(line)
    return Settled(people, construction)


@cache
def _reasons() -> frozenset[str]:
    """The reasons that constructions bring along."""
    return frozenset(
        str(entry["note"])
        for one in constructions().values()
        for part in ("values", "checks")
        for entry in one.pattern.get(part, ())
        if entry.get("note")
    )
