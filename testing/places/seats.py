"""Places by size as a row of seats."""

from collections import defaultdict
from collections.abc import Collection, Iterable
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
    def free(self) -> int:
        """How many seats nobody holds."""
        return sum(seat.state not in ("taken", "offered") for seat in self.seats)

    @property
    def is_full(self) -> bool:
        """Whether no seat is free."""
        return not self.free


def seat_rows(
    quotas: Iterable[PlaceQuota], held: Iterable[Placement], for_second: Collection[str] = ()
) -> list[SeatRow]:
    """Seat everybody; free seats are needed up to "at least", spare up to "at most".

    `for_second` are sizes whose results ask for a second maker: one seat more is needed there.
    """
    by_size: dict[str, list[Placement]] = defaultdict(list)
    for placement in held:
        by_size[placement.size].append(placement)
    return [
        _row(
            quota, by_size[quota.size], asks_second=quota.size in for_second and len(by_size[quota.size]) == 1
        )
        for quota in quotas
    ]


def _seat(placement: Placement) -> Seat:
    """A seat that somebody holds, with their name where the call names its testers."""
    state = "taken" if placement.accepted_at else "offered"
    if not placement.call.names_testers:
        return Seat(state, state)
    name = placement.application.name
    return Seat(state, name if placement.accepted_at else f"{name} (offered)")


def _row(quota: PlaceQuota, held: list[Placement], *, asks_second: bool) -> SeatRow:
    """The seats of a size, taken ones first."""
    taken = [_seat(placement) for placement in sorted(held, key=lambda held: held.accepted_at is None)]
    needed = max(quota.at_least - len(taken), int(asks_second))
    spare = max(quota.at_most - len(taken) - needed, 0)
    seats = taken + [Seat("open", "needed")] * needed + [Seat("spare", "spare")] * spare
    accepted = sum(seat.state == "taken" for seat in taken)
    says = f"{accepted} taken, {len(taken) - accepted} offered, {needed} needed"
    if asks_second:
        says += ": the results ask for a second maker"
    return SeatRow(quota.size, seats, says)
