"""The finished measurements of a pattern, where it compares them to body measurements of a size table."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from grading.core.grade.grade import Graded
from grading.core.pattern.pattern import ValueEntry
from grading.core.sizes.coverage import FitLimits
from grading.core.sizes.tables import SizeTable, bare_size


def with_garment(fits: Mapping[str, FitLimits], table: SizeTable, garment: Graded) -> dict[str, FitLimits]:
    """Return the fits with the garment's finished measurements, and its limits of ease where none are typed.

    A size of the table has the finished measurement of the pattern's size of the same name.
    """
    found = dict(fits)
    for value in garment.pattern.values:
        compared = value.measured.compares_to if value.measured else None
        if compared in found:
            found[compared] = _with_value(found[compared], value, table, garment)
    return found


def _with_value(fit: FitLimits, value: ValueEntry, table: SizeTable, garment: Graded) -> FitLimits:
    """One fit with the numbers of one value, in mm."""
    worked = garment.values[value.name].worked
    by_size = {bare_size(size): number for size, number in zip(garment.sizes, worked.tolist(), strict=True)}
    finished = [by_size.get(bare_size(size), np.nan) for size in table.sizes]
    ease = value.measured.ease if value.measured else None
    least, most = ease or (None, None)
    return replace(
        fit,
        finished_mm=tuple(None if np.isnan(number) else number for number in finished),
        least_ease_mm=least if fit.least_ease_mm is None else fit.least_ease_mm,
        most_ease_mm=most if fit.most_ease_mm is None else fit.most_ease_mm,
    )
