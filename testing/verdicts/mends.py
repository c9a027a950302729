"""From a verdict to the sheet: the new counts of a value, and what else they move."""

from dataclasses import dataclass, replace

import numpy as np

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_document, preview_edit
from catalogue.models import Pattern, Person
from grading.core.printing.numbers import number_list
from grading.sheets.differences import Difference
from grading.sheets.documents import Document
from testing.asked.figures import Figures, call_figures, pattern_figures
from testing.assessment.evidence import Floats
from testing.models import TestCall
from testing.verdicts.mending import Mend, mend_by
from testing.verdicts.sentences import Found


class NoMend(ValueError):
    """The sheet of today has no such count, or the measurement does not hang on it."""


@dataclass(frozen=True)
class Mending:
    """A mend over the draft: counts made, now and then, the document with them, and what it would change."""

    mend: Mend
    made: Floats  # the counts of the version that was made
    figures: Figures
    document: Document
    difference: Difference
    measurement: str

    @property
    def counts(self) -> list[tuple[str, int | None, int | None]]:
        """Size, count now, count then; none where a size has none."""
        rows = zip(self.figures.pattern.sizes, self.mend.before, self.mend.after, strict=True)
        return [(size, whole(before), whole(after)) for size, before, after in rows]

    @property
    def says(self) -> str:
        """The counts that were made, as the trade writes them."""
        return _listed(self.made)

    @property
    def should_say(self) -> str:
        """The counts that would mend it, as the trade writes them."""
        return _listed(self.mend.after)

    @property
    def is_done(self) -> bool:
        """Whether the sheet of today has these counts already."""
        return not self.mend.changes and not np.array_equal(self.made, self.mend.after, equal_nan=True)


def mending_of(*, call: TestCall, found: Found, measurement: str, value: str) -> Mending:
    """Work out new counts from those that were made, and what they would change in the sheet of today.

    A sheet that was mended already is not mended twice: the counts that were made stay what they were.
    """
    figures, made = pattern_figures(call.pattern), call_figures(call)
    today = figures.ground().counts
    names = {line.name for line in figures.measurements}
    is_value = any(one.name == value for one in figures.pattern.values)
    if not is_value or value not in today or measurement not in names:
        raise NoMend
    ground = made.ground()
    if value not in ground.counts or made.pattern.sizes != figures.pattern.sizes:
        raise NoMend
    mend = mend_by(ground, measurement, found["measurements"][measurement]["error"], value)
    if mend is None:
        raise NoMend
    made_counts, now = mend.before, np.asarray(today[value], dtype=float)
    # A size that was right keeps the count it has today.
    mend = replace(mend, before=now, after=np.where(mend.after == made_counts, now, mend.after))
    document = with_counts(pattern_document(call.pattern), mend)
    return Mending(
        mend,
        made_counts,
        figures,
        document,
        preview_edit(pattern=call.pattern, document=document),
        measurement,
    )


def whole(count: float) -> int | None:
    """A count as a whole number; none where a size has none."""
    return None if np.isnan(count) else round(count)


def _listed(counts: Floats) -> str:
    """Counts of all sizes as the trade writes them."""
    return number_list([None if np.isnan(count) else str(round(count)) for count in counts.tolist()])


def with_counts(document: Document, mend: Mend) -> Document:
    """The document with a value's counts written out as a list."""
    counts = [whole(count) for count in mend.after.tolist()]
    values = [
        {**{key: entry[key] for key in entry if key not in ("formula", "steps", "list")}, "list": counts}
        if entry["name"] == mend.value
        else entry
        for entry in document["values"]
    ]
    return {**document, "values": values}


def apply_mending(*, pattern: Pattern, revision: int, mending: Mending, by: Person) -> Difference:
    """Write the new counts into the sheet, as an edit like any other."""
    return edit_document(pattern=pattern, revision=revision, document=mending.document, by=by)
