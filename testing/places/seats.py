"""Places by size as a row of seats."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from testing.models import Placement, PlaceQuota


@dataclass(frozen=True)
class Seat:
    """One place: taken, offered, open (needed) or spare, and the word that stands in it."""

    state: str
    word: str


@dataclass(frozen=True)
class SeatRow:
    """The seats of one size."""

    size: str
    seats: list[Seat]
    says: str

    @property
    def is_full(self) -> bool:
        """Whether no seat is free."""
        return all(seat.state in ("taken", "offered") for seat in self.seats)


def seat_rows(quotas: Iterable[PlaceQuota], held: Iterable[Placement]) -> list[SeatRow]:
    """Seat everybody; free seats are needed up to "at least", spare up to "at most"."""
    by_size: dict[str, list[Placement]] = defaultdict(list)
    for placement in held:
        by_size[placement.size].append(placement)
    return [_row(quota, by_size[quota.size]) for quota in quotas]


def _row(quota: PlaceQuota, held: list[Placement]) -> SeatRow:
    """The seats of a size, taken ones first."""
    taken = [
        Seat("taken", placement.application.name)
        if placement.accepted_at
        else Seat("offered", f"{placement.application.name} (offered)")
        for placement in sorted(held, key=lambda placement: placement.accepted_at is None)
    ]
    needed = max(quota.at_least - len(taken), 0)
    spare = max(quota.at_most - len(taken) - needed, 0)
    seats = taken + [Seat("open", "needed")] * needed + [Seat("spare", "spare")] * spare
    accepted = sum(seat.state == "taken" for seat in taken)
    return SeatRow(quota.size, seats, f"{accepted} taken, {len(taken) - accepted} offered, {needed} needed")
