"""The grade of finished measurements: beside the body, from size to size, and what rounding did to it."""

from dataclasses import dataclass

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.entries import read_quantity
from grading.core.pattern.parts import label_of
from grading.grid.grid import MM_PER_TYPED_UNIT
from grading.grid.trails import trail_map
from grading.sheets.differences import GradedJson
from grading.sheets.documents import Document, entries_of

Numbers = tuple[float | None, ...]


@dataclass(frozen=True)
class GradeLine:
    """A finished measurement in mm, one number for each size, None where there is none."""

    name: str
    label: str
    finished: Numbers
    ideal: Numbers
    body_label: str
    body: Numbers
    tolerance_mm: float | None

    @property
    def steps(self) -> Numbers:
        """From each size to the next, beginning with none."""
        return steps_of(self.finished)

    @property
    def body_steps(self) -> Numbers:
        """The same of the body."""
        return steps_of(self.body)

    @property
    def ease(self) -> Numbers:
        """Finished measurement minus body."""
        return less(self.finished, self.body)

    @property
    def rounding(self) -> Numbers:
        """What rounding added, or took away where it is below nothing."""
        return less(self.finished, self.ideal)


def grade_lines(document: Document, graded: GradedJson) -> list[GradeLine]:
    """The finished measurements of a pattern in the order of its sheet."""
    trails = trail_map(document, graded, 0, "cm")
    lines = []
    for name, entry in entries_of(document, "values"):
        if "measured" in entry and entry["kind"] == "length" and name in graded["values"]:
            reached = trails.reached_from(("values", name))
            bodies = {one for part, one in reached if part == "body"}
            lines.append(_line(document, graded, entry, bodies))
    return lines


def _line(document: Document, graded: GradedJson, entry: Document, bodies: set[str]) -> GradeLine:
    """One finished measurement with the body measurement that it stands against."""
    body = _body_of(document, entry, bodies)
    measurement = document["body"][body] if body else None
    numbers: Numbers = (None,) * len(document["sizes"])
    if measurement:
        factor = MM_PER_TYPED_UNIT[measurement["unit"]]
        numbers = tuple(None if one is None else one * factor for one in measurement["values"])
    results = graded["values"][entry["name"]]
    return GradeLine(
        name=entry["name"],
        label=label_of(entry),
        finished=tuple(results["worked"]),
        ideal=tuple(results["ideal"]),
        body_label=measurement["label"] if measurement else "",
        body=numbers,
        tolerance_mm=_tolerance(entry["measured"].get("tolerance")),
    )


def _body_of(document: Document, entry: Document, bodies: set[str]) -> str:
    """The body measurement named for comparing; else, of what goes round, the only one that it is made of.

    A length that is made of a girth, such as the depth of an armhole, does not stand beside it.
    """
    named = entry["measured"].get("compares_to")
    if named in document.get("body", {}):
        return str(named)
    return next(iter(bodies)) if len(bodies) == 1 and entry["measured"]["around"] else ""


def _tolerance(typed: object) -> float | None:
    """The tolerance in mm, None where there is none that can be read."""
    try:
        return read_quantity(typed, "length", "") if typed is not None else None
    except PatternFileError:
        return None


def steps_of(numbers: Numbers) -> Numbers:
    """From each number to the next; the first has none before it."""
    return (None, *less(numbers[1:], numbers[:-1]))


def less(numbers: Numbers, others: Numbers) -> Numbers:
    """One number less the other, None where one is missing."""
    return tuple(
        None if one is None or other is None else one - other
        for one, other in zip(numbers, others, strict=True)
    )
