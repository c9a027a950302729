"""Robust starts that slips cannot pull; pure."""

import numpy as np

from testing.assessment.evidence import Floats


def theil_sen(x: Floats, y: Floats) -> tuple[float, float]:
    """Slope and intercept through medians; NaN where fewer than two points are known.

    Source: Theil 1950, Sen 1968; intercept = median(y) − slope · median(x).

    >>> theil_sen(np.array([0.0, 1, 2, 3]), np.array([1.0, 3, 5, 99]))
    (17.333333333333332, -22.0)
    """
    known = np.isfinite(x) & np.isfinite(y)
    x, y = x[known], y[known]
    first, second = np.triu_indices(len(x), 1)
    apart = x[first] != x[second]
    if not apart.any():
        return np.nan, np.nan
    rise = (y[second] - y[first])[apart] / (x[second] - x[first])[apart]
    slope = float(np.median(rise))
    return slope, float(np.median(y) - slope * np.median(x))


def medians_by_size(values: Floats, size: Floats) -> Floats:
    """Median of each measurement in each size, (M, S); NaN where nothing is known. `values` is (T, M)."""
    found = np.full((values.shape[1], size.shape[1]), np.nan)
    for place in range(size.shape[1]):
        of_size = values[size[:, place] > 0]
        known = np.isfinite(of_size).any(axis=0)
        found[known, place] = np.nanmedian(of_size[:, known], axis=0) if known.any() else np.nan
    return found
