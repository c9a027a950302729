"""Which body each size is made for, and which size is nearest to a body."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from grading.core.printing.numbers import MM_PER_INCH, half_up, print_inches
from testing.asked.figures import Figures
from testing.models import TestCall

MM_PER_CM = 10
BETWEEN = 0.25  # of the way from one size to the next: from here on a body lies between the two


@dataclass(frozen=True)
class BodyRow:
    """One size of a call as its pages list it: the body that it is made for, and its places."""

    size: str
    texts: list[str]
    at_least: int
    at_most: int
    mark: str
    finished: str = ""

    @property
    def is_either(self) -> bool:
        """Whether its places are one number or the next."""
        return self.at_most == self.at_least + 1


@dataclass(frozen=True)
class SizeBodies:
    """The sizes that a call has places for, in order, and the bodies that they are made for, in mm."""

    sizes: tuple[str, ...]
    labels: Mapping[str, str]
    body_mm: Mapping[str, Sequence[float | None]]
    finished_label: str = ""
    finished_mm: Sequence[float | None] = ()
    """The first measurement that goes all the way round the garment, one for each size."""

    def of_size(self, size: str) -> dict[str, float]:
        """The body of one size, as far as the pattern says it."""
        place = self.sizes.index(size)
        return {name: mm for name, entries in self.body_mm.items() if (mm := entries[place]) is not None}

    def finished_of(self, size: str) -> float | None:
        """What the garment of one size measures all the way round, in mm; None where that is not known."""
        return dict(zip(self.sizes, self.finished_mm, strict=False)).get(size)

    def distance_cm(self, size: str, body_mm: Mapping[str, float]) -> float | None:
        """How far a size is from a body: the mean difference in cm; None where nothing can be compared."""
        apart = [abs(body_mm[name] - mm) for name, mm in self.of_size(size).items() if name in body_mm]
        return sum(apart) / len(apart) / MM_PER_CM if apart else None

    def told_apart_cm(self, size: str, body_mm: Mapping[str, float], units: str) -> float:
        """The same between a body and the numbers that a table in these units prints."""
        told = {name: told_body_mm(mm, units) for name, mm in self.of_size(size).items() if name in body_mm}
        return sum(abs(body_mm[name] - mm) for name, mm in told.items()) / max(len(told), 1) / MM_PER_CM

    def nearest(self, body_mm: Mapping[str, float]) -> str:
        """The size that is nearest to a body; empty where nothing can be compared."""
        distances = {size: self.distance_cm(size, body_mm) for size in self.sizes}
        known = {size: cm for size, cm in distances.items() if cm is not None}
        return min(known, key=lambda size: known[size]) if known else ""

    def between(self, body_mm: Mapping[str, float]) -> tuple[str, str] | None:
        """The two sizes that a body clearly lies between, the nearer first; None for any other."""
        nearest = self.nearest(body_mm)
        if not nearest:
            return None
        place = self.sizes.index(nearest)
        for other in self.sizes[max(place - 1, 0) : place + 2]:
            if other != nearest and self._is_between(nearest, other, body_mm):
                return nearest, other
        return None

    def _is_between(self, near: str, far: str, body_mm: Mapping[str, float]) -> bool:
        """Whether each measurement lies between two sizes, and all together not close to the nearer."""
        ours, theirs = self.of_size(near), self.of_size(far)
        known = [name for name in ours if name in theirs and name in body_mm]
        inside = all(
            min(ours[name], theirs[name]) <= body_mm[name] <= max(ours[name], theirs[name]) for name in known
        )
        apart = sum(abs(theirs[name] - ours[name]) for name in known)
        away = sum(abs(body_mm[name] - ours[name]) for name in known)
        return inside and apart > 0 and away >= BETWEEN * apart


def size_bodies(call: TestCall, figures: Figures) -> SizeBodies:
    """The sizes of a call beside the bodies that they are made for, in the measurements that it asks."""
    pattern_sizes = figures.pattern.sizes
    sizes = tuple(quota.size for quota in call.quotas.all() if quota.size in pattern_sizes)
    asked = [one for one in figures.body if one.name in call.measurements]
    places = [pattern_sizes.index(size) for size in sizes]
    round_it = next((one for one in figures.measurements if one.measured and one.measured.around), None)
    graded = figures.graded.values.get(round_it.name) if round_it else None
    return SizeBodies(
        sizes=sizes,
        labels={one.name: one.label for one in asked},
        body_mm={one.name: [_known(one.entries[place]) for place in places] for one in asked},
        finished_label=round_it.label if round_it and graded else "",
        finished_mm=[_known(graded.worked[place]) for place in places] if graded else (),
    )


def body_rows(
    call: TestCall, bodies: SizeBodies, *, units: str, marks: Mapping[str, str] | None = None
) -> list[BodyRow]:
    """The sizes of a call as a table, in some units; `marks` are words beside sizes."""
    rows = []
    for quota in call.quotas.all():
        body = bodies.of_size(quota.size) if quota.size in bodies.sizes else {}
        texts = [body_number(body[name], units) if name in body else "" for name in bodies.labels]
        mm = bodies.finished_of(quota.size)
        rows.append(
            BodyRow(
                quota.size,
                texts,
                quota.at_least,
                quota.at_most,
                (marks or {}).get(quota.size, ""),
                "" if mm is None else body_number(mm, units),
            )
        )
    return rows


def body_number(length_mm: float, units: str) -> str:
    """A length of a body without its unit, to half a centimetre as patterns print it.

    >>> body_number(737, "cm"), body_number(960, "cm"), body_number(965.2, "in")
    ('73.5', '96', '38')
    """
    return print_inches(length_mm) if units == "in" else f"{half_up(length_mm / MM_PER_CM, 0.5):g}"


def told_body_mm(length_mm: float, units: str) -> float:
    """The length that `body_number` prints, in mm.

    >>> told_body_mm(737, "cm"), told_body_mm(965.2, "in")
    (735.0, 965.2)
    """
    step = MM_PER_INCH / 4 if units == "in" else MM_PER_CM / 2
    return half_up(length_mm, step)


def _known(mm: float | None) -> float | None:
    """A number that can be reckoned with."""
    return None if mm is None or mm != mm else float(mm)
