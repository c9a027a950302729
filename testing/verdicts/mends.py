"""Mends: counts that would mend a wrong measurement, what else they move, and how it is shown."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_document, preview_edit
from catalogue.models import Pattern, Person
from catalogue.versions.step_changes import StepChange, changed_steps
from grading.core.formula.rounding import WHOLE, round_to_workable
from grading.core.grade.grade import Graded, grade, grade_at_gauge
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.printing.numbers import number_list
from grading.core.sheet.sheet import program_of
from grading.sheets.differences import Difference
from grading.sheets.documents import Document
from testing.asked.expected import Ground
from testing.asked.figures import Figures, call_figures, pattern_figures
from testing.assessment.evidence import Floats
from testing.models import TestCall
from testing.verdicts.kept_lengths import Lengths, error_of_changed, lengths_then, with_kept_length
from testing.verdicts.sentences import Found


@dataclass(frozen=True)
class Mend:
    """A count as it is and as it would have to be, one per size; what one more of it adds, in mm."""

    value: str
    before: Floats
    after: Floats
    mm_per_count: Floats

    @property
    def changes(self) -> bool:
        """Whether any size would change."""
        return not np.array_equal(self.before, self.after, equal_nan=True)


Missed = list[tuple[str, float, float]]
"""Sizes that would not come out as planned all the same: size, what is planned, what makers would get; mm."""


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
    lengths: Lengths
    """Of each size that changes: the length that the counts alone would print, and what makers get."""
    missed: Missed

    @property
    def counts(self) -> list[tuple[str, int | None, int | None]]:
        """Size, count now, count then; none where a size has none."""
        rows = zip(self.figures.pattern.sizes, self.mend.before, self.mend.after, strict=True)
        return [(size, whole(before), whole(after)) for size, before, after in rows]

    @property
    def sizes(self) -> list[str]:
        """The sizes whose count would change."""
        return [size for size, now, then in self.counts if now != then]

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


def mending_of(
    *, call: TestCall, found: Found, measurement: str, value: str, keeps_length: bool = True
) -> Mending:
    """Work out new counts from those that were made, and what they would change in the sheet of today.

    A sheet that was mended already is not mended twice: the counts that were made stay what they were.
    With `keeps_length` the measurement goes on printing what makers get; the counts alone would not.
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
    error = found["measurements"][measurement]["error"]
    mend = mend_by(ground, measurement, error, value)
    if mend is None:
        raise NoMend
    made_counts, now = mend.before, np.asarray(today[value], dtype=float)
    # A size that was right keeps the count it has today.
    mend = replace(mend, before=now, after=np.where(mend.after == made_counts, now, mend.after))
    beyond = error_of_changed(error, mend.before, mend.after)
    alone = with_counts(pattern_document(call.pattern), mend)
    document = with_kept_length(alone, measurement, beyond) if keeps_length else alone
    worked = grade(read_pattern(alone))
    # A size that the sheet has mended already prints what makers get.
    still = np.where((now == made_counts) | (now != mend.after), error, np.nan)
    return Mending(
        mend,
        made_counts,
        figures,
        document,
        preview_edit(pattern=call.pattern, document=document),
        measurement,
        lengths_then(worked, measurement, beyond),
        _missed(made, worked, measurement, still),
    )


def values_that_mend(
    *, call: TestCall, found: Found, measurement: str, values: Sequence[str]
) -> tuple[list[str], list[str]]:
    """The values whose new counts make a measurement come out as planned in every size, and the others.

    The sheet that was made is worked out with them, as other counts may follow: rounds that are left over
    after a rib become more when the rib becomes less. A value that changes nothing of it, or that is no
    longer in the sheet, is in neither.
    """
    today = set(call.pattern.sheet.values.values_list("name", flat=True))
    made, error = call_figures(call), found["measurements"][measurement]["error"]
    ground = made.ground()
    mending, others = list[str](), list[str]()
    for value in values:
        is_there = value in ground.counts and value in today
        mend = mend_by(ground, measurement, error, value) if is_there else None
        if mend is not None:
            worked = grade(read_pattern(with_counts(made.pattern.typed, mend)))
            (others if _missed(made, worked, measurement, error) else mending).append(value)
    return mending, others


def also_mended(
    *, made: Figures, found: Found, measurement: str, value: str, others: Sequence[str]
) -> list[str]:
    """The other measurements that come out as planned, too, with the counts that mend one.

    Their errors follow from its error: a mend of their own would be made twice.
    """
    mend = mend_by(made.ground(), measurement, found["measurements"][measurement]["error"], value)
    if mend is None:
        return []
    worked = grade(read_pattern(with_counts(made.pattern.typed, mend)))
    return [
        one
        for one in others
        if not np.array_equal(made.graded.values[one].worked, worked.values[one].worked, equal_nan=True)
        if not _missed(made, worked, one, found["measurements"][one]["error"])
    ]


def _missed(made: Figures, worked: Graded, measurement: str, error_mm: Sequence[float] | Floats) -> Missed:
    """The sizes that would be beyond the tolerance of what was planned, by their counts and the error."""
    tolerance = next(line.tolerance_mm for line in made.lines() if line.name == measurement)
    planned = np.asarray(made.graded.values[measurement].worked, dtype=float)
    got = np.asarray(worked.values[measurement].worked, dtype=float) + np.asarray(error_mm, dtype=float)
    rows = zip(made.pattern.sizes, planned.tolist(), got.tolist(), strict=True)
    return [(size, plan, then) for size, plan, then in rows if abs(then - plan) > tolerance]


def moved_steps(mending: Mending, units: str, size: str) -> list[StepChange]:
    """The steps that would read otherwise in a size: as the draft prints them, and with the new counts."""
    now = mending.figures.pattern
    then = read_pattern(mending.document)
    return list(changed_steps(facts_of(now, grade(now)), facts_of(then, grade(then)), units, size))


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


def mend_by(ground: Ground, measurement: str, error_mm: Sequence[float], value: str) -> Mend | None:
    """Work out the counts of a value that take an error away; None where the measurement does not hang on it.

    Args:
        ground: The pattern with its counts and gauge.
        measurement: The finished measurement that is wrong.
        error_mm: By how much it is too long, one per size.
        value: The stitches, rows or count to change.
    """
    before = np.asarray(ground.counts[value], dtype=float)
    more = {**ground.counts, value: before + 1}
    lengths = [
        grade_at_gauge(ground.pattern, ground.gauge, counts)[measurement] for counts in (ground.counts, more)
    ]
    mm_per_count = lengths[1] - lengths[0]
    if not (np.abs(mm_per_count[np.isfinite(mm_per_count)]) > 1e-6).any():
        return None
    with np.errstate(divide="ignore", invalid="ignore"):
        too_many = np.asarray(error_mm) / mm_per_count
    return Mend(value, before, _wanted(ground, value, before, too_many), mm_per_count)


def _wanted(ground: Ground, value: str, before: Floats, too_many: Floats) -> Floats:
    """The workable counts nearest to what is wanted."""
    wanted = np.where(np.isfinite(too_many), before - too_many, before)
    program = program_of(ground.pattern)
    step = program.lines[program.line_of(value)].step or WHOLE
    after = np.maximum(round_to_workable(wanted, step), 0.0)
    # A size whose error is less than half of what one step changes stays as it is, workable or not.
    return np.where(np.abs(wanted - before) < step.multiple / 2, before, after)
