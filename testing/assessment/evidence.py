"""What the testers of one call sent in, beside what was expected of each."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Whole = NDArray[np.int64]

CLOSE = 0.3  # an entry within a third of what is expected is taken as it stands to begin with


@dataclass(frozen=True)
class Evidence:
    """All arrays of a call; lengths in mm, NaN where nothing was sent or nothing is expected.

    `expected` are the pattern's counts at the tester's own gauge, `planned` the same at the pattern's gauge;
    `sensitivity` the change of log expected with log gauge, −1 for stitches / gauge; `swapped` each entry
    with two digits swapped so that it comes nearest to what was expected; `known_factor` the log of garment
    gauge over swatch gauge where it was counted; `grain` the mm that one stitch or row is wide, in which
    errors of a pattern come; `confirmed` entries that somebody has said to be right as they stand;
    `missing_gauge` where no swatch was sent and the pattern's own gauge stands in for it.
    """

    size: Whole  # (T,) place of the size made
    measured: Floats  # (T, M)
    expected: Floats  # (T, M)
    planned: Floats  # (S, M)
    sensitivity: Floats  # (T, M, K)
    tolerance: Floats  # (M,)
    around: Bools  # (M,) measured round the body
    swapped: Floats  # (T, M)
    known_factor: Floats  # (T, K)
    grain: Floats  # (M,)
    confirmed: Bools  # (T, M)
    missing_gauge: Bools  # (T, K)

    @property
    def sent(self) -> Bools:
        """Which entries there are, (T, M)."""
        return np.isfinite(self.measured)

    @property
    def scale(self) -> Floats:
        """How many mm an error of 1 mm at the pattern's gauge makes at the tester's, (T, M)."""
        with np.errstate(invalid="ignore", divide="ignore"):
            scale = self.expected / self.planned[self.size]
        return np.where(np.isfinite(scale) & (scale > 0), scale, 1.0)

    @property
    def one_hot(self) -> Floats:
        """1 where a tester made a size, (T, S)."""
        return np.asarray(np.eye(len(self.planned))[self.size])

    @property
    def seen(self) -> Whole:
        """How many results each size has for each measurement, (S, M)."""
        return (self.one_hot.T @ self.sent).astype(np.int64)


def without_unknown(evidence: Evidence) -> Evidence:
    """Leave out the entries for which nothing can be expected, so that every other array is finite."""
    unknown = ~(np.isfinite(evidence.expected) & (evidence.expected > 0))
    unknown |= ~np.isfinite(evidence.sensitivity).all(axis=2)
    return replace(
        evidence,
        measured=np.where(unknown, np.nan, evidence.measured),
        expected=np.where(unknown, 1.0, evidence.expected),
        sensitivity=np.where(unknown[..., None], 0.0, evidence.sensitivity),
    )


def plausible_entries(evidence: Evidence) -> Floats:
    """1 for an entry close to what is expected, else 0, (T, M): slips must not set the first factors."""
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = np.abs(np.log(evidence.measured / evidence.expected))
    return np.where(ratio < CLOSE, 1.0, 0.0)
