"""How well the sizes of a table serve a set of bodies."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from grading.core.sizes.tables import SizeTable, TableMeasurement, place_in_ranges

TOLERANCE = 1e-9

SMALLER = "smaller than the smallest size"
LARGER = "larger than the largest size"
BETWEEN = "between two sizes, too far from the nearest"
TOO_LITTLE_EASE = "too little ease in the nearest size"
NO_FINISHED = "the nearest size has no finished measurement"
TOO_MUCH_EASE = "too much ease in the nearest size"

Numbers = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class FitLimits:
    """When one measurement of a size fits a body; all in mm.

    A body is served in this measurement when it is no further than `within_mm` from the size's body
    measurement (both ends included; None asks nothing) and the ease it would have in the garment, that is
    finished measurement − body, is at least `least_ease_mm` and at most `most_ease_mm` (None asks nothing).
    The finished measurement is `finished_mm`, one per size, or else the size's body measurement + `ease_mm`.
    """

    within_mm: float | None = None
    ease_mm: float = 0.0
    least_ease_mm: float | None = None
    most_ease_mm: float | None = None
    finished_mm: tuple[float | None, ...] | None = None


@dataclass(frozen=True)
class Share:
    """How many are served of those whose measurement is known."""

    served: int
    known: int

    @property
    def percent(self) -> float | None:
        """The share in per cent, None of nobody."""
        return 100 * self.served / self.known if self.known else None


@dataclass(frozen=True)
class Coverage:
    """What came out: `nearest` is the place of each body's size, −1 where nothing is shared with the table.

    `by_size` counts the bodies nearest to each size and those of them served in every measurement. A body
    can be unserved for several reasons, one for each measurement; `unmeasured` bodies share none.
    """

    nearest: tuple[int, ...]
    by_measurement: dict[str, Share]
    jointly: Share
    by_size: tuple[Share, ...]
    reasons: dict[tuple[str, str], int]
    unmeasured: int
    joint: tuple[bool, ...] = field(repr=False)


def cover(
    sizes_mm: Mapping[str, Sequence[float | None]],
    bodies_mm: Mapping[str, Sequence[float | None]],
    fits: Mapping[str, FitLimits],
    choose_by: Sequence[str] = (),
) -> Coverage:
    """Find the nearest size of each body, and whether it serves it.

    The nearest size has the smallest mean absolute difference over the measurements that both the body and
    the size have (of those in `choose_by`, where any are named); of two equally near, the smaller one.

    Args:
        sizes_mm: By measurement, one number per size, smallest size first, in mm; None for unknown.
        bodies_mm: By measurement, one number per body, in mm; None for unknown.
        fits: By measurement, when it fits; a measurement without an entry asks nothing.
        choose_by: The measurements by which people choose a size; all that are shared, if empty.

    Returns:
        The counts and shares; jointly served means served in every measurement that is known of the body.

    Source: derived.

    >>> cover({"bust": [80, 90]}, {"bust": [84, 85, 97]}, {"bust": FitLimits(within_mm=5)}).nearest
    (0, 0, 1)
    """
    shared = [name for name in sizes_mm if name in bodies_mm]
    if not shared:
        raise ValueError("The bodies have none of the table's measurements.")
    table = {name: _array(sizes_mm[name]) for name in shared}
    bodies = {name: _array(bodies_mm[name]) for name in shared}
    chosen = [name for name in shared if name in choose_by] or shared
    nearest = _nearest([table[name] for name in chosen], [bodies[name] for name in chosen])
    reasons: dict[tuple[str, str], int] = {}
    by_measurement, joint, measured = {}, nearest >= 0, nearest >= 0
    for name in shared:
        known = measured & np.isfinite(bodies[name]) & np.isfinite(table[name][nearest])
        served = known.copy()
        for reason, flags in _reasons(table[name], bodies[name], nearest, fits.get(name, FitLimits())):
            _count(reasons, (name, reason), flags & served)
            served &= ~flags
        by_measurement[name] = Share(int(served.sum()), int(known.sum()))
        joint = joint & (served | ~known)
    return Coverage(
        nearest=tuple(nearest.tolist()),
        by_measurement=by_measurement,
        jointly=Share(int(joint.sum()), int(measured.sum())),
        by_size=tuple(
            Share(int((joint & (nearest == place)).sum()), int((nearest == place).sum()))
            for place in range(len(table[shared[0]]))
        ),
        reasons=reasons,
        unmeasured=int((~measured).sum()),
        joint=tuple(joint.tolist()),
    )


def in_ranges(
    table: SizeTable, measurement: TableMeasurement, bodies_mm: Sequence[float | None]
) -> list[int]:
    """Count the bodies in the range of each size, and in none.

    Args:
        table: The table that the measurement belongs to.
        measurement: A measurement of the table.
        bodies_mm: One number per body, in mm; None is left out.

    Returns:
        One count per size, then the count of those in no range.

    Source: derived.

    >>> bust = TableMeasurement("bust", "Bust", ((28, 30), (32, 34)))
    >>> in_ranges(SizeTable("Own", "in", ("XS", "S"), (bust,)), bust, [762.0, 787.4])
    [1, 0, 1]
    """
    counts = [0] * (len(table.sizes) + 1)
    for number in bodies_mm:
        if number is not None:
            place = place_in_ranges(measurement, round(number / table.mm_per_unit, 9))
            counts[-1 if place is None else place] += 1
    return counts


def _array(entries: Sequence[float | None]) -> Numbers:
    """Return entries as an array, NaN for None."""
    return np.array([np.nan if entry is None else entry for entry in entries], dtype=float)


def _nearest(table: Sequence[Numbers], bodies: Sequence[Numbers]) -> NDArray[np.int64]:
    """Return the place of the nearest size of each body, −1 where nothing is shared."""
    apart = np.array([np.abs(of[:, None] - sizes[None, :]) for sizes, of in zip(table, bodies, strict=True)])
    known = np.isfinite(apart)
    total = np.where(known, apart, 0.0).sum(axis=0)
    mean = np.where(known.any(axis=0), total / np.maximum(known.sum(axis=0), 1), np.inf)
    least = mean.min(axis=1, keepdims=True)
    first = (mean <= least + TOLERANCE).argmax(axis=1)
    return np.where(np.isfinite(least[:, 0]), first, -1)


def _reasons(
    sizes: Numbers, bodies: Numbers, nearest: NDArray[np.int64], fit: FitLimits
) -> list[tuple[str, Flags]]:
    """Return for each reason which bodies it leaves unserved in one measurement."""
    found = []
    if fit.within_mm is not None:
        far = np.abs(bodies - sizes[nearest]) > fit.within_mm + TOLERANCE
        smaller, larger = bodies < np.nanmin(sizes), bodies > np.nanmax(sizes)
        found += [(SMALLER, far & smaller), (LARGER, far & larger), (BETWEEN, far & ~smaller & ~larger)]
    finished = sizes + fit.ease_mm if fit.finished_mm is None else _array(fit.finished_mm)
    ease = finished[nearest] - bodies
    if fit.least_ease_mm is not None or fit.most_ease_mm is not None:
        found.append((NO_FINISHED, np.isnan(ease) & np.isfinite(bodies)))
    if fit.least_ease_mm is not None:
        found.append((TOO_LITTLE_EASE, ease < fit.least_ease_mm - TOLERANCE))
    if fit.most_ease_mm is not None:
        found.append((TOO_MUCH_EASE, ease > fit.most_ease_mm + TOLERANCE))
    return found


def _count(reasons: dict[tuple[str, str], int], key: tuple[str, str], flags: Flags) -> None:
    """Add the bodies that a reason leaves unserved."""
    if flags.any():
        reasons[key] = int(flags.sum())
