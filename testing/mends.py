"""From a verdict to the sheet: the new counts of a value, and what else they move."""

from dataclasses import dataclass

from catalogue.documents import pattern_document
from catalogue.edits import edit_document, preview_edit
from catalogue.models import Pattern as StoredPattern
from catalogue.models import Person
from grading.differences import Difference
from grading.documents import Document
from testing.figures import Figures, pattern_figures
from testing.mending import Mend, mend_by
from testing.models import TestCall
from testing.verdict_words import Found


class NoMend(ValueError):
    """The sheet of today has no such count, or the measurement does not hang on it."""


@dataclass(frozen=True)
class Mending:
    """A mend over the draft: counts before and after, the document with them, and what it would change."""

    mend: Mend
    figures: Figures
    document: Document
    difference: Difference
    measurement: str

    @property
    def counts(self) -> list[tuple[str, int, int]]:
        """Size, count now, count then."""
        rows = zip(self.figures.pattern.sizes, self.mend.before, self.mend.after, strict=True)
        return [(size, round(before), round(after)) for size, before, after in rows]


def mending_of(*, call: TestCall, found: Found, measurement: str, value: str) -> Mending:
    """Work out the new counts of a value on the sheet as it stands today."""
    figures = pattern_figures(call.pattern)
    ground, error_mm = figures.ground(), found["measurements"][measurement]["error"]
    names = {line.name for line in figures.measurements}
    is_value = any(one.name == value for one in figures.pattern.values)
    if not is_value or value not in ground.counts or measurement not in names:
        raise NoMend
    if len(error_mm) != len(figures.pattern.sizes):
        raise NoMend
    mend = mend_by(ground, measurement, error_mm, value)
    if mend is None:
        raise NoMend
    document = with_counts(pattern_document(call.pattern), mend)
    return Mending(
        mend, figures, document, preview_edit(pattern=call.pattern, document=document), measurement
    )


def with_counts(document: Document, mend: Mend) -> Document:
    """The document with a value's counts written out as a list."""
    counts = [round(count) for count in mend.after.tolist()]
    values = [
        {**{key: entry[key] for key in entry if key not in ("formula", "steps", "list")}, "list": counts}
        if entry["name"] == mend.value
        else entry
        for entry in document["values"]
    ]
    return {**document, "values": values}


def apply_mending(*, pattern: StoredPattern, revision: int, mending: Mending, by: Person) -> Difference:
    """Write the new counts into the sheet, as an edit like any other."""
    return edit_document(pattern=pattern, revision=revision, document=mending.document, by=by)
