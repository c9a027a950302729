"""Graded numbers as JSON: lengths in mm, weights in g, yarn in m, counts whole, null for what is unknown."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]


def json_numbers(numbers: Numbers) -> list[float | None]:
    """Return decimals as JSON has them, null for NaN.

    >>> json_numbers(np.array([1.5, np.nan]))
    [1.5, None]
    """
    listed: list[float] = (numbers + 0.0).tolist()  # adding 0 makes -0 a plain 0; NaN is not itself
    return [None if number != number else number for number in listed]


def json_counts(numbers: Iterable[float]) -> list[float | None]:
    """Return counts as whole numbers where they are whole, null for NaN.

    >>> json_counts([12.0, float("nan")])
    [12, None]
    """
    return [None if n != n else int(n) if n == int(n) else float(n) for n in numbers]
