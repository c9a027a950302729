"""Placing testers: who makes which size, exactly and with reasons; pure.

In this order a placing fills the most "at least" places, fills the most places up to "at most", and has the
lowest total cost. Lengths are counted in whole units of 1e-9 cm, so that equal costs are equal.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from testing.asked.distances import FARTHEST_CM
from testing.placing.reasons import SolvedPlacing, reason_of
from testing.placing.seating import BLOCKED, Seating, Seats

PER_CM = 10**9
PER_RANK_CM = 2
PER_EXPERIENCE_CM = 1
_UNKNOWN = np.int64(2**55)


@dataclass(frozen=True)
class SizePlaces:
    """How many testers a size needs and takes."""

    size: str
    at_least: int
    at_most: int


@dataclass(frozen=True)
class Applicant:
    """Somebody to place: body in cm, sizes in the order of wish, experience 0 to 3."""

    key: str
    body_cm: Mapping[str, float]
    wishes: tuple[str, ...]
    experience: int
    pinned: str = ""


@dataclass(frozen=True)
class Task:
    """Everything that a placing depends on; `body_cm` holds one number per size for each measurement."""

    sizes: tuple[str, ...]
    body_cm: Mapping[str, Sequence[float]]
    places: tuple[SizePlaces, ...]
    applicants: tuple[Applicant, ...]
    seed: int


@dataclass(frozen=True)
class Placing:
    """Who makes which size, who waits, and why."""

    placed: dict[str, str]
    waiting: list[str]
    filled_at_least: int
    filled: int
    cost_cm: Fraction
    reasons: dict[str, str]
    seed: int


def place_testers(task: Task) -> Placing:
    """Propose the best placing; ties are drawn by the seed, whatever the order of the applicants."""
    people = sorted(task.applicants, key=lambda one: draw(task.seed, one.key))
    distances = _distances(task, people)
    pinned = {one.key: one.pinned for one in people if one.pinned}
    free = [place for place, one in enumerate(people) if not one.pinned]
    seating = Seating(_costs(task, people, distances)[free], _seats(task, pinned))
    seating.solve()
    seat_of = {people[free[row]].key: int(size) for row, size in enumerate(seating.seat_of)}
    placed = {key: task.sizes[size] for key, size in seat_of.items() if size < len(task.sizes)} | pinned
    reasons = _reasons(task, people, distances, seating, placed)
    away = {one.key: distances[row] for row, one in enumerate(people)}
    waiting = [one for one in people if one.key not in placed]
    return Placing(
        placed={one.key: placed[one.key] for one in task.applicants if one.key in placed},
        waiting=[one.key for one in sorted(waiting, key=lambda one: _lowest(task, one, away[one.key]))],
        filled_at_least=sum(min(_taken(placed, place.size), place.at_least) for place in task.places),
        filled=len(placed),
        cost_cm=_total_cm(task, placed, away),
        reasons={one.key: reasons[one.key] for one in task.applicants},
        seed=task.seed,
    )


def draw(seed: int, key: str) -> bytes:
    """The lot of a person: the same on every machine, another with every seed."""
    return hashlib.sha256(f"{seed}\n{key}".encode()).digest()


def _taken(placed: Mapping[str, str], size: str) -> int:
    """How many have a size."""
    return sum(given == size for given in placed.values())


def _distances(task: Task, people: Sequence[Applicant]) -> NDArray[np.int64]:
    """Sum of absolute differences of each person from each size, in 1e-9 cm."""
    total = np.zeros((len(people), len(task.sizes)), dtype=np.int64)
    for name, numbers in task.body_cm.items():
        sizes = _counted(numbers)
        bodies = _counted([one.body_cm.get(name, np.nan) for one in people])
        difference = np.abs(bodies[:, None] - sizes[None, :])
        is_known = (bodies != _UNKNOWN)[:, None] & (sizes != _UNKNOWN)[None, :]
        total += np.where(is_known, difference, _UNKNOWN)
    return total


def _counted(numbers_cm: Sequence[float]) -> NDArray[np.int64]:
    """Lengths in whole units of 1e-9 cm; what is not known stays apart."""
    scaled = np.asarray(numbers_cm, dtype=float) * PER_CM
    return np.where(np.isfinite(scaled), np.rint(np.nan_to_num(scaled)), _UNKNOWN).astype(np.int64)


def _costs(task: Task, people: Sequence[Applicant], distances: NDArray[np.int64]) -> NDArray[np.int64]:
    """Cost times the number of measurements, for each person in each size; BLOCKED where it can't be."""
    asked = max(len(task.body_cm), 1)
    costs = np.full(distances.shape, BLOCKED, dtype=np.int64)
    for row, one in enumerate(people):
        for rank, wish in enumerate(one.wishes):
            size = task.sizes.index(wish)
            if distances[row, size] <= FARTHEST_CM * PER_CM * asked:
                extra = PER_RANK_CM * rank - PER_EXPERIENCE_CM * one.experience
                costs[row, size] = distances[row, size] + extra * PER_CM * asked
    return costs


def _cost_cm(task: Task, one: Applicant, distances: NDArray[np.int64], size: str) -> Fraction:
    """What one person costs in a size; a size that is not on the list, given by hand, ranks behind all."""
    rank = one.wishes.index(size) if size in one.wishes else len(one.wishes)
    distance = int(distances[task.sizes.index(size)])
    known = 0 if distance >= _UNKNOWN else distance
    asked = max(len(task.body_cm), 1)
    return Fraction(known, PER_CM * asked) + PER_RANK_CM * rank - PER_EXPERIENCE_CM * one.experience


def _total_cm(task: Task, placed: Mapping[str, str], away: Mapping[str, NDArray[np.int64]]) -> Fraction:
    """What everybody who is placed costs together."""
    given = (one for one in task.applicants if one.key in placed)
    return sum((_cost_cm(task, one, away[one.key], placed[one.key]) for one in given), Fraction(0))


def _lowest(task: Task, one: Applicant, distances: NDArray[np.int64]) -> Fraction:
    """The lowest cost of somebody who waits: who comes first on the waiting list."""
    return min(_cost_cm(task, one, distances, size) for size in one.wishes) if one.wishes else Fraction(10**9)


def _seats(task: Task, pinned: Mapping[str, str]) -> list[Seats]:
    """The seats of every size, those of pinned people kept."""
    places = {place.size: place for place in task.places}
    empty = SizePlaces("", 0, 0)
    return [
        Seats(place.at_least, place.at_most, _taken(pinned, size))
        for size in task.sizes
        for place in [places.get(size, empty)]
    ]


def _reasons(
    task: Task,
    people: Sequence[Applicant],
    distances: NDArray[np.int64],
    seating: Seating,
    placed: Mapping[str, str],
) -> dict[str, str]:
    """Say for everybody why they got their size or none."""
    standing = SolvedPlacing(
        sizes=task.sizes,
        exchange=seating.exchange_costs(),
        seating=seating,
        per_cm=PER_CM * max(len(task.body_cm), 1),
        farthest_cm=FARTHEST_CM,
        has_places=frozenset(place.size for place in task.places if place.at_most),
    )
    reasons, row = {}, 0
    for place, one in enumerate(people):
        if one.pinned:
            reasons[one.key] = f"Size {one.pinned} was given by hand."
        else:
            reasons[one.key] = reason_of(standing, row, one.wishes, distances[place], placed.get(one.key))
            row += 1
    return reasons
