"""Counts that would mend a wrong measurement, for every size, multiples kept; pure."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grading.core.formula.rounding import WHOLE, round_to_workable
from grading.core.grade.grade import grade_at_gauge
from grading.core.sheet.sheet import program_of
from testing.asked.expected import Ground
from testing.assessment.evidence import Floats


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
