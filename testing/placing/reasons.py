"""Why somebody got a size, or none: what the next best exchange would cost; pure."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from testing.placing.seating import BLOCKED, Seating

_FEW = 3


@dataclass(frozen=True)
class SolvedPlacing:
    """A solved placing and what exchanges of places cost in it."""

    sizes: tuple[str, ...]
    exchange: NDArray[np.int64]
    seating: Seating
    per_cm: int
    farthest_cm: int
    has_places: frozenset[str]


def reason_of(
    standing: SolvedPlacing, row: int, wishes: Sequence[str], distances: NDArray[np.int64], size: str | None
) -> str:
    """One to three short sentences about one person who was not pinned."""
    if size is None:
        said = [_why_not(standing, row, wish, distances) for wish in wishes]
        return "No place: " + _joined(said or ["no size is on the list"]) + "."
    rank = wishes.index(size)
    away = f"{int(distances[standing.sizes.index(size)]) / standing.per_cm:.1f}"
    got = f"Size {size}, {_ordinal(rank)} wish: {away} cm from its body measurements on average."
    passed = [_why_not(standing, row, wish, distances) for wish in wishes[:rank]]
    tied = "" if passed else _tie(standing, row, wishes, size)
    return got + (f" Not {_joined(passed)}." if passed else "") + tied


def _why_not(standing: SolvedPlacing, row: int, wish: str, distances: NDArray[np.int64]) -> str:
    """Why somebody has not got one of the sizes they wished for."""
    place = standing.sizes.index(wish)
    away = int(distances[place])
    if away > standing.farthest_cm * standing.per_cm:
        if away >= 2**50:
            return f"{wish} (a measurement is missing)"
        return f"{wish} ({away / standing.per_cm:.1f} cm away, more than {standing.farthest_cm})"
    if wish not in standing.has_places:
        return f"{wish} (has no places)"
    return f"{wish} ({_price(standing, _change(standing, row, place))})"


def _change(standing: SolvedPlacing, row: int, target: int) -> int:
    """What it would cost in all to give somebody another size by the cheapest chain of exchanges."""
    seating = standing.seating
    now = int(seating.seat_of[row])
    cost = int(seating.costs[row, target])
    if cost >= BLOCKED or standing.exchange[target, now] >= BLOCKED:
        return int(BLOCKED)
    own = int(seating.costs[row, now]) if now != seating.outside else 0
    return cost - own + int(standing.exchange[target, now])


def _price(standing: SolvedPlacing, change: int) -> str:
    """A change of the total in words."""
    seating = standing.seating
    if change >= BLOCKED:
        return "its places were given by hand"
    if change >= seating.per_needed_seat // 2:
        return "a needed place would stay empty"
    if change >= seating.per_seat // 2:
        return "a place would stay empty"
    if change == 0:
        return "equal in all, drawn by lot"
    return f"full: with it all places together would fit {change / standing.per_cm:.1f} cm worse"


def _tie(standing: SolvedPlacing, row: int, wishes: Sequence[str], size: str) -> str:
    """Say so where a lot decided between equals."""
    others = [standing.sizes.index(wish) for wish in wishes if wish != size]
    is_even = any(_change(standing, row, other) == 0 for other in others)
    return (
        " Another placing is as good; this one was drawn by lot."
        if is_even or _could_leave(standing, row)
        else ""
    )


def _could_leave(standing: SolvedPlacing, row: int) -> bool:
    """Whether somebody could have stayed outside at the same total."""
    seating = standing.seating
    now = int(seating.seat_of[row])
    back = int(standing.exchange[seating.outside, now])
    return back == int(seating.costs[row, now])


def _ordinal(rank: int) -> str:
    """A rank from 0 in words."""
    return ("first", "second", "third")[rank] if rank < _FEW else f"{rank + 1}th"


def _joined(parts: Sequence[str]) -> str:
    """Parts as a list in words."""
    return "; ".join(parts)
